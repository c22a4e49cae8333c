"""Cavity, photo, plan and balance in a real browser: for anyone, by mouse and by keyboard."""

from __future__ import annotations

import io
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image
from playwright.sync_api import Browser, Page, expect

from hillbench.ballast.body_styles import TYPICAL_CAVITIES
from hillbench.coasting.track import Track
from hillbench.records.ballast_plan_store import add_ballast_plan
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind
from hillbench.records.photo_store import Subject
from hillbench.records.track_store import TrackState
from hillbench.usecases.add_photo import add_photo
from hillbench.usecases.keep_ballast_plan import choose_plan
from hillbench.usecases.keep_cavity import keep_cavity
from hillbench.usecases.save_car import save_car
from hillbench.usecases.save_track import save_track
from tests.browser.anyone import open_all_details, require_for_anyone
from tests.browser.conftest import WIDE, LiveApp, open_context
from tests.coasting.hill import WINDING
from tests.usecases.bench import NOW
from tests.usecases.test_ballast_plans import record


@pytest.fixture(scope="module")
def address(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """Address of a live app with a cavity, a photo and a chosen plan."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("ballast"))) as book:
        save_car(book, "Marsh Runner", "No. 7", "", NOW)
        hill: Track = WINDING
        save_track(book, "Long shed", "", TrackState(hill, 0.008, 0.2, None, None, None), NOW)
        keep_cavity(book, 1, TYPICAL_CAVITIES["saloon"], NOW)
        file = io.BytesIO()
        Image.new("RGB", (1200, 600), (200, 200, 200)).save(file, "PNG")
        add_photo(book, Subject(Kind.CASTING, 1), file.getvalue(), NOW)
        with book.write() as session:
            plan = add_ballast_plan(session, record(1, "two bars"))
        choose_plan(book, plan.id, NOW)
        with LiveApp(book) as app:
            yield app.address


@pytest.mark.parametrize(
    "path",
    [
        "/castings/1/cavity",
        "/castings/1/cavity/outline/side",
        "/cars/1/ballast/new",
        "/cars/1/ballast/1",
        "/cars/1/balance",
    ],
)
def test_pages_are_for_anyone(browser: Browser, address: str, path: str) -> None:
    require_for_anyone(browser, f"{address}{path}", open_all_details)


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    with open_context(browser, WIDE) as context:
        yield context.new_page()


def test_a_post_is_dragged_and_moved_by_keys(page: Page, address: str) -> None:
    page.goto(f"{address}/castings/1/cavity")
    place, side = page.locator("#cavity-keep_at_0"), page.locator("#cavity-keep_side_0")
    expect(place).to_have_value("-7")
    post = page.locator('[data-keep-out="0"]')
    box = post.bounding_box()
    assert box is not None
    scale = page.evaluate(
        "() => { const p = document.querySelector('[data-cavity]');"
        " return p.getScreenCTM().a * Number(p.dataset.pxPerMm); }"
    )
    middle = (box["x"] + box["width"] / 2.0, box["y"] + box["height"] / 2.0)
    page.mouse.move(*middle)
    page.mouse.down()
    page.mouse.move(middle[0] + 10.0 * scale, middle[1] - 3.0 * scale, steps=4)
    page.mouse.up()
    assert float(place.input_value()) == pytest.approx(3.0, abs=0.11)
    assert float(side.input_value()) == pytest.approx(3.0, abs=0.11)
    page.wait_for_load_state("networkidle")
    before = float(place.input_value())
    page.locator('[data-keep-out="0"]').focus()
    page.keyboard.press("ArrowRight")
    expect(place).to_have_value(f"{before + 0.5:g}")
    page.wait_for_load_state("networkidle")
    expect(page.locator('[data-keep-out="0"]')).to_be_focused()


def test_a_line_is_clicked_and_a_point_taken_out(page: Page, address: str) -> None:
    page.goto(f"{address}/castings/1/cavity/outline/side")
    page.locator(".photo-choice a").first.click()
    photo = page.locator("[data-trace]")
    box = photo.bounding_box()
    assert box is not None
    px = box["width"] / 1200.0
    for x, y in ((320, 410), (740, 410), (205, 340), (425, 260), (615, 260), (835, 350)):
        photo.click(position={"x": x * px, "y": y * px})
    expect(page.locator("#outline-preview .preview-sentence")).to_contain_text("cm³ of room")
    rear = [float(part) for part in page.locator("#outline-rear_px").input_value().split()]
    assert rear == pytest.approx([320.0, 410.0], abs=2.0)
    points = page.locator("#outline-points_px")
    assert len(points.input_value().splitlines()) == 4
    page.locator('[data-point="points_px:1"]').focus()
    page.keyboard.press("Delete")
    assert len(points.input_value().splitlines()) == 3


def test_a_plan_is_turned_by_dragging(page: Page, address: str) -> None:
    page.goto(f"{address}/cars/1/ballast/1")
    picture = page.locator("#turning .picture")
    picture.scroll_into_view_if_needed()
    before = picture.get_attribute("data-turn-deg")
    box = picture.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 200.0, box["y"] + 150.0)
    page.mouse.down()
    page.mouse.move(box["x"] + 300.0, box["y"] + 180.0, steps=5)
    page.mouse.up()
    page.wait_for_load_state("networkidle")
    expect(page.locator("#turning .picture")).not_to_have_attribute("data-turn-deg", str(before))
