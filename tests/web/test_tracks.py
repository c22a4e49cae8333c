"""Pages of tracks: the list, the ways to begin, the editor with and without script."""

from __future__ import annotations

import re
from html import unescape

import pytest

from hillbench.coasting.track import Bend, SlopePoint, Track
from hillbench.pictures import palette
from hillbench.records.bench_book import BenchBook
from hillbench.records.track_store import find_track
from hillbench.web.assets import FOLDER
from tests.web.conftest import CheckedClient

SLOPES = {
    "name": "Fern Hill",
    "given": "slopes",
    "finish_at_m": "6",
    "gates_at_m": "3; 5",
    "point_at_0": "0",
    "point_value_0": "20",
    "point_at_1": "2 m",
    "point_value_1": "20",
    "point_at_2": "300 cm",
    "point_value_2": "0",
    "bend_from_0": "4",
    "bend_to_0": "4.8",
    "bend_turn_0": "90",
    "bend_way_0": "right",
    "bend_bank_0": "10",
    "surface": "0.01",
    "walls": "own",
    "wall_friction": "0.25",
    "latitude_deg": "52",
    "altitude_m": "",
    "temperature_c": "20",
}
"""The form of a track on which every kind of field is filled."""

TRACK = Track(
    finish_at_m=6.0,
    slope_points=(SlopePoint(0.0, 20.0), SlopePoint(2.0, 20.0), SlopePoint(3.0, 0.0)),
    bends=(Bend(4.0, 4.8, -90.0, 10.0),),
    gates_at_m=(3.0, 5.0),
)


def saved(client: CheckedClient, form: dict[str, str]) -> int:
    answer = client.post("/tracks/new", data={**form, "action": "save"})
    assert answer.status_code == 303, answer.text
    return int(answer.headers["location"].rpartition("/")[2])


def field(page: str, name: str) -> str:
    found = re.search(rf'name="{name}"[^>]* value="([^"]*)"', page)
    assert found is not None, name
    return unescape(found[1])


def test_an_empty_list_leads_to_a_first_track(client: CheckedClient) -> None:
    page = client.get("/tracks")
    assert page.status_code == 200
    assert 'href="/tracks/new"' in page.text


def test_a_track_is_kept_as_typed(client: CheckedClient, book: BenchBook) -> None:
    track_id = saved(client, SLOPES)
    with book.read() as session:
        record = find_track(session, track_id)
    assert record.track == TRACK
    assert (record.rolling_resistance, record.wall_friction) == (0.01, 0.25)
    assert (record.latitude_deg, record.altitude_m, record.temperature_c) == (52.0, None, 20.0)


def test_the_editor_shows_what_is_kept_and_keeps_it_unchanged(
    client: CheckedClient, book: BenchBook
) -> None:
    track_id = saved(client, SLOPES)
    page = client.get(f"/tracks/{track_id}").text
    names = [*SLOPES, "note"]
    names = [
        name for name in names if name not in ("given", "surface", "walls", "bend_way_0", "note")
    ]
    form = {name: field(page, name) for name in names}
    choices = {"given": "slopes", "surface": "0.01", "walls": "own", "bend_way_0": "right"}
    answer = client.post(f"/tracks/{track_id}", data={**form, **choices, "action": "save"})
    assert answer.status_code == 303
    with book.read() as session:
        record = find_track(session, track_id)
    assert (record.track, record.number) == (TRACK, 1)  # no new version for no change


def test_the_list_tells_length_drop_and_bends(client: CheckedClient) -> None:
    saved(client, SLOPES)
    page = client.get("/tracks").text
    assert "Fern Hill" in page
    assert "1 bend" in page
    assert "<svg" in page


def test_heights_in_feet(client: CheckedClient, book: BenchBook) -> None:
    client.post(
        "/preferences",
        data={"mass_unit": "oz", "length_unit": "in", "distance_unit": "ft", "theme": "auto"},
    )
    form = {
        "name": "Attic",
        "given": "heights",
        "finish_at_m": "10",
        "point_at_0": "0",
        "point_value_0": "2 1/2",
        "point_at_1": "10",
        "point_value_1": "0",
        "surface": "0.008",
        "walls": "0.2",
    }
    track_id = saved(client, form)
    with book.read() as session:
        track = find_track(session, track_id).track
    assert track.finish_at_m == pytest.approx(3.048)  # 10 ft of 0.3048 m
    assert track.height_points[0].height_m == pytest.approx(0.762)
    page = client.get(f"/tracks/{track_id}").text
    assert (field(page, "finish_at_m"), field(page, "point_value_0")) == ("10", "2.5")
    assert "10.00 ft long, falls 2.50 ft" in page
    assert "finish 10.00 ft" in page


@pytest.mark.parametrize(
    ("change", "where", "told"),
    [
        ({"name": " "}, "name", "Name is empty"),
        ({"finish_at_m": "long"}, "finish_at_m", "&#39;long&#39;"),
        ({"finish_at_m": ""}, "finish_at_m", "Length is empty"),
        ({"point_value_1": "95"}, "point_value_1", "Point 2 is 95 deg"),
        ({"point_at_1": ""}, "point_at_1", "Place of point 2 is empty"),
        ({"point_at_2": "0"}, "point_at_2", "each place once"),
        ({"bend_to_0": "3"}, "bend_to_0", "a bend needs a length"),
        ({"bend_turn_0": "1e9"}, "bend_turn_0", "Turn of bend 1"),
        ({"gates_at_m": "3; 9"}, "gates_at_m", "not beyond the finish"),
        ({"wall_friction": "5"}, "wall_friction", "Wall friction is 5"),
        ({"latitude_deg": "north"}, "latitude_deg", "Latitude is"),
        ({"surface": "ice"}, "", "one of"),
    ],
)
def test_what_is_wrong_stands_beside_its_field_and_nothing_is_lost(
    client: CheckedClient, change: dict[str, str], where: str, told: str
) -> None:
    form = {**SLOPES, **change}
    answer = client.post("/tracks/new", data={**form, "action": "save"})
    assert answer.status_code == 422
    assert told in answer.text
    if where:
        assert f'href="#track-{where}"' in answer.text
        assert re.search(rf'id="track-{where}"[^>]*aria-invalid="true"', answer.text)
    kept = {**form, **({"surface": "0.01"} if "surface" in change else {})}
    for name in ("name", "finish_at_m", "point_at_1", "point_value_1", "bend_to_0", "gates_at_m"):
        assert field(answer.text, name) == kept[name]


def test_rows_come_and_go_without_script(client: CheckedClient) -> None:
    page = client.post("/tracks/new", data={**SLOPES, "action": "add_point"}).text
    assert field(page, "point_at_3") == ""
    page = client.post("/tracks/new", data={**SLOPES, "action": "remove_point_0"}).text
    assert field(page, "point_at_0") == "2 m"
    assert "point_at_2" not in page
    page = client.post("/tracks/new", data={**SLOPES, "action": "remove_bend_0"}).text
    assert "bend_from_0" not in page
    assert field(page, "name") == "Fern Hill"


def test_rows_come_as_a_part_with_htmx(client: CheckedClient) -> None:
    part = client.htmx("POST", "/tracks/new", data={**SLOPES, "action": "add_bend"}).text
    assert part.lstrip().startswith("<form")
    assert field(part, "bend_from_1") == ""


@pytest.mark.parametrize("action", ["add_roof", "remove_point", "remove_point_99", "<b>", ""])
def test_an_unknown_button_changes_nothing(client: CheckedClient, action: str) -> None:
    page = client.post("/tracks/new", data={**SLOPES, "action": action})
    assert page.status_code == 200
    assert field(page.text, "point_at_2") == "300 cm"


@pytest.mark.parametrize("gap", ["\t", " ; ", "  ", " "])
def test_a_pasted_column_takes_the_place_of_the_points(
    client: CheckedClient, book: BenchBook, gap: str
) -> None:
    column = "\r\n".join(gap.join(pair) for pair in (("0", "18.5"), ("1.5", "18.5"), ("4", "-1")))
    page = client.post("/tracks/new", data={**SLOPES, "column": column, "action": "show"}).text
    assert field(page, "point_value_2") == "-1"
    track_id = saved(client, {**SLOPES, "column": column})
    with book.read() as session:
        points = find_track(session, track_id).track.slope_points
    assert points == (SlopePoint(0.0, 18.5), SlopePoint(1.5, 18.5), SlopePoint(4.0, -1.0))


def test_a_line_that_is_no_pair_is_told_by_its_number(client: CheckedClient) -> None:
    column = "0\t18\n1.5\n"
    answer = client.post("/tracks/new", data={**SLOPES, "column": column, "action": "save"})
    assert answer.status_code == 422
    assert "in line 2" in answer.text
    assert "0\t18" in answer.text


def test_ten_thousand_points_are_kept_and_shown_in_one_column(
    client: CheckedClient, book: BenchBook
) -> None:
    column = "\n".join(f"{place / 1000:.3f}\t10" for place in range(10_000))
    track_id = saved(client, {**SLOPES, "column": column})
    with book.read() as session:
        assert len(find_track(session, track_id).track.slope_points) == 10_000
    page = client.get(f"/tracks/{track_id}").text
    assert "point_at_0" not in page
    assert page.count("\t10\n") == 9_999


def test_the_picture_follows_what_is_typed(client: CheckedClient) -> None:
    part = client.htmx("POST", "/tracks/preview", data=SLOPES).text
    assert "6.000 m long" in part
    assert part.count("<svg") == 2  # the profile, and from above since there is a bend
    part = client.htmx("POST", "/tracks/preview", data={**SLOPES, "finish_at_m": "6e"}).text
    assert "<svg" not in part
    assert "Length is" in part


def test_a_sketch_fills_the_editor_and_keeps_nothing(client: CheckedClient) -> None:
    sketch = {"by": "sketch", "length_m": "18", "drop_m": "150 cm", "hill": "steep start"}
    page = client.get("/tracks/new", params={**sketch, "winding": "winding"})
    assert page.status_code == 200
    assert field(page.text, "finish_at_m") == "18"
    assert "falls 1.50 m" in page.text
    assert "bend_from_7" in page.text
    assert "Add your track" in client.get("/tracks").text


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"length_m": ""}, "Length is empty"),
        ({"drop_m": "3 kg"}, "change the unit"),
        ({"drop_m": "30"}, "Drop is 30 m"),
        ({"hill": "volcano"}, "Shape is"),
    ],
)
def test_a_sketch_that_cannot_be_is_told(
    client: CheckedClient, change: dict[str, str], told: str
) -> None:
    sketch = {"by": "sketch", "length_m": "18", "drop_m": "1.5", "hill": "stepped"}
    page = client.get("/tracks/new", params={**sketch, "winding": "straight", **change})
    assert page.status_code == 422
    assert told in page.text


def test_a_removed_track_can_be_brought_back(client: CheckedClient) -> None:
    track_id = saved(client, SLOPES)
    answer = client.post(f"/tracks/{track_id}/remove")
    assert (answer.status_code, answer.headers["location"]) == (303, "/tracks")
    page = client.get("/tracks").text
    assert "Fern Hill removed." in page
    assert client.get(f"/tracks/{track_id}").status_code == 404
    undo = re.search(r'action="(/undo/[^"]+)"', page)
    assert undo is not None
    assert client.post(undo[1]).status_code == 303
    assert "Fern Hill" in client.get("/tracks").text
    assert client.get(f"/tracks/{track_id}").status_code == 200


def test_names_are_escaped(client: CheckedClient) -> None:
    name = '<script>alert("1")</script> & Söhne'
    track_id = saved(client, {**SLOPES, "name": name})
    for path in ("/tracks", f"/tracks/{track_id}"):
        page = client.get(path).text
        assert "<script>alert" not in page
        assert "&lt;script&gt;" in page


@pytest.mark.parametrize("path", ["/tracks/99", "/tracks/99/remove", "/tracks/x"])
def test_no_such_track(client: CheckedClient, path: str) -> None:
    assert client.post(path, data=SLOPES).status_code == 404


def test_an_unfinishable_name_is_refused_with_the_form(client: CheckedClient) -> None:
    saved(client, SLOPES)
    again = client.post("/tracks/new", data={**SLOPES, "name": "fern hill", "action": "save"})
    assert again.status_code == 422
    assert "a name that no other track has" in again.text
    long = client.post("/tracks/new", data={**SLOPES, "name": "x" * 5000, "action": "save"})
    assert long.status_code == 422
    assert "5000 characters" in long.text


def test_the_style_sheet_is_the_one_of_the_palette() -> None:
    sheet = (FOLDER / "css" / "pictures.css").read_text(encoding="utf-8")
    assert sheet.partition("\n")[2] == palette.style_sheet()


def test_pictures_stand_on_the_paper_of_the_page() -> None:
    tokens = (FOLDER / "css" / "tokens.css").read_text(encoding="utf-8")
    shared = {"paper": "paper", "ink": "ink", "muted": "ink-soft", "accent": "accent"}
    for tone, token in {**shared, "warning": "wrong", "rule": "line"}.items():
        pair = f"light-dark({palette.TONES[tone].light}, {palette.TONES[tone].dark})"
        assert f"--{token}: {pair};" in tokens
