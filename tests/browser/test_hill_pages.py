"""Tracks and cars on tracks in a real browser: seen, typed into, moved and measured."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from hillbench.records.bench_book import BenchBook
from tests.browser.anyone import require_for_anyone
from tests.browser.conftest import NARROW, WIDE, LiveApp, Watched, open_context
from tests.browser.hills import fill_hills

PATHS = ("/tracks", "/tracks/new", "/tracks/new?by=heights", "/tracks/1", "/cars/1/on/1")
PAIR = "/cars/1/on/1"
TRIED = f"{PAIR}?mass_g=50&bearing_friction=0.1"


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A bench book with one winding track, one car and some runs."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("hills"))) as opened:
        fill_hills(opened)
        yield opened


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    """A page of a laptop that must not complain."""
    with open_context(browser, WIDE) as context:
        watched = Watched(context.new_page())
        yield watched.page
        assert watched.complaints == []


@pytest.mark.parametrize("path", [*PATHS, TRIED])
def test_anyone_can_use_it_on_any_screen(browser: Browser, live: LiveApp, path: str) -> None:
    require_for_anyone(browser, f"{live.address}{path}")


_TEXT_BOXES = """() => [...document.querySelectorAll("svg.picture")].map((picture) => ({
  name: picture.querySelector("title").textContent,
  frame: picture.getBoundingClientRect().toJSON(),
  texts: [...picture.querySelectorAll("text")].map((text) => (
    {words: text.textContent, box: text.getBoundingClientRect().toJSON(),
     size: parseFloat(getComputedStyle(text).fontSize) *
           picture.getBoundingClientRect().width / picture.viewBox.baseVal.width})),
})).filter((picture) => picture.frame.width > 0)"""


def overlap_px(one: dict[str, float], other: dict[str, float]) -> float:
    """Return how far two boxes reach into each other, px; 0 where they do not."""
    wide = min(one["right"], other["right"]) - max(one["left"], other["left"])
    tall = min(one["bottom"], other["bottom"]) - max(one["top"], other["top"])
    return min(wide, tall) if wide > 0 and tall > 0 else 0.0


@pytest.mark.parametrize("size", [WIDE, NARROW, (768, 1000)], ids=["wide", "narrow", "between"])
@pytest.mark.parametrize("path", ["/tracks/1", TRIED])
def test_words_in_pictures_can_be_read_and_do_not_touch(
    browser: Browser, live: LiveApp, path: str, size: tuple[int, int]
) -> None:
    with open_context(browser, size) as context:
        page = context.new_page()
        page.goto(f"{live.address}{path}")
        pictures: list[dict[str, Any]] = page.evaluate(_TEXT_BOXES)
        assert len(pictures) >= 2
        for picture in pictures:
            for index, text in enumerate(picture["texts"]):
                assert text["size"] >= 10.0, (picture["name"], text["words"])
                assert text["box"]["left"] >= 0
                assert text["box"]["right"] <= size[0]
                for other in picture["texts"][index + 1 :]:
                    # Boxes hold the room for ascents and descents: letters meet later.
                    reach = overlap_px(text["box"], other["box"])
                    assert reach < 4.0, (picture["name"], text["words"], other["words"])


def test_the_picture_follows_the_typing(page: Page, live: LiveApp) -> None:
    page.goto(f"{live.address}/tracks/1")
    sentence = page.locator("#track-preview .preview-sentence")
    expect(sentence).to_contain_text("18.50 m long")
    page.get_by_label("Length").fill("20")
    expect(sentence).to_contain_text("20.00 m long")
    page.get_by_label("Length").fill("20 stone")
    expect(page.locator("#track-preview")).to_contain_text("Length is '20 stone'")
    expect(page.get_by_label("Length")).to_have_value("20 stone")
    page.get_by_label("Length").fill("61 ft")
    expect(sentence).to_contain_text("18.59 m long")  # 61 ft of 0.3048 m


def test_rows_come_and_go_and_the_cursor_follows(page: Page, live: LiveApp) -> None:
    page.goto(f"{live.address}/tracks/new?by=slopes")
    page.locator("#track-point_at_0").fill("0")
    page.get_by_role("button", name="Add a point").click()
    expect(page.locator("#track-point_at_4")).to_be_focused()
    expect(page.locator("#track-point_at_0")).to_have_value("0")
    page.get_by_role("button", name="Remove point 1").click()
    expect(page.locator("#track-point_at_4")).to_have_count(0)
    expect(page.locator("#track-point_at_0")).to_have_value("")


def test_enter_in_a_field_removes_nothing(page: Page, live: LiveApp) -> None:
    page.goto(f"{live.address}/tracks/1")
    page.locator("#track-point_at_0").press("Enter")
    expect(page.locator("#track-point_at_5")).to_have_value("11.5")


def test_a_slider_answers_and_the_address_follows(page: Page, live: LiveApp) -> None:
    page.goto(f"{live.address}{PAIR}")
    slider = page.get_by_label("Bearing friction", exact=True)
    slider.focus()
    for _ in range(8):
        slider.press("ArrowLeft")
    answer = page.locator("#what-if-answer")
    expect(answer).to_contain_text("faster")
    # Answers to the steps on the way come first; the address follows each of them.
    page.wait_for_url(re.compile(f"bearing_friction={re.escape(slider.input_value())}"))
    expect(page.locator("#what-if-difference svg:visible")).to_have_count(1)
    shown = page.locator("output[for=what-if-bearing_friction]").text_content()
    assert float(shown or "") == pytest.approx(float(slider.input_value()), abs=0.0005)
    told = " ".join((answer.text_content() or "").split())
    page.reload()
    expect(answer).to_have_text(told)


def test_a_curve_can_be_read_under_the_pointer(page: Page, live: LiveApp) -> None:
    page.goto(f"{live.address}{PAIR}")
    readout = page.locator("#trace-readout")
    before = readout.text_content()
    curve = page.locator("svg[data-readout]:visible")
    curve.scroll_into_view_if_needed()
    curve.hover(position={"x": 400, "y": 60})
    expect(readout).to_contain_text(re.compile(r"At \d+\.\d\d m: \d\.\d\d m/s, \d+\.\d\d s after"))
    page.mouse.move(5, 5)
    expect(readout).to_have_text(before or "")


def test_everything_works_without_script(browser: Browser, live: LiveApp) -> None:
    with open_context(browser, NARROW, script=False) as context:
        page = context.new_page()
        page.goto(f"{live.address}{TRIED}")
        expect(page.locator("#what-if-answer")).to_contain_text("faster")
        page.get_by_role("button", name="Work it out").click()
        assert "mass_g=50" in page.url
        page.goto(f"{live.address}/tracks/new?by=slopes")
        page.get_by_role("button", name="Add a point").click()
        expect(page.locator("#track-point_at_4")).to_have_count(1)
        for number, (at, slope) in enumerate((("0", "20"), ("2", "20"), ("4", "1"))):
            page.locator(f"#track-point_at_{number}").fill(at)
            page.locator(f"#track-point_value_{number}").fill(slope)
        page.get_by_label("Name").fill("Plain Hill")
        page.get_by_label("Length").fill("6")
        page.get_by_role("button", name="Show", exact=True).click()
        expect(page.locator("#track-preview")).to_contain_text("6.000 m long")
        page.get_by_role("button", name="Save the track").click()
        expect(page.locator("h1")).to_have_text("Plain Hill")
