"""The build sheet: one page that explains a car."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from hillbench.sheets import path
from hillbench.sheets.build_content import BuildContent, SheetPhoto
from hillbench.sheets.drawing import Drawing, Group, Mark, Photo, one_page
from hillbench.sheets.flow import (
    MUTED,
    WARNING,
    Block,
    Row,
    fit,
    gap,
    height_of,
    paragraph,
    section,
    stack,
    table,
)
from hillbench.sheets.own_picture import read_picture
from hillbench.sheets.page import PageSize
from hillbench.sheets.page_frame import frame
from hillbench.sheets.time_bars import time_bars

_BETWEEN_MM: Final = 7.0
_PHOTO_SHARE: Final = 0.62
_PICTURE_SHARE: Final = 1.05
_MORE: Final = "More stands on the page of the build."


def build_sheet(content: BuildContent, size: PageSize) -> Drawing:
    """Return the build sheet, always one page: the type shrinks until all fits.

    Parameters
    ----------
    content
        What it says.
    size
        A4 or Letter.
    """
    around = frame(
        size,
        "Build sheet",
        content.title,
        (content.car, *content.lines),
        content.link,
        content.foot,
    )
    column = (around.width_mm - _BETWEEN_MM) / 2.0
    marks = list(around.marks)
    top = around.top_mm
    if content.sentence:
        said = paragraph(content.sentence, around.width_mm, 4.2, "bold")
        marks.append(said.at(around.left_mm, top))
        top += said.height_mm + 2.5
    columns, _ = fit(
        lambda size_mm: _columns(content, column, size_mm), around.bottom_mm - top, _MORE
    )
    for number, blocks in enumerate(columns):
        marks += stack(blocks, around.left_mm + number * (column + _BETWEEN_MM), top)
    return one_page(f"Build sheet: {content.title}", size, tuple(marks))


def _columns(content: BuildContent, room: float, size: float) -> list[list[Block]]:
    """Return both columns: car and mass to the left, times and ballast to the right.

    What follows goes where there is more room left.
    """
    left: list[Block] = []
    if content.photo is not None:
        left += _photo(content.photo, room, size)
    left += _rows("What it weighs", content.masses, room, size)
    left += _rows("Balance", content.balance, room, size)
    bars = [
        block
        for times in content.times
        for block in (*time_bars(times, room, size), gap(0.7 * size))
    ]
    right = section("Before and after", bars, room, size)
    right += _ballast(content, room, size)
    for more in _others(content, room, size):
        (left if height_of(left) <= height_of(right) else right).extend(more)
    return [left, right]


def _others(content: BuildContent, room: float, size: float) -> Iterator[list[Block]]:
    yield _rows("Fasteners", content.fasteners, room, size)
    yield _rows("Lubrication", content.lubrication, room, size)
    yield _rows("Decals", content.decals, room, size)
    yield _rows("Parts used", content.parts, room, size)
    notes = [paragraph(note, room, 0.92 * size, colour=WARNING) for note in content.notes]
    yield section("Keep in mind", notes, room, size)


def _rows(title: str, rows: Sequence[Row], room: float, size: float) -> list[Block]:
    return section(title, table(rows, room, size), room, size)


def _photo(photo: SheetPhoto, room: float, size: float) -> list[Block]:
    """Return a photo as wide as the column, cut at its upper and lower edge where it is tall."""
    height = min(room * photo.height_px / photo.width_px, _PHOTO_SHARE * room * size / 3.0)
    blocks = [Block(height + 1.0, (cropped(photo, room, height),))]
    if photo.caption:
        blocks.append(paragraph(photo.caption, room, 0.9 * size, colour=MUTED))
    return [*blocks, gap(1.2 * size)]


def cropped(photo: SheetPhoto, width_mm: float, height_mm: float) -> Group:
    """Return a photo that fills a box, its middle in the middle, the rest cut off."""
    scale = max(width_mm / photo.width_px, height_mm / photo.height_px)
    wide, tall = scale * photo.width_px, scale * photo.height_px
    left, top = (width_mm - wide) / 2.0, (height_mm - tall) / 2.0
    marks: tuple[Mark, ...] = (Photo(photo.data, left, top, wide, tall),)
    return Group(marks, clip=path.rectangle(0.0, 0.0, width_mm, height_mm, 1.2))


def _ballast(content: BuildContent, room: float, size: float) -> list[Block]:
    if not content.ballast_picture:
        return []
    picture = read_picture(content.ballast_picture)
    height = min(room * picture.height_px / picture.width_px, _PICTURE_SHARE * room * size / 3.0)
    blocks = [Block(height + 1.0, (picture.fitted(0.0, 0.0, room, height),))]
    if content.ballast_note:
        blocks.append(paragraph(content.ballast_note, room, 0.9 * size, colour=MUTED))
    return section("Where the weight sits", blocks, room, size)
