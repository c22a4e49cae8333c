"""Cavity, question, search, plan and balance on their pages: bad input loses nothing."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from html import unescape
from threading import Event

import pytest
from PIL import Image

from hillbench.ballast.aims import Level
from hillbench.ballast.task import BallastTask
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.keep_ballast_plan import find_chosen_plan, list_kept_plans
from hillbench.usecases.keep_cavity import find_kept_cavity
from hillbench.usecases.question import read_question
from hillbench.usecases.save_car import save_car
from hillbench.usecases.weigh_car import weigh_car
from hillbench.web.app import create_app
from hillbench.web.ballast_jobs import Search, Searches, SearchState
from hillbench.web.length_words import in_preferred_lengths
from hillbench.web.preferences import Preferences
from tests.usecases.test_ballast_plans import TASK, planned
from tests.web.conftest import NOW, CheckedClient
from tests.web.form_fields import form_fields

CAVITY, OUTLINE = "/castings/1/cavity", "/castings/1/cavity/outline/side"
ASK = "/cars/1/ballast/new"


def words(html: str) -> str:
    """Return the words of a page in one line."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.fixture
def client(book: BenchBook) -> CheckedClient:
    """A client on a bench with one weighed car."""
    save_car(book, "Marsh Runner", "No. 7", "", NOW)
    weigh_car(book, 1, [40.1], 0.01, NOW)
    return CheckedClient(create_app(book, clock=lambda: NOW))


def cavity_form(client: CheckedClient) -> dict[str, str]:
    return dict(form_fields(client.get(f"{CAVITY}?style=saloon").text, CAVITY))


def keep_cavity(client: CheckedClient) -> None:
    kept = client.post(CAVITY, data={**cavity_form(client), "action": "save"})
    assert kept.status_code == 303


def test_a_cavity_begins_from_a_body_and_is_kept(client: CheckedClient, book: BenchBook) -> None:
    begin = client.get(CAVITY)
    assert "Which body is nearest?" in begin.text
    typical = client.get(f"{CAVITY}?style=coup%C3%A9")
    assert "typical sizes, not yours" in typical.text
    form = {**cavity_form(client), "roof_mm": "5/8 in", "keep_name_1": "screw post"}
    shown = client.htmx("POST", f"{CAVITY}/preview", data=form)
    assert "cm³ of room" in shown.text
    assert client.post(CAVITY, data={**form, "action": "save"}).status_code == 303
    kept = find_kept_cavity(book, 1).measured
    assert kept is not None
    assert kept.readings.roof_mm == pytest.approx(15.875)
    assert kept.keep_outs[1].name == "screw post"
    again = dict(form_fields(client.get(CAVITY).text, CAVITY))
    assert (again["roof_mm"], again["keep_at_0"], again["keep_wide_0"]) == ("15.875", "-7", "")


def test_rows_come_and_go_without_script(client: CheckedClient, book: BenchBook) -> None:
    form = {**cavity_form(client), "note": "typed already"}
    more = client.post(CAVITY, data={**form, "action": "add_keep"})
    rows = dict(form_fields(more.text, CAVITY))
    assert rows["keep_gap_2"] == "0.5"
    assert rows["note"] == "typed already"
    fewer = client.post(CAVITY, data={**rows, "action": "remove_keep_0"})
    assert dict(form_fields(fewer.text, CAVITY))["keep_name_0"] == "front post"
    assert find_kept_cavity(book, 1).record is None


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"roof_mm": "-2"}, "above the floor, not below it"),
        ({"width_mm": "0"}, "Width at the floor is 0 mm"),
        ({"windscreen_top_mm": "2"}, "Windscreen, top is 2 mm"),
        ({"wheelbase_mm": "forty"}, "a length such as 12.5 mm"),
        ({"keep_long_0": "0"}, "Length or diameter of keep-out 1"),
        ({"keep_at_0": ""}, "Place of keep-out 1 is empty"),
        ({"body_style": "boat"}, "The body style is 'boat'"),
        ({"keep_low_0": "6", "keep_high_0": "2"}, "Upper end of keep-out 1"),
        ({"keep_long_0": "120"}, "What stays free is all of the inside"),
        ({"deck_mm": "0.2", "roof_mm": "0.2", "bonnet_mm": "0.2", "belt_mm": "0.2"},
         "an inside with some volume"),
    ],
)  # fmt: skip
def test_a_cavity_that_cannot_be_is_told_in_one_sentence(
    client: CheckedClient, book: BenchBook, typed: dict[str, str], sentence: str
) -> None:
    form = {**cavity_form(client), "note": "measured twice", **typed, "action": "save"}
    refused = client.post(CAVITY, data=form)
    assert refused.status_code == 422
    assert sentence in words(refused.text)
    kept = dict(form_fields(refused.text, CAVITY))
    again = {name: text for name, text in form.items() if name not in ("action", "body_style")}
    assert all(kept[name] == text for name, text in again.items())
    assert find_kept_cavity(book, 1).record is None


def photo_of(client: CheckedClient) -> str:
    file = io.BytesIO()
    Image.new("RGB", (1200, 600)).save(file, "PNG")
    kept = client.post(f"{OUTLINE}/photo", files={"photo": ("a.png", file.getvalue())})
    return str(kept.headers["location"]).partition("photo=")[2]


def test_a_line_on_a_photo_takes_the_place_of_readings(
    client: CheckedClient, book: BenchBook
) -> None:
    assert "The readings come first" in client.get(OUTLINE).text
    keep_cavity(client)
    form = {
        "photo": photo_of(client),
        "rear_px": "320 410",
        "front_px": "740 410",
        "points_px": "205 340\n330 330\n425 260\n615 260\n735 350\n835 350",
    }
    shown = client.post(OUTLINE, data={**form, "action": "show"})
    assert "cm³ of room" in shown.text
    assert client.post(OUTLINE, data={**form, "action": "save"}).status_code == 303
    measured = find_kept_cavity(book, 1).measured
    assert measured is not None
    assert [one.view for one in measured.outlines] == ["side"]
    # Readings typed later leave the outline; it is dropped on request, and that can be undone.
    later = dict(form_fields(client.get(CAVITY).text, CAVITY))
    client.post(CAVITY, data={**later, "width_mm": "20", "action": "save"})
    assert find_kept_cavity(book, 1).measured != measured
    assert client.post(f"{OUTLINE}/drop").status_code == 303
    dropped = find_kept_cavity(book, 1).measured
    assert dropped is not None
    assert dropped.outlines == ()


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"rear_px": ""}, "The rear axle is not marked"),
        ({"front_px": "321 410"}, "two axles at least 20 px apart"),
        ({"points_px": "1 2"}, "The line is 1 point"),
        ({"points_px": "400 300\n300 300"}, "a line that goes back at point 2"),
        ({"points_px": "205 500\n975 500"}, "trace the underside of body and glass"),
    ],
)
def test_an_outline_that_cannot_be_is_told_in_one_sentence(
    client: CheckedClient, typed: dict[str, str], sentence: str
) -> None:
    keep_cavity(client)
    form = {"photo": photo_of(client), "rear_px": "320 410", "front_px": "740 410"}
    form |= {"points_px": "205 340\n835 350", "action": "save", **typed}
    refused = client.post(OUTLINE, data=form)
    assert refused.status_code == 422
    assert sentence in words(refused.text)
    kept = dict(form_fields(refused.text, OUTLINE))
    assert all(kept[name].strip() == text for name, text in form.items() if name != "action")


def ask_form(client: CheckedClient) -> dict[str, str]:
    return dict(form_fields(client.get(ASK).text, ASK))


SMALL = {
    "limit_g": "47.5",
    "stock_count_0": "1",
    "stock_count_1": "0",
    "putty_g": "",
    "window_low_percent": "20",
    "window_high_percent": "80",
    "side_max_mm": "",
    "action": "plan",
}
"""One quarter ounce: proven at once."""


def test_a_plan_is_found_kept_shown_and_chosen(client: CheckedClient, book: BenchBook) -> None:
    assert "Measure the inside" in client.get(ASK).text
    keep_cavity(client)
    asked = client.post(ASK, data={**ask_form(client), **SMALL})
    assert asked.status_code == 303
    searches: Searches = client.app.state.searches  # type: ignore[attr-defined]
    address = asked.headers["location"]
    if "/search/" in address:
        search = searches.find(address.rpartition("/")[2])
        assert search is not None
        assert search.over.wait(60.0)
        address = client.get(address).headers["location"]
    (kept,) = list_kept_plans(book, 1)
    assert kept.plan.total_g == pytest.approx(40.1 + 7.09)
    page = client.get(address)
    assert kept.sentence in words(page.text)
    assert "47.19" in words(page.text)
    assert "Lead is poisonous" in words(page.text)
    assert client.get(f"{address}?turn=90&tilt=20").status_code == 200
    turned = client.htmx("GET", f"{address}/view?turn=nan&tilt=1e9")
    assert 'id="turning"' in turned.text
    assert client.post(f"{address}/choose").status_code == 303
    chosen = find_chosen_plan(book, 1)
    assert chosen is not None
    overview = client.get("/cars/1/ballast")
    assert "chosen" in words(overview.text)
    same = client.post(ASK, data={**ask_form(client), **SMALL})
    assert same.headers["location"] == address
    assert len(list_kept_plans(book, 1)) == 1
    again = dict(form_fields(client.get(f"{ASK}?from={kept.record.id}").text, ASK))
    assert again["limit_g"] == "47.5"
    assert again["stock_name_0"] == "lead quarter ounce"
    sheet = client.get(f"{address}/template.pdf")
    assert sheet.content.startswith(b"%PDF")
    assert client.get(f"{address}/template.svg").headers["content-type"] == "image/svg+xml"
    assert client.get(f"{address}/template.exe").status_code == 404
    question = client.get(f"{address}/question.json")
    assert read_question(question.text, BallastTask) == kept.task
    balance = client.get("/cars/1/balance")
    assert "Measure it after the build" in words(balance.text)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ({"limit_g": "35"}, "The limit is 35 g"),
        ({"window_high_percent": "120"}, "The window to is 120 %"),
        ({"window_low_percent": "60"}, "The window to is 50 %; allowed is at least 60 %"),
        ({"stock_thick_0": "0"}, "Length of piece 1 is 0 mm"),
        ({"stock_mass_0": "10 kg"}, "Mass of piece 1 is 10000 g"),
        ({"stock_mass_1": "9"}, "72 g/cm³"),
        ({"stock_mass_0": "3", "stock_metal_0": "lead"}, "g/cm³ for lead"),
        ({"time_limit_s": "0"}, "The time limit is 0 s"),
        ({"scale_guard_g": "nine"}, "The guard of the scale"),
        ({"bare_mass_g": "0"}, "weigh the bare car"),
        ({"stock_long_0": ""}, "Length of piece 1 is empty"),
    ],
)
def test_a_question_that_cannot_be_is_told_in_one_sentence(
    client: CheckedClient, book: BenchBook, typed: dict[str, str], sentence: str
) -> None:
    keep_cavity(client)
    form = {**ask_form(client), "name": "for Sunday", **typed, "action": "plan"}
    refused = client.post(ASK, data=form)
    assert refused.status_code == 422
    assert sentence in words(refused.text)
    kept = dict(form_fields(refused.text, ASK))
    assert all(kept[name] == text for name, text in form.items() if name != "action")
    assert list_kept_plans(book, 1) == ()


def test_no_stock_and_far_too_much_are_refused(client: CheckedClient) -> None:
    keep_cavity(client)
    form = ask_form(client)
    bare = {name: text for name, text in form.items() if not name.startswith("stock_")}
    empty = client.post(ASK, data={**bare, "putty_g": "", "action": "plan"})
    assert "What may be used is empty" in words(empty.text)
    row = {name: text for name, text in form.items() if name.endswith("_0")}
    many = {f"{name[:-1]}{number}": text for name, text in row.items() for number in range(500)}
    full = client.post(ASK, data={**bare, **many, "action": "plan"})
    assert full.status_code == 422
    assert "500 kinds" in words(full.text)


def test_a_search_tells_how_far_it_is_and_stops_with_what_it_has(client: CheckedClient) -> None:
    searches: Searches = client.app.state.searches  # type: ignore[attr-defined]
    told = Event()

    def work(search: Search) -> int:
        search.improve(planned())
        search.proven.append(Level.MASS)
        told.set()
        search.stop.wait(30.0)
        return 7

    search = searches.ask(Search("abc", 1, "57 g", TASK), work, patience_s=0.0)
    assert told.wait(30.0)
    assert searches.ask(Search("abc", 1, "57 g", TASK), work, patience_s=0.0) is search
    page = client.get("/cars/1/ballast/search/abc")
    assert "56.58 g with 2 pieces" in words(page.text)
    assert "proven: mass" in words(page.text)
    assert "57 g" in words(client.get("/cars/1/ballast").text)
    assert client.post("/cars/1/ballast/search/abc/stop").status_code == 303
    assert search.over.wait(30.0)
    assert search.state is SearchState.DONE
    done = client.get("/cars/1/ballast/search/abc")
    assert done.headers["location"] == "/cars/1/ballast/7"
    assert client.get("/cars/2/ballast/search/abc").status_code == 404


def test_a_search_that_fails_says_so(client: CheckedClient) -> None:
    from hillbench.errors import HillbenchError

    searches: Searches = client.app.state.searches  # type: ignore[attr-defined]

    def work(_: Search) -> int:
        raise HillbenchError("The plan did not pass its check.")

    search = searches.ask(Search("bad", 1, "57 g", TASK), work, patience_s=30.0)
    assert search.state is SearchState.FAILED
    assert "did not pass its check" in words(client.get("/cars/1/ballast/search/bad").text)


BALANCE = "/cars/1/balance"


def test_the_balance_is_worked_out_and_kept(client: CheckedClient) -> None:
    form = {**dict(form_fields(client.get(BALANCE).text, f"{BALANCE}#measure"))}
    form |= {"rear_g": "20.1 20.0", "wheelbase_mm": "42", "action": "show"}
    shown = client.post(BALANCE, data=form)
    assert "ahead of the rear axle, 50.0 % of the wheelbase" in words(shown.text)
    assert client.post(BALANCE, data={**form, "action": "keep"}).status_code == 303
    assert "Measured: 21.0" in words(client.get(BALANCE).text)
    wrong = client.post(BALANCE, data={**form, "rear_g": "50"})
    assert wrong.status_code == 422
    assert "The rear axle is 50 g" in words(wrong.text)


@pytest.fixture(autouse=True)
def _stop_searches(client: CheckedClient) -> Iterator[None]:
    yield
    client.app.state.searches.close()  # type: ignore[attr-defined]


def test_a_hostile_name_of_a_keep_out_stays_words(client: CheckedClient) -> None:
    form = {**cavity_form(client), "keep_name_0": "<script>x</script>", "action": "save"}
    assert client.post(CAVITY, data=form).status_code == 303
    assert "<script>x" not in client.get(CAVITY).text


def test_lengths_are_told_in_the_preferred_unit() -> None:
    """One inch is 25.4 mm, exactly."""
    sentence = "Lay the cube 5 mm flat: its edge 12.7 mm ahead; a plate of 15.24 × 2.54 mm, 7 g."
    inches = Preferences(length_unit="in")
    told = "Lay the cube 5 mm flat: its edge 0.500 in ahead; a plate of 0.600 × 0.100 in, 7 g."
    assert in_preferred_lengths(sentence, inches, ["cube", "cube 5 mm"]) == told
    assert in_preferred_lengths(sentence, Preferences(), ["cube 5 mm"]) == sentence
