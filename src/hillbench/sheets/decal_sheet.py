"""Sheets of decals: the print, white below it, the mirror image, the knife's lines, a guide."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

from hillbench.decals.artwork import Artwork
from hillbench.decals.colour import Colour
from hillbench.decals.nest import Spot
from hillbench.decals.shapes import polygons_of
from hillbench.decals.sheet_size import SheetSize
from hillbench.sheets import font, path
from hillbench.sheets.colour import CUT, WHITE_INK, Rgb
from hillbench.sheets.drawing import (
    CUT as CUT_LAYER,
)
from hillbench.sheets.drawing import (
    PRINT,
    WHITE,
    Drawing,
    Group,
    Layer,
    Mark,
    Page,
    Photo,
    Shape,
    Stroke,
    Words,
)
from hillbench.sheets.page import PageSize
from hillbench.sheets.path import Path, Transform
from hillbench.sheets.ruler import RULER_HEIGHT_MM, ruler_marks

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

FOOT_MM: Final = RULER_HEIGHT_MM + 4.0
"""Height at the lower end of a sheet that the bars and the test strip take, mm."""

RULER_WIDTH_MM: Final = 114.0
_PATCH_MM: Final = 5.4
_PATCH_HEIGHT_MM: Final = 4.3
_PATCH_STEP_MM: Final = 6.0
_PATCH_ROW_MM: Final = 6.6
_PATCH_ROWS: Final = 2
_CUT_WIDTH_MM: Final = 0.1
_GUIDE: Final = Rgb(0.93, 0.91, 0.87)
_QUIET: Final = Rgb(0.35, 0.38, 0.39)


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """One piece on its sheet.

    Attributes
    ----------
    label
        What it is and where it goes.
    art
        What is printed.
    cut
        What is cut out.
    spot
        Where it lies.
    """

    label: str
    art: Artwork
    cut: BaseGeometry = field(repr=False)
    spot: Spot


@dataclass(frozen=True, slots=True)
class DecalSheets:
    """What is to be printed.

    Attributes
    ----------
    title
        What it is, in words.
    size
        The sheet; its foot is kept free for the bars.
    pieces
        All pieces on all sheets.
    colours
        Of the test strip.
    white_page
        Whether a page of white ink goes with each sheet.
    mirrored_page
        Whether a mirrored page goes with each sheet.
    cut_printed
        Whether the cut line is printed, for scissors; a plotter reads it and does not.
    guide_page
        Whether a page for plain paper says which piece goes where.
    """

    title: str
    size: SheetSize
    pieces: tuple[LaidPiece, ...]
    colours: tuple[Colour, ...] = ()
    white_page: bool = False
    mirrored_page: bool = False
    cut_printed: bool = True
    guide_page: bool = True

    @property
    def sheets(self) -> int:
        """Number of sheets."""
        return max((piece.spot.sheet for piece in self.pieces), default=0) + 1


def nesting_size(size: SheetSize) -> SheetSize:
    """Return the sheet without its foot, as pieces are laid on it."""
    bottom_mm = size.margin_bottom_mm + FOOT_MM
    return SheetSize(
        size.width_mm,
        size.height_mm,
        size.margin_left_mm,
        size.margin_top_mm,
        size.margin_right_mm,
        bottom_mm,
    )


def decal_drawing(content: DecalSheets) -> Drawing:
    """Return the drawing of all pages, sheet by sheet."""
    paper = PageSize("film", content.size.width_mm, content.size.height_mm)
    pages: list[Page] = []
    for number in range(content.sheets):
        pieces = [one for one in content.pieces if one.spot.sheet == number]
        pages += _pages(content, paper, pieces, number)
    return Drawing(content.title, tuple(pages))


def _pages(
    content: DecalSheets, paper: PageSize, pieces: Sequence[LaidPiece], number: int
) -> list[Page]:
    of = f"sheet {number + 1} of {content.sheets}"
    printed = tuple(mark for one in pieces for mark in _print_marks(one))
    foot = _foot(content, of.capitalize())
    cut = Layer(CUT_LAYER, _cut_marks(pieces), printed=content.cut_printed)
    pages = [Page(paper, (Layer(PRINT, printed + foot), cut))]
    if content.white_page:
        white = tuple(_white_mark(one) for one in pieces)
        pages.append(Page(paper, (Layer(WHITE, white + _ruler(content, f"White, {of}")),)))
    if content.mirrored_page:
        flip = Transform(a=-1.0, e=paper.width_mm)
        marks = (Group(printed, flip), *_ruler(content, f"Mirrored, {of}"))
        flipped = (Group(_cut_marks(pieces), flip),)
        layers = (Layer(PRINT, marks), Layer(CUT_LAYER, flipped, printed=content.cut_printed))
        pages.append(Page(paper, layers))
    if content.guide_page:
        guide = tuple(mark for one in pieces for mark in _guide_marks(one))
        pages.append(Page(paper, (Layer("guide", guide + _ruler(content, f"Guide, {of}")),)))
    return pages


def cut_page(content: DecalSheets, number: int) -> Page:
    """Return one sheet with nothing but the lines for a knife."""
    pieces = [one for one in content.pieces if one.spot.sheet == number]
    paper = PageSize("film", content.size.width_mm, content.size.height_mm)
    return Page(paper, (Layer(CUT_LAYER, _cut_marks(pieces)),))


def shape_path(shape: BaseGeometry) -> Path:
    """Return a filled shape as a path, its holes included (even-odd)."""
    found: Path = ()
    for outline, holes in polygons_of(shape):
        for ring in (outline, *holes):
            found += path.polyline(ring, closed=True)
    return found


def _transform(spot: Spot) -> Transform:
    turn = Transform.turn(spot.turn_deg) if spot.turn_deg else Transform()
    return turn.then(Transform.shift(spot.x_mm, spot.y_mm))


def art_marks(art: Artwork) -> tuple[Mark, ...]:
    """Return what is printed of an artwork as marks in its own coordinates."""
    marks: list[Mark] = [
        Shape(shape_path(fill.shape), fill=Rgb(*fill.colour.channels), rule="evenodd")
        for fill in art.fills
    ]
    if art.pixels is not None:
        left, top, right, bottom = art.pixels.box_mm
        photo = Photo(art.pixels.png, left, top, right - left, bottom - top)
        flip = Transform(a=-1.0, e=left + right)
        marks.append(Group((photo,), flip) if art.pixels.mirrored else photo)
    return tuple(marks)


def _print_marks(piece: LaidPiece) -> tuple[Mark, ...]:
    return (Group(art_marks(piece.art), _transform(piece.spot)),)


def _white_mark(piece: LaidPiece) -> Mark:
    shape = Shape(shape_path(piece.art.silhouette()), fill=WHITE_INK, rule="evenodd")
    return Group((shape,), _transform(piece.spot))


def _cut_marks(pieces: Iterable[LaidPiece]) -> tuple[Mark, ...]:
    line = Stroke(CUT, _CUT_WIDTH_MM, join="round")
    return tuple(
        Group((Shape(shape_path(piece.cut), stroke=line),), _transform(piece.spot))
        for piece in pieces
    )


def _guide_marks(piece: LaidPiece) -> tuple[Mark, ...]:
    line = Stroke(_QUIET, 0.15)
    outline = Shape(shape_path(piece.cut), fill=_GUIDE, stroke=line)
    left, top, right, bottom = _laid_bounds(piece)
    upright = bottom - top > 1.3 * (right - left)
    wide, high = (bottom - top, right - left) if upright else (right - left, bottom - top)
    turn = Transform.turn(90.0 if upright else 0.0)
    middle = turn.then(Transform.shift((left + right) / 2.0, (top + bottom) / 2.0))
    label = Group(tuple(_label(piece.label, wide, high)), middle)
    return Group((outline,), _transform(piece.spot)), label


def _label(text: str, wide_mm: float, high_mm: float) -> Iterator[Mark]:
    """Yield a label in lines that fit a box around the origin."""
    size = 2.0 if high_mm > 3.0 else 1.4
    lines = font.wrap(text, max(wide_mm - 0.6, 4.0), size)[: max(int(high_mm / size), 1)]
    first = (1 - len(lines)) * size / 2.0 + 0.35 * size
    for at, line in enumerate(lines):
        yield Words(0.0, first + at * size, line, size, anchor="middle")


def _laid_bounds(piece: LaidPiece) -> tuple[float, float, float, float]:
    place = _transform(piece.spot)
    points = [place.apply((x, y)) for x, y in piece.cut.exterior.coords]
    across, down = [x for x, _ in points], [y for _, y in points]
    return min(across), min(down), max(across), max(down)


def _ruler(content: DecalSheets, label: str) -> tuple[Mark, ...]:
    """Return the bars, and above them at the right what the page is."""
    size = content.size
    top = size.height_mm - size.margin_bottom_mm - RULER_HEIGHT_MM
    words = font.shorten(f"{content.title}. {label}.", size.usable_width_mm, 2.2)
    right = size.width_mm - size.margin_right_mm
    note = Words(right, top - 1.2, words, 2.2, anchor="end")
    return (*ruler_marks(size.margin_left_mm, top), note)


def _foot(content: DecalSheets, label: str) -> tuple[Mark, ...]:
    """Return the bars and beside them a patch of each colour with its code, in two rows."""
    size = content.size
    left = size.margin_left_mm + RULER_WIDTH_MM
    top = size.height_mm - size.margin_bottom_mm - RULER_HEIGHT_MM
    across = max(int((size.width_mm - size.margin_right_mm - left + 0.6) // _PATCH_STEP_MM), 1)
    marks: list[Mark] = []
    for at, colour in enumerate(content.colours[: across * _PATCH_ROWS]):
        x = left + at % across * _PATCH_STEP_MM
        y = top + at // across * _PATCH_ROW_MM
        patch = path.rectangle(x, y, _PATCH_MM, _PATCH_HEIGHT_MM)
        marks.append(Shape(patch, fill=Rgb(*colour.channels), stroke=Stroke(_GUIDE, 0.1)))
        marks.append(Words(x, y + _PATCH_HEIGHT_MM + 1.5, colour.code, 1.4))
    return (*_ruler(content, label), *marks)


def file_stem(title: str) -> str:
    """Return a file name without ending for a title, whatever was typed into it."""
    plain = re.sub(r"[^A-Za-z0-9]+", "-", title).strip("-").lower()
    return plain[:60].strip("-") or "decals"
