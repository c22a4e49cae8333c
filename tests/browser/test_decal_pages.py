"""Decals in a real browser: for anyone, dragged, traced, shown while they are typed."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, expect

from hillbench.decals.item import Edge, Item, Place
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind
from hillbench.records.photo_store import Subject
from hillbench.usecases.add_photo import add_photo
from hillbench.usecases.save_car import save_car
from hillbench.usecases.save_livery import add_livery
from hillbench.usecases.save_panel import save_panel
from hillbench.usecases.show_livery import show_livery
from tests.browser.anyone import open_all_details, require_for_anyone
from tests.browser.conftest import WIDE, LiveApp, Watched, open_context
from tests.decals.pieces import PANELS

NOW = datetime(2026, 3, 14, 18, 30, tzinfo=UTC)
NUMBER = Item(
    *("number", "27"),
    height_mm=5.0,
    colour="#ffffff",
    outline=Edge(0.5),
    places=(Place("left door", 6.0, 6.5), Place("bonnet", 11.0, 9.0)),
)
SMALL = Item("name", "Larch", height_mm=1.2, places=(Place("windscreen", 19.0, 3.5),))
PATHS = (
    "/decals",
    "/decals/1",
    "/decals/1/items/1",
    "/decals/1/sheet",
    "/castings/1/panels",
)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchBook]:
    """A livery with something poor on it, and a photo to trace on."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("decals"))) as opened:
        save_car(opened, "Larch Wagon", "Plum", "", NOW)
        for panel in PANELS:
            save_panel(opened, 1, panel, NOW)
        add_livery(opened, 1, "Larch 27", NOW, (NUMBER, SMALL))
        photo = io.BytesIO()
        Image.new("RGB", (800, 500), "#445566").save(photo, "PNG")
        add_photo(opened, Subject(Kind.CASTING, 1), photo.getvalue(), NOW)
        yield opened


@pytest.mark.parametrize("path", PATHS)
def test_anyone_can_use_it_on_any_screen(browser: Browser, live: LiveApp, path: str) -> None:
    require_for_anyone(browser, f"{live.address}{path}", open_all_details)


def test_a_decal_is_dragged_by_its_cut_line(
    browser: Browser, live: LiveApp, book: BenchBook
) -> None:
    with open_context(browser, WIDE) as context:
        watched = Watched(context.new_page())
        page = watched.page
        page.goto(f"{live.address}/decals/1")
        piece = page.locator(".picture-wide [data-item='0'][data-place='0']")
        box = piece.bounding_box()
        scale = float(piece.get_attribute("data-px-per-mm") or "0")
        picture = page.locator(".picture-wide svg").first.bounding_box()
        assert box is not None
        assert picture is not None
        shown = scale * picture["width"] / 900.0  # the picture is drawn 900 px wide
        x, y = box["x"] + box["width"] / 2.0, box["y"] + box["height"] / 2.0
        page.mouse.move(x, y)
        page.mouse.down()
        page.mouse.move(x + 3.0 * shown, y - 1.0 * shown, steps=4)
        page.mouse.up()
        expect(page.locator("#messages")).to_contain_text("Moved to 9.0, 5.5 mm")
        assert watched.complaints == []
    place = show_livery(book, 1).question.items[0].places[0]
    assert place.x_mm == pytest.approx(9.0, abs=0.05)
    assert place.y_mm == pytest.approx(5.5, abs=0.05)


def test_a_panel_is_traced_and_an_item_drawn_while_it_is_typed(
    browser: Browser, live: LiveApp
) -> None:
    with open_context(browser, WIDE) as context:
        watched = Watched(context.new_page())
        page = watched.page
        page.goto(f"{live.address}/castings/1/panels/trace")
        page.locator(".trace-photos a").first.click()
        box = page.locator("#trace-picture").bounding_box()
        assert box is not None
        for across, down in (
            (0.1, 0.9),
            (0.6, 0.9),
            (0.2, 0.2),
            (0.7, 0.2),
            (0.7, 0.6),
            (0.1, 0.1),
        ):
            page.mouse.click(box["x"] + across * box["width"], box["y"] + down * box["height"])
        page.get_by_role("button", name="Take the last point back").click()
        page.locator("#trace-known_mm").fill("40")
        page.locator("#trace-name").fill("traced door")
        page.get_by_role("button", name="Keep this panel").click()
        # 400 px are 40 mm; the corners are 400 px apart across and 200 px down.
        corners = page.locator("#panel-outline_mm").input_value().split("\n")
        assert len(corners) == 3
        width, _ = (float(part) for part in corners[1].split())
        assert width == pytest.approx(40.0, abs=0.3)
        page.goto(f"{live.address}/decals/1/items/1")
        before = page.locator("#item-preview").inner_html()
        page.locator("#item-text").fill("88")
        expect(page.locator("#item-preview svg")).to_be_visible()
        page.wait_for_function(
            "before => document.getElementById('item-preview').innerHTML !== before", arg=before
        )
        assert watched.complaints == []
