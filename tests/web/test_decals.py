"""The pages of decals, as a browser without script uses them."""

from __future__ import annotations

import io
import re

import pytest
from PIL import Image

from hillbench.records import drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import ItemEntry, ItemKind, StockUnit
from hillbench.usecases.begin_build import begin_build
from hillbench.usecases.build_entry import BuildEntry, BuildTerms
from hillbench.usecases.show_livery import show_livery
from tests.usecases.test_liveries import STAR
from tests.web.conftest import NOW, CheckedClient

DOOR = {
    "role": "left door",
    "name": "",
    "width_mm": "22",
    "height_mm": "13 mm",
    "paint": "#ffe000",
    "curvature": "flat",
    "keep_name_0": "handle",
    "keep_left_0": "17",
    "keep_right_0": "20",
    "keep_top_0": "2",
    "keep_bottom_0": "3",
    "keep_gap_0": "",
    "action": "save",
}
NUMBER = {
    "text": "27",
    "art": "",
    "name": "number",
    "face": "narrow",
    "weight": "black",
    "height_mm": "6",
    "colour": "auto",
    "ground": "",
    "count": "1",
    "spares": "1",
    "place_panel_0": "left door",
    "place_x_0": "6",
    "place_y_0": "6.5",
    "place_turn_0": "",
    "place_height_0": "",
    "action": "save",
}
HOSTILE = '<script>alert("x")</script>'


@pytest.fixture
def livery(client: CheckedClient) -> str:
    """The address of a livery with a number on a yellow door."""
    client.post("/cars/new", data={"name": "Plum", "casting": "Larch Wagon", "note": ""})
    assert client.post("/castings/1/panels/new", data=DOOR).status_code == 303
    made = client.post("/decals/new", data={"name": "Larch 27", "casting_id": "1"})
    address = str(made.headers["location"])
    assert client.post(f"{address}/items/new", data=NUMBER).status_code == 303
    return address


def test_from_a_door_to_a_sheet(client: CheckedClient, livery: str) -> None:
    page = client.get(livery).text
    assert "Every item fits, shows and can be read" in page.replace("shows on its paint", "shows")
    assert page.count('data-mark="piece"') == 3  # in three widths
    assert "true on a calibrated screen only" in page
    sheet = client.get(f"{livery}/sheet").text
    assert "2 pieces: 1 sheet is the least; " in sheet
    panels = client.get("/castings/1/panels").text
    assert "1 panel, each as seen from outside" in panels
    assert "handle" in panels
    assert "Larch 27" in client.get("/decals").text
    assert "/castings/1/panels" in client.get("/cars/1").text


FILES = [
    ("sheet.pdf", "application/pdf", b"%PDF-1."),
    ("sheet-1.svg", "image/svg+xml", b"<svg "),
    ("cut-1.svg", "image/svg+xml", b"<svg "),
    ("cut-1.dxf", "image/vnd.dxf", b"  0"),
]


def test_files(client: CheckedClient, livery: str) -> None:
    for name, kind, begins in FILES:
        answer = client.get(f"{livery}/{name}")
        assert answer.status_code == 200
        assert answer.headers["content-type"].startswith(kind)
        assert answer.content.startswith(begins)
        assert 'filename="larch-27' in answer.headers["content-disposition"]
    assert client.get(f"{livery}/cut-9.dxf").status_code == 404


PANELS_REFUSED: list[tuple[dict[str, str], str]] = [
    ({"width_mm": "0"}, "The width is 0 mm; allowed is 0.5 to 200 mm"),
    ({"width_mm": "wide"}, "The width is &#39;wide&#39;"),
    ({"paint": "300 0 0"}, "out of gamut"),
    ({"outline_mm": "0 0\n5\n", "width_mm": "", "height_mm": ""}, "one corner on each line"),
    ({"outline_mm": "0 0\n4 4\n4 0\n0 4", "width_mm": "", "height_mm": ""}, "crosses itself"),
    ({"keep_left_0": "17", "keep_right_0": "17"}, "Keep-out 1, left and right is 17, 17"),
    ({"keep_left_0": "x"}, "Keep-out 1, left is &#39;x&#39;"),
]


def test_panels_that_will_not_do(client: CheckedClient, livery: str) -> None:
    for change, said in PANELS_REFUSED:
        typed = DOOR | {"name": "kept as typed"} | change
        answer = client.post("/castings/1/panels/new", data=typed)
        assert answer.status_code == 422, change
        assert said in answer.text
        assert "kept as typed" in answer.text
    assert livery


ITEMS_REFUSED: list[tuple[dict[str, str], str]] = [
    ({"text": "漢"}, "which the face narrow does not have"),
    ({"text": ""}, "The text is"),
    ({"height_mm": "-3"}, "The height is -3 mm"),
    ({"colour": "puce-ish"}, "The colour is"),
    ({"face": "round", "weight": "black"}, "The weight is"),
    ({"name": "number"}, "a name that no other item has"),
    ({"place_panel_0": "wing"}, "a panel of this casting"),
    ({"place_x_0": "left"}, "Place 1, x is"),
    ({"outline_mm": "99"}, "The width of the outline is 99 mm"),
    ({"sizes_mm": "3 x"}, "More heights is"),
    ({"count": "0"}, "The number of copies is 0"),
]


def test_items_that_will_not_do(client: CheckedClient, livery: str) -> None:
    for change, said in ITEMS_REFUSED:
        typed = NUMBER | {"name": "another", "group": "kept as typed"} | change
        answer = client.post(f"{livery}/items/new", data=typed)
        assert answer.status_code == 422, change
        assert said in answer.text
        assert "kept as typed" in answer.text


def test_rows_habits_and_preview_without_keeping(
    client: CheckedClient, book: BenchBook, livery: str
) -> None:
    more = client.post(f"{livery}/items/1", data=NUMBER | {"action": "add_place"}).text
    assert "place_panel_1" in more
    fewer = client.post(f"{livery}/items/1", data=NUMBER | {"action": "remove_place_0"}).text
    assert "place_panel_0" not in fewer
    habit = client.post(f"{livery}/items/1", data=NUMBER | {"action": "suggest"}).text
    assert "the number at the leading edge of the door" in habit
    part = client.htmx("POST", f"{livery}/items/preview", data=NUMBER | {"text": "88"}).text
    assert "cut out" in part
    assert "<svg" in part
    poor = client.htmx("POST", f"{livery}/items/preview", data=NUMBER | {"height_mm": "x"}).text
    assert "when the item can be drawn" in poor
    assert len(show_livery(book, 1).question.items[0].places) == 1


def test_a_piece_that_was_dragged(client: CheckedClient, book: BenchBook, livery: str) -> None:
    moved = {"item": "0", "place": "0", "x_mm": "14.5", "y_mm": "7"}
    assert client.post(f"{livery}/move", data=moved).status_code == 303
    place = show_livery(book, 1).question.items[0].places[0]
    assert (place.x_mm, place.y_mm) == (14.5, 7.0)
    assert "does not fit" in client.get(livery).text
    assert client.post(f"{livery}/move", data=moved | {"x_mm": "1e9"}).status_code == 422
    assert client.post(f"{livery}/move", data=moved | {"item": "7"}).status_code == 404


def test_settings_sheet_and_film(client: CheckedClient, book: BenchBook, livery: str) -> None:
    setting = {"title": "Larch 28", "film": "white", "by": "frame", "frame_width_mm": "960"}
    setting |= {"frame_width_px": "1920", "distance_mm": "", "speed_m_s": "", "exposure_s": ""}
    assert client.post(f"{livery}/settings", data=setting).status_code == 303
    assert "4.50" in client.get(livery).text  # 9 px of half a millimetre
    poor = client.post(f"{livery}/settings", data=setting | {"frame_width_mm": ""})
    assert poor.status_code == 422
    paper = {"width_mm": "148", "height_mm": "105", "margin_mm": "6", "gap_mm": "0.5"}
    paper |= {"corner_radius_mm": "0.5", "piece_gap_mm": "1", "turns": "any", "cutting": "plotter"}
    assert client.post(f"{livery}/sheet", data=paper).status_code == 303
    refused = client.post(f"{livery}/sheet", data=paper | {"width_mm": "60"})
    assert refused.status_code == 422
    assert "for the 100 mm bar" in refused.text
    with book.write() as session:
        details = {"film": "white"}
        entry = ItemEntry(
            *(ItemKind.FILM, "White film", "", StockUnit.SHEET, None, "", None, details)
        )
        film = drawer_store.add_item(session, entry, NOW)
        drawer_store.buy(session, film.id, 2, NOW)
    printed = {"item_id": str(film.id), "sheets": "1"}
    assert client.post(f"{livery}/printed", data=printed).status_code == 303
    assert "White film: 1 sheet" in client.get(f"{livery}/sheet").text
    short = client.post(f"{livery}/printed", data=printed | {"sheets": "5"})
    assert short.status_code == 422
    assert "at least 5 sheets" in short.text


def test_art_from_hostile_hands(client: CheckedClient, livery: str) -> None:
    def send(name: str, content: bytes, called: str = "") -> str:
        files = {"art": (name, content, "image/svg+xml")}
        answer = client.post("/decals/art", data={"name": called}, files=files)
        return answer.text if answer.status_code == 422 else str(answer.status_code)

    assert "an SVG with &lt;script&gt;" in send("x.svg", b"<svg><script>1</script></svg>")
    assert "choose a file" in send("x.svg", b"")
    assert send("../../<script>star.svg", STAR) == "303"
    listed = client.get("/decals").text
    assert "script star" in listed
    assert "<script>star" not in listed
    picture = io.BytesIO()
    Image.new("RGB", (30, 20), "#112233").save(picture, "PNG")
    assert send("p.png", picture.getvalue(), "Badge") == "303"
    item = NUMBER | {"text": "", "art": "Badge", "name": "badge", "height_mm": "4"}
    assert client.post(f"{livery}/items/new", data=item).status_code == 303
    page = client.get(livery).text
    address = re.search(r'href="(/decals/art/\d+/pixels)"', page)
    assert address is not None
    assert client.get(address[1]).headers["content-type"] == "image/png"
    assert "dots per inch at this size" in page
    assert client.get("/decals/art/1/pixels").status_code == 404  # shapes alone
    assert client.get(f"{livery}/sheet.pdf").content.startswith(b"%PDF")


def test_tracing_on_a_photo(client: CheckedClient, livery: str) -> None:
    photo = io.BytesIO()
    Image.new("RGB", (800, 400), "#445566").save(photo, "PNG")
    files = {"photo": ("p.png", photo.getvalue(), "image/png")}
    to = client.post("/castings/1/panels/photo", files=files).headers["location"]
    page = client.get(to).text
    assert "two points whose distance you know" in page
    sha256 = to.rpartition("=")[2]
    typed = {"photo": sha256, "known_px": "100 300\n600 300", "known_mm": "40", "role": "roof"}
    typed |= {"points_px": "100 100\n350 100\n350 225\n100 225", "curvature": "flat"}
    typed |= {"paint": "#445566", "name": "", "action": "save"}
    kept = client.post("/castings/1/panels/trace", data=typed)
    assert kept.status_code == 303
    # 500 px are 40 mm: 250 × 125 px are 20 × 10 mm.
    assert "20 10" in client.get(kept.headers["location"]).text
    for change, said in (
        ({"known_px": "1 1"}, "click the two first"),
        ({"points_px": "1 1\n2 2"}, "3 to 200 corners"),
        ({"known_mm": ""}, "Their distance is empty"),
        ({"points_px": "a b\nc d\n"}, "one point on each line"),
        ({"known_px": "1 1\n1 1"}, "choose points far apart"),
    ):
        answer = client.post("/castings/1/panels/trace", data=typed | {"name": "x"} | change)
        assert answer.status_code == 422
        assert said in answer.text
    assert (
        client.post("/castings/1/panels/trace", data=typed | {"action": "show"}).status_code == 200
    )
    assert livery


def test_applying_and_another_casting(client: CheckedClient, book: BenchBook, livery: str) -> None:
    page = client.get(f"{livery}/apply").text
    assert "Let it dry through" in page
    assert "Common practice, no source" in page
    assert "no car of this casting has a build" in page.lower()
    build = begin_build(book, 1, BuildEntry(), BuildTerms("Spring"), NOW)
    put = client.post(f"{livery}/apply", data={"build_id": str(build.id)})
    assert put.headers["location"] == f"/builds/{build.id}"
    assert "Let it dry through" in client.get(f"/builds/{build.id}").text
    assert client.post(f"{livery}/apply", data={"build_id": "x"}).status_code == 422
    client.post("/cars/new", data={"name": "Fig", "casting": "Marl Coupé", "note": ""})
    assert "No other casting has panels yet" in client.get(f"{livery}/carry").text
    client.post("/castings/2/panels/new", data=DOOR | {"width_mm": "12", "height_mm": "7"})
    typed = {"casting_id": "2", "name": "Marl 27", "action": "show"}
    assert "number on the left door: 6 mm became" in client.post(f"{livery}/carry", data=typed).text
    kept = client.post(f"{livery}/carry", data=typed | {"action": "keep"})
    assert "Carried over from Larch 27" in client.get(kept.headers["location"]).text


def test_names_with_markup_and_addresses_that_lead_nowhere(
    client: CheckedClient, livery: str
) -> None:
    client.post("/decals/new", data={"name": HOSTILE, "casting_id": "1"})
    client.post("/castings/1/panels/new", data=DOOR | {"name": HOSTILE})
    client.post(f"{livery}/items/new", data=NUMBER | {"name": HOSTILE})
    for address in ("/decals", livery, f"{livery}/sheet", "/castings/1/panels", f"{livery}/apply"):
        page = client.get(address).text
        assert "<script>alert" not in page
    for address in ("/decals/99", "/decals/x", f"{livery}/items/99", "/panels/99"):
        assert client.get(address).status_code == 404
    assert client.post("/decals/new", data={"name": "", "casting_id": "x"}).status_code == 422
