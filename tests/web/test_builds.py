"""Builds in the browser: planned, worked through step by step, looked over, ended."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from hillbench.building.caution import Caution
from hillbench.racing.class_rules import ClassRules, Limit
from hillbench.records import build_store, meet_store
from hillbench.records.drawer_entities import ItemKind, StockUnit
from hillbench.usecases.show_build import show_build
from hillbench.web.app import create_app
from tests.usecases.builds import NOW, Bench, add_item, begun, bench
from tests.web.conftest import CheckedClient

PLAN = {
    "name": "Second round", "limit_g": "57", "other_scale_step_g": "0.1", "rivets": "2",
    "rivet_head_mm": "4", "rivet_head_height_mm": "1.2", "material": "zinc", "screws": "2",
    "thread": "2-56", "screw_head": "pan", "screw_length_mm": "1/4 in",
    "base_thickness_mm": "1.2", "post_height_mm": "8", "screw_item_id": "2", "trim_g": "1.5",
    "piece-1": "3", "fixing": "cyanoacrylate", "decals": "4", "film_item_id": "3",
    "graphite_rounds": "2", "lubricant_item_id": "4", "bench_from": "19:00", "bench_to": "21:30",
}  # fmt: skip


class Clock:
    """A clock that a test sets."""

    def __init__(self) -> None:
        self.now = NOW

    def __call__(self) -> datetime:
        return self.now


@pytest.fixture
def on(tmp_path: Path) -> Iterator[Bench]:
    with bench(tmp_path / "bench") as opened:
        yield opened


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def client(on: Bench, clock: Clock) -> CheckedClient:
    return CheckedClient(create_app(on.book, clock=clock))


@pytest.fixture(scope="module")
def nothing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Bench]:
    """A bench on which no build is ever begun."""
    with bench(tmp_path_factory.mktemp("nothing")) as opened:
        yield opened


@pytest.fixture(scope="module")
def planning(nothing: Bench) -> CheckedClient:
    """A client of it, shared by the tests of what is refused."""
    return CheckedClient(create_app(nothing.book, clock=Clock()))


def plan(client: CheckedClient, **changed: str) -> str:
    answer = client.post("/cars/1/builds/new", data={**PLAN, **changed})
    assert answer.status_code == 303, re.findall(r'<li><a href="#build[^>]*>([^<]*)', answer.text)
    return str(answer.headers["location"])


def step(on: Bench, key: str, build_id: int = 1) -> str:
    return f"/builds/{build_id}/steps/{on.step(build_id, key).id}"


def test_a_build_is_planned_from_the_page_of_its_car(client: CheckedClient) -> None:
    form = client.get("/cars/1/builds/new").text
    assert 'name="piece-1"' in form
    assert "5 pieces in the drawer" in form
    page = client.get(plan(client)).text
    assert "0 of 19 steps done" in page
    titles = ("Centre and drill 2 pilots", "Fit 3 × quarter ounce", "Graphite, round 2")
    for words in (*titles, "1.8 mm"):
        assert words in page
    assert page.index("Weigh it bare") < page.index("Drill the heads off")


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"screw_length_mm": "12"}, "The length of the screw is 12 mm"),
        ({"rivet_head_mm": ""}, "The diameter of a rivet’s head is empty"),
        ({"rivets": "two"}, "The number of rivets is"),
        ({"decals": "1.5"}, "a whole number"),
        ({"drill": "#30"}, "The drill is"),
        ({"thread": "2-57"}, "The thread is"),
        ({"base_thickness_mm": "0"}, "The thickness of the base is"),
        ({"limit_g": "0"}, "The limit is"),
        ({"meet_at": "soon"}, "The day it must be ready is"),
        ({"bench_from": "25:00"}, "The time the bench opens is"),
        ({"meet_at": "2020-01-01T10:00"}, "which is past"),
    ],
)
def test_what_cannot_be_is_said_beside_its_field(
    nothing: Bench, planning: CheckedClient, changed: dict[str, str], says: str
) -> None:
    page = planning.post("/cars/1/builds/new", data={**PLAN, "note": "kept <it>", **changed})
    assert page.status_code == 422
    assert says in page.text
    assert "kept &lt;it&gt;" in page.text
    with nothing.book.read() as session:
        assert build_store.list_builds(session) == ()


def test_a_step_at_the_bench_is_big_with_its_size_depth_and_cautions(
    client: CheckedClient,
) -> None:
    plan(client)
    client.post("/builds/1/turn", data={"key": "thread hole"})
    page = client.get("/builds/1/work").text
    assert "<h1>Drill the posts for 2-56</h1>" in page
    for words in ("Wear eye protection", "vice", "local rules", "1.8 mm", "Depth", "It waits for"):
        assert words in page
    client.post("/builds/1/turn", data={"key": "fit 1"})
    lead = client.get("/builds/1/work").text
    for words in ("wash your hands", "tungsten", "Cyanoacrylate bonds skin", "3 pieces of"):
        assert words in lead


def test_steps_are_checked_off_one_after_the_other(client: CheckedClient, on: Bench) -> None:
    plan(client)
    assert client.post(f"{step(on, 'choose')}/done").headers["location"] == "/builds/1/work"
    page = client.get("/builds/1/work").text
    assert "<h1>Weigh it bare</h1>" in page
    assert "Step 2 of 19" in page
    typed = {"readings_g": "37.20 37.22", "scale_resolution_g": "0.01", "whole_car": "on"}
    client.post(f"{step(on, 'weigh bare')}/done", data={**typed, "note": "with glazing"})
    assert "37.21" in client.get("/cars/1").text
    assert "with glazing" in client.get("/builds/1").text
    assert "1 of 19" not in client.get("/builds/1").text


def test_a_step_too_early_asks_before_it_is_done_anyway(client: CheckedClient, on: Bench) -> None:
    plan(client)
    refused = client.post(f"{step(on, 'tap')}/done", data={"note": "typed"})
    assert refused.status_code == 422
    assert "&#39;Drill the posts for 2-56&#39;" in refused.text
    assert "typed" in refused.text
    assert 'name="anyway"' in refused.text
    done = client.post(f"{step(on, 'tap')}/done", data={"anyway": "on"})
    assert done.status_code == 303


def test_too_little_in_the_drawer_is_said(client: CheckedClient, on: Bench) -> None:
    plan(client, **{"piece-1": "6"})
    assert "the drawer holds 5 pieces" in client.get("/builds/1").text
    typed = {"anyway": "on", "take_from_drawer": "on"}
    refused = client.post(f"{step(on, 'fit 1')}/done", data=typed)
    assert refused.status_code == 422
    assert "stock is 5 pieces of quarter ounce" in refused.text
    assert on.stock(on.piece_id) == 5


def test_a_wait_counts_down_and_tells_what_can_be_done_meanwhile(
    client: CheckedClient, on: Bench, clock: Clock
) -> None:
    plan(client)
    client.post(f"{step(on, 'decals')}/done", data={"anyway": "on"})
    client.post("/builds/1/turn", data={"key": "decals"})
    clock.now = NOW + timedelta(hours=1)
    page = client.get("/builds/1/work").text
    assert "Leave it alone" in page
    assert 'data-seconds-left="39600"' in page
    assert "11:00:00" in page
    assert "Choose the sample" in page[page.index("Meanwhile you can") :]


def test_a_clock_set_back_is_told(client: CheckedClient, on: Bench, clock: Clock) -> None:
    plan(client)
    client.post(f"{step(on, 'decals')}/done", data={"anyway": "on"})
    clock.now = NOW + timedelta(hours=2)
    client.get("/builds/1/work")
    clock.now = NOW - timedelta(hours=1)
    page = client.get("/builds/1/work").text
    assert "set back by at least 3.0 hours" in page
    client.post("/builds/1/turn", data={"key": "decals"})
    assert 'data-seconds-left="36000"' in client.get("/builds/1/work").text


def test_what_is_half_typed_is_there_after_a_power_cut(
    client: CheckedClient, on: Bench, clock: Clock
) -> None:
    plan(client)
    client.post(f"{step(on, 'choose')}/done")
    typed = {"note": "half a sent", "readings_g": "37.2 3", "scale_resolution_g": "0.01"}
    assert client.post(f"{step(on, 'weigh bare')}/draft", data=typed).status_code == 204
    again = CheckedClient(create_app(on.book, clock=clock))
    page = again.get("/builds/1/work").text
    assert "<h1>Weigh it bare</h1>" in page
    assert "half a sent" in page
    assert 'value="37.2 3"' in page


def test_a_photo_at_a_step_is_kept_with_the_car(client: CheckedClient, on: Bench) -> None:
    plan(client)
    file = io.BytesIO()
    Image.new("RGB", (40, 30), "teal").save(file, "PNG")
    files = {"photo": ("step.png", file.getvalue(), "image/png")}
    client.post(f"{step(on, 'choose')}/photo", files=files)
    assert "Photo taken at this step" in client.get("/builds/1/work").text
    assert "Second round: Choose the sample" in client.get("/cars/1").text
    bad = client.post(f"{step(on, 'choose')}/photo", files={"photo": ("x.png", b"no", "image/png")})
    assert bad.status_code == 422


def test_steps_are_moved_changed_added_and_taken_out(client: CheckedClient, on: Bench) -> None:
    plan(client)
    refused = client.post(f"{step(on, 'pilot')}/move", data={"by": "earlier"})
    assert refused.status_code == 422
    assert "which it waits for" in refused.text
    assert client.post(f"{step(on, 'trim')}/move", data={"by": "earlier"}).status_code == 303
    refused = client.post(f"{step(on, 'tap')}/remove")
    assert refused.status_code == 422
    assert "let them wait for what it waits for" in refused.text
    assert client.post(f"{step(on, 'tap')}/remove", data={"reattach": "on"}).status_code == 303
    own = {"title": "Polish the axles", "minutes": "1/2 h", "waits_for": "lift"}
    client.post("/builds/1/own", data={**own, "before_id": str(on.step(1, "trim").id)})
    page = client.get("/builds/1").text
    assert "Polish the axles" in page
    assert "30 min" in page
    form = client.get(f"{step(on, 'decals')}/edit").text
    assert 'value="720"' in form
    assert re.search(r'value="solvents" checked', form)
    changed = {"title": "Apply them", "minutes": "20", "wait_minutes": "1 d", "waits_for": "lift"}
    changed["cautions"] = "epoxy"
    client.post(f"{step(on, 'decals')}/edit", data=changed)
    record = on.step(1, "decals")
    assert (record.step.title, record.step.wait_minutes) == ("Apply them", 1440.0)
    assert record.step.waits_for == ("lift",)
    assert record.step.cautions == (Caution.EPOXY,)
    bad = client.post(f"{step(on, 'decals')}/edit", data={**changed, "minutes": "-1"})
    assert bad.status_code == 422


def test_the_ledger_points_out_what_is_missing(client: CheckedClient, on: Bench) -> None:
    plan(client)
    weigh = {"scale_resolution_g": "0.01", "anyway": "on"}
    client.post(f"{step(on, 'weigh bare')}/done", data={**weigh, "readings_g": "37.20"})
    client.post(f"{step(on, 'fit 1')}/done", data={**weigh, "readings_g": "51.37"})
    page = client.get("/builds/1/ledger").text
    assert "1 of 3 × quarter ounce is missing" in page
    assert "Likely: 1 of 3 × quarter ounce is missing." in client.get("/builds/1").text
    assert "is expected to weigh" in page
    assert "finds it over 57 g is" in page
    client.cookies.set("hillbench_preferences", "mass_unit=oz")
    assert "oz" in client.get("/builds/1/ledger").text


def test_a_build_ends_and_gives_back_what_is_ticked(client: CheckedClient, on: Bench) -> None:
    plan(client)
    typed = {"anyway": "on", "take_from_drawer": "on"}
    client.post(f"{step(on, 'fit 1')}/done", data=typed)
    client.post(f"{step(on, 'close')}/done", data=typed)
    page = client.get("/builds/1").text
    assert "1.21" in page
    assert "3 pieces of quarter ounce" in page
    refused = client.post("/builds/1/finish")
    assert refused.status_code == 422
    assert "17 steps left" in refused.text
    client.post("/builds/1/abandon", data={"back": str(on.piece_id)})
    assert (on.stock(on.piece_id), on.stock(on.screw_id)) == (5, 8)
    page = client.get("/builds/1").text
    assert "abandoned: 2 of 19 steps were done" in page
    client.post("/builds/1/resume")
    client.post("/builds/1/finish", data={"anyway": "on"})
    assert "finished" in client.get("/builds").text


def test_a_template_is_kept_and_begun_from(client: CheckedClient) -> None:
    plan(client)
    client.post("/builds/1/template", data={"name": "Usual"})
    assert "the template Usual (19 steps)" in client.get("/cars/1/builds/new").text
    address = client.post(
        "/cars/1/builds/new",
        data={"name": "Third", "template_id": "1", "fixing": "tape", "other_scale_step_g": "0.1"},
    ).headers["location"]
    assert "Graphite, round 2" in client.get(address).text


def test_latest_times_are_told_by_day(client: CheckedClient) -> None:
    page = client.get(plan(client, meet_at="2026-03-07T10:00")).text
    assert "at the latest: that leaves 12.0 h for the decals to dry" in page
    assert "It can be ready in time" in page
    short = client.get(plan(client, meet_at="2026-03-03T01:00", name="Rushed")).text
    assert "There is too little time" in short


def test_names_are_never_markup(client: CheckedClient, on: Bench) -> None:
    hostile = "<script>alert(1)</script>"
    build_id = begun(on, name=hostile)
    client.post(f"/builds/{build_id}/own", data={"title": hostile, "text": hostile})
    for address in ("", "/work", "/ledger"):
        assert "<script>alert" not in client.get(f"/builds/{build_id}{address}").text
    assert "<script>alert" not in client.get("/builds").text
    assert show_build(on.book, build_id, NOW).steps[-1].step.title == hostile


@pytest.mark.parametrize("address", ["/builds/99", "/builds/99/work", "/builds/99/ledger"])
def test_a_build_that_is_not_there(client: CheckedClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_a_check_mark_can_be_undone_at_once(client: CheckedClient, on: Bench) -> None:
    plan(client)
    done = client.post(f"{step(on, 'fit 1')}/done", data={"anyway": "on", "take_from_drawer": "on"})
    assert on.stock(on.piece_id) == 2
    shown = client.get(done.headers["location"]).text
    undo = re.search(r'action="(/undo/builds/1/steps/\d+)"', shown)
    assert undo is not None
    client.post(undo[1])
    assert on.stock(on.piece_id) == 5
    assert on.step(1, "fit 1").done_at is None


def test_a_meet_gives_its_day_and_the_limit_of_its_class(client: CheckedClient, on: Bench) -> None:
    rules = ClassRules((Limit("mass_g", None, 60.0),))
    with on.book.write() as session:
        kept = meet_store.keep_class(session, None, "Heavy", "", rules, NOW)
        meet_store.keep_meet(
            session, None, "Spring meet", "", date(2026, 3, 14), NOW, race_class_id=kept.id
        )
    form = client.get("/cars/1/builds/new").text
    assert "Spring meet, Sat 14 Mar 2026" in form
    assert "Heavy, 60 g" in form
    plan(client, limit_g="", meet_id="1")
    build = show_build(on.book, 1, NOW).build
    assert build.limit_g == 60.0
    assert build.meet_at is not None
    assert build.meet_at.astimezone().date() == date(2026, 3, 14)
    plan(client, limit_g="", class_id=str(kept.id), name="Third")
    assert show_build(on.book, 2, NOW).build.limit_g == 60.0
    plan(client, limit_g="57", class_id=str(kept.id), name="Fourth")
    assert show_build(on.book, 3, NOW).build.limit_g == 57.0, "what was typed counts"


def test_a_drill_that_is_not_in_the_drawer_is_told(client: CheckedClient, on: Bench) -> None:
    plan(client)
    client.post("/builds/1/turn", data={"key": "thread hole"})
    assert "no such bit" not in client.get("/builds/1/work").text, "no bits are kept at all"
    add_item(on.book, ItemKind.BIT, "drill #50", StockUnit.PIECE, "1", diameter_mm=1.778)
    assert "no such bit in the drawer" in client.get("/builds/1/work").text
    bit = add_item(on.book, ItemKind.BIT, "drill 1.8", StockUnit.PIECE, "1", diameter_mm=1.8)
    assert "no such bit" in client.get("/builds/1/work").text, "none of it is left"
    client.post(f"/drawer/{bit}/counted", data={"amount": "1"})
    assert "in the drawer: <a" in client.get("/builds/1/work").text


def test_templates_are_listed_and_put_away(client: CheckedClient) -> None:
    plan(client)
    client.post("/builds/1/template", data={"name": "Usual"})
    assert "Remove the template Usual" in client.get("/builds").text
    client.post("/remove/build_template/1", data={"back": "/builds"})
    assert "Usual" not in client.get("/cars/1/builds/new").text
    assert "Usual" in client.get("/removed").text


def test_a_name_can_be_changed_after_the_day_is_past(
    client: CheckedClient, on: Bench, clock: Clock
) -> None:
    plan(client, meet_at="2026-03-07T10:00")
    clock.now = NOW + timedelta(days=30)
    typed = {"name": "Renamed", "meet_at": "2026-03-07T10:00", "other_scale_step_g": "0.1"}
    assert client.post("/builds/1/terms", data=typed).status_code == 303
    assert show_build(on.book, 1, NOW).build.name == "Renamed"
    refused = client.post("/builds/1/terms", data={**typed, "meet_at": "2026-03-08T10:00"})
    assert refused.status_code == 422
