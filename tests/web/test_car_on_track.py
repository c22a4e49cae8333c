"""The page of a car on a track, its sliders, and the runs timed beside it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta

import pytest

from hillbench.coasting.run import coast
from hillbench.coasting.track import Bend, SlopePoint, Track
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import add_car
from hillbench.records.casting_store import add_casting
from hillbench.records.reading_store import add_reading
from hillbench.records.track_store import TrackState
from hillbench.usecases.note_run import note_run
from hillbench.usecases.save_track import save_track
from hillbench.usecases.set_scene import set_scene
from tests.web.conftest import NOW, CheckedClient

HILL = Track(
    finish_at_m=9.0,
    slope_points=(SlopePoint(0.0, 18.0), SlopePoint(1.0, 18.0), SlopePoint(2.0, 3.0)),
    bends=(Bend(4.0, 4.8, 90.0), Bend(6.0, 6.8, -90.0)),
    gates_at_m=(3.0, 6.0),
)
LEVEL = Track(finish_at_m=3.0, slope_points=(SlopePoint(0.0, 0.0),))
SHORT_OF_IT = Track(
    finish_at_m=9.0,
    slope_points=(SlopePoint(0.0, 10.0), SlopePoint(1.0, 10.0), SlopePoint(1.5, -4.0)),
)


@dataclass(frozen=True)
class Pair:
    """A car and a track in the bench book, and the address of their page."""

    car_id: int
    track_id: int

    @property
    def address(self) -> str:
        return f"/cars/{self.car_id}/on/{self.track_id}"


def pair_on(book: BenchBook, track: Track, car: str = "Blue Finch") -> Pair:
    state = TrackState(track=track, rolling_resistance=0.008, wall_friction=0.2)
    record = save_track(book, "Fern Hill", "", state, NOW)
    with book.write() as session:
        casting = add_casting(session, "Coupe", "", NOW)
        car_id = add_car(session, casting.id, car, "", NOW).id
    return Pair(car_id, record.id)


@pytest.fixture
def pair(book: BenchBook) -> Pair:
    return pair_on(book, HILL)


def seconds(text: str) -> list[float]:
    """Return the large numbers of a page."""
    found = re.findall(r'class="big-number[^"]*">(.*?)</p>', text, re.DOTALL)
    return [float(re.sub(r"<[^>]+>", " ", part).split()[0].replace("−", "-")) for part in found]


def test_the_page_leads_with_the_time_of_the_run(
    client: CheckedClient, book: BenchBook, pair: Pair
) -> None:
    scene = set_scene(book, pair.car_id, pair.track_id)
    run = coast(scene.track.track, scene.description.car, scene.losses, scene.surroundings)
    assert run.finish_time_s is not None
    page = client.get(pair.address)
    assert page.status_code == 200
    assert seconds(page.text) == [round(run.finish_time_s, 2)]
    assert "Every number behind this was measured" not in page.text
    assert page.text.count('role="img"') == 12  # four pictures, each in three widths


def test_the_numbers_of_the_curve(client: CheckedClient, book: BenchBook, pair: Pair) -> None:
    scene = set_scene(book, pair.car_id, pair.track_id)
    run = coast(scene.track.track, scene.description.car, scene.losses, scene.surroundings)
    page = client.get(pair.address).text
    table = page[page.index("In numbers") :]
    for time_s in (*run.gate_times_s, run.finish_time_s):
        assert f">{time_s:.3f}<" in table
    assert f">{run.finish_speed_m_s:.2f}<" in table


@pytest.mark.parametrize(
    ("track", "told"),
    [(LEVEL, "does not start"), (SHORT_OF_IT, "stalls"), (SHORT_OF_IT, "stops here")],
)
def test_a_run_without_a_finish_gets_no_time(
    client: CheckedClient, book: BenchBook, track: Track, told: str
) -> None:
    page = client.get(pair_on(book, track).address).text
    assert told in page
    assert seconds(page) == []


def test_what_is_measured_and_what_is_assumed(
    client: CheckedClient, book: BenchBook, pair: Pair
) -> None:
    assumed = 'class="source assumed"'
    before = client.get(pair.address).text.count(assumed)
    with book.write() as session:
        add_reading(session, pair.car_id, "wheelbase_mm", 43.0, 0.1, NOW, "")
    page = client.get(pair.address).text
    assert page.count(assumed) == before - 1
    assert 'class="source measured"' in page
    assert f"{before - 1} numbers behind this are assumed" in page


def test_the_sliders_answer_with_the_difference(
    client: CheckedClient, book: BenchBook, pair: Pair
) -> None:
    scene = set_scene(book, pair.car_id, pair.track_id)
    car, losses = scene.description.car, scene.losses
    freer = type(losses)(
        0.1, losses.rolling_resistance, losses.steady_drag_mn, losses.wall_friction
    )
    times = [
        coast(scene.track.track, car, these, scene.surroundings).finish_time_s
        for these in (losses, freer)
    ]
    assert times[0] is not None
    assert times[1] is not None
    part = client.htmx("GET", f"{pair.address}/what-if?bearing_friction=0.1")
    assert seconds(part.text) == [pytest.approx(times[0] - times[1], abs=6e-4)]
    assert "faster" in part.text
    assert part.headers["hx-replace-url"] == f"{pair.address}?bearing_friction=0.1"
    page = client.get(f"{pair.address}?bearing_friction=0.1").text  # kept, or without script
    assert seconds(page)[1:] == seconds(part.text)
    assert re.search(r'name="bearing_friction"[^>]* value="0.1"', page)


def test_nothing_moved_changes_nothing(client: CheckedClient, pair: Pair) -> None:
    page = client.get(pair.address).text
    names = ("mass_g", "cg_ahead_of_rear_axle_mm", "bearing_friction", "wall_friction")
    values = {}
    for name in names:
        found = re.search(rf'name="{name}"[^>]* value="([^"]*)"', page)
        assert found is not None
        values[name] = found[1]
    part = client.htmx("GET", f"{pair.address}/what-if", params=values).text
    assert seconds(part) == []
    assert "Move a slider" in part


@pytest.mark.parametrize(
    ("query", "told"),
    [
        ("mass_g=heavy", "Mass is"),
        ("mass_g=3700", "check the decimal point"),
        ("mass_g=nan", "Mass is"),
        ("cg_ahead_of_rear_axle_mm=99", "stands on its nose or tail"),
        ("wall_friction=<b>", "Wall friction is"),
    ],
)
def test_a_try_that_cannot_be_is_told(
    client: CheckedClient, pair: Pair, query: str, told: str
) -> None:
    for address in (f"{pair.address}?{query}", f"{pair.address}/what-if?{query}"):
        answer = client.get(address) if "what-if" not in address else client.htmx("GET", address)
        assert answer.status_code == 200
        assert told in answer.text


def test_a_try_may_be_typed_in_any_unit(client: CheckedClient, pair: Pair) -> None:
    in_grams = client.htmx("GET", f"{pair.address}/what-if?mass_g=56.69904625").text
    in_ounces = client.htmx("GET", f"{pair.address}/what-if", params={"mass_g": "2 oz"}).text
    assert seconds(in_grams) == seconds(in_ounces) != []


def test_timed_runs_stand_beside_the_prediction(client: CheckedClient, pair: Pair) -> None:
    for time in ("8.31", "8.35 s", "8,33"):
        answer = client.post(f"{pair.address}/runs", data={"note": "clean", "finish_time_s": time})
        assert (answer.status_code, answer.headers["location"]) == (303, f"{pair.address}#runs")
    client.post(f"{pair.address}/runs", data={"note": "off track", "finish_time_s": ""})
    page = client.get(pair.address).text
    assert "8.33" in page  # the middle of three
    assert "off track" in page
    assert page.count('<tr><th scope="row">14 Mar 2026') == 4
    remove = re.search(r'action="([^"]+/runs/\d+/remove)"', page)
    assert remove is not None
    assert client.post(remove[1]).status_code == 303
    page = client.get(pair.address).text
    assert page.count('<tr><th scope="row">14 Mar 2026') == 3
    undo = re.search(r'action="(/undo/[^"]+)"', page)
    assert undo is not None
    assert client.post(undo[1]).status_code == 303
    assert client.get(pair.address).text.count('<tr><th scope="row">14 Mar 2026') == 4


@pytest.mark.parametrize(
    ("form", "told"),
    [
        ({"note": "clean", "finish_time_s": ""}, "Finish time is empty"),
        ({"note": "clean", "finish_time_s": "fast"}, "&#39;fast&#39;"),
        ({"note": "no finish", "finish_time_s": "8.3"}, "leave the time empty"),
        ({"note": "clean", "finish_time_s": "0"}, "Finish time is 0 s"),
        ({"note": "<i>", "finish_time_s": "8"}, "How it went is"),
    ],
)
def test_a_run_that_cannot_be_is_told(
    client: CheckedClient, pair: Pair, form: dict[str, str], told: str
) -> None:
    answer = client.post(f"{pair.address}/runs", data=form)
    assert answer.status_code == 422
    assert told in answer.text
    assert "<i>" not in answer.text


def test_only_the_last_day_run_stands_beside_the_prediction(
    client: CheckedClient, book: BenchBook, pair: Pair
) -> None:
    """Runs of a month ago may be of a car since changed."""
    for days, time_s in ((30, 5.9), (30, 6.1), (0, 4.3), (0, 4.5)):
        at = NOW - timedelta(days=days)
        note_run(book, pair.track_id, pair.car_id, time_s, "clean", NOW, at=at)
    page = client.get(pair.address).text
    beside = re.search(r'class="timed-beside">\D*<span class="mid-number">([\d.]+)<', page)
    assert beside is not None
    assert float(beside[1]) == pytest.approx(4.4)


def test_names_are_escaped(client: CheckedClient, book: BenchBook) -> None:
    page = client.get(pair_on(book, HILL, car="<script>alert(1)</script>").address).text
    assert "<script>alert" not in page


@pytest.mark.parametrize("address", ["/cars/9/on/1", "/cars/1/on/9", "/cars/x/on/1"])
def test_no_such_car_or_track(client: CheckedClient, pair: Pair, address: str) -> None:
    assert pair.car_id == 1
    assert client.get(address).status_code == 404
    assert client.get(f"{address}/what-if").status_code == 404
