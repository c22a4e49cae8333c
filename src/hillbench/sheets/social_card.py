"""A card for those who film their builds: the car, what the build gained, one number large."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hillbench.pictures.palette import TONES
from hillbench.sheets import path
from hillbench.sheets.build_content import SheetPhoto
from hillbench.sheets.build_sheet import cropped
from hillbench.sheets.colour import Rgb
from hillbench.sheets.drawing import PRINT, Group, Layer, Mark, Page, Shape, Stroke, Words
from hillbench.sheets.flow import ACCENT, INK, LEADING, MUTED
from hillbench.sheets.font import width_mm, wrap
from hillbench.sheets.page import PageSize
from hillbench.sheets.path import Pen, Transform
from hillbench.sheets.png_writer import write_png

CARD_PX: Final = (1200, 630)
"""Width and height that sites show uncut (common practice, no source)."""

_SIZE: Final = PageSize("card", 120.0, 63.0)
_PAPER: Final = Rgb.parse(TONES["paper"].light)
_HILL: Final = Rgb.parse(TONES["hill"].light)
_EDGE_MM: Final = 6.0
_PHOTO_MM: Final = 56.0
_KEPT_SHARE: Final = 0.9
"""Share of a photo's width that is always seen."""


@dataclass(frozen=True, slots=True)
class CardWords:
    """What a card says.

    Attributes
    ----------
    title
        Name of the build.
    car
        Name of the car.
    figure, unit
        The number that is shown large, and its unit; empty where there is none.
    figure_label
        What that number is.
    lines
        Up to three more lines: mass, CG, what was done.
    photo
        The car; None where there is none.
    """

    title: str
    car: str
    figure: str
    unit: str
    figure_label: str
    lines: tuple[str, ...]
    photo: SheetPhoto | None


def social_card(words: CardWords) -> bytes:
    """Return the card as a PNG file of 1200 by 630 pixels."""
    return write_png(card_page(words), CARD_PX[0])


def card_page(words: CardWords) -> Page:
    """Return the card as a page; 10 pixels go to a mm of it."""
    room = _SIZE.width_mm - 2 * _EDGE_MM
    marks: list[Mark] = [
        Shape(path.rectangle(0.0, 0.0, _SIZE.width_mm, _SIZE.height_mm), fill=_PAPER),
        *_hill(),
    ]
    if words.photo is not None:
        room -= _PHOTO_MM + 4.0
        whole = _PHOTO_MM * words.photo.height_px / words.photo.width_px
        height = min(whole / _KEPT_SHARE, _SIZE.height_mm - 2 * _EDGE_MM)
        left, top = _SIZE.width_mm - _PHOTO_MM - _EDGE_MM, (_SIZE.height_mm - height) / 2.0
        photo = cropped(words.photo, _PHOTO_MM, height)
        marks.append(Group((photo,), Transform.shift(left, top)))
    marks += _words(words, room)
    return Page(_SIZE, (Layer(PRINT, tuple(marks)),))


def _words(words: CardWords, room: float) -> list[Mark]:
    marks: list[Mark] = [Words(_EDGE_MM, 10.0, words.car, 3.6, "bold", ACCENT)]
    y = 10.8
    size = 6.2 if len(wrap(words.title, room, 6.2, "bold")) <= 2 else 4.8
    for line in wrap(words.title, room, size, "bold")[:3]:
        y += 1.12 * size
        marks.append(Words(_EDGE_MM, y, line, size, "bold", INK))
    if words.figure:
        figure = _figure(words, room, y + 14.0)
        marks += figure
        y += 15.5 + LEADING * 3.1 * (len(figure) - 2)
    for line in words.lines[:3]:
        parts = wrap(line, room, 3.0)
        if y + LEADING * 3.0 * len(parts) > _SIZE.height_mm - 3.0:
            break
        for part in parts:
            y += LEADING * 3.0
            marks.append(Words(_EDGE_MM, y, part, 3.0, "regular", MUTED))
    right = _SIZE.width_mm - _EDGE_MM
    marks.append(Words(right, _SIZE.height_mm - 3.6, "Hillbench", 2.6, "bold", ACCENT, "end"))
    return marks


def _figure(words: CardWords, room: float, y: float) -> list[Mark]:
    size = 14.0
    while size > 6.0 and _width(words, size) > room:
        size -= 0.5
    after = _EDGE_MM + width_mm(words.figure, size, "bold") + 1.4
    marks: list[Mark] = [
        Words(_EDGE_MM, y, words.figure, size, "bold", ACCENT),
        Words(after, y, words.unit, 0.45 * size, "regular", ACCENT),
    ]
    for number, line in enumerate(wrap(words.figure_label, room, 3.1)[:2]):
        at = y + 4.6 + LEADING * 3.1 * number
        marks.append(Words(_EDGE_MM, at, line, 3.1, "regular", INK))
    return marks


def _width(words: CardWords, size: float) -> float:
    unit = width_mm(words.unit, 0.45 * size)
    return width_mm(words.figure, size, "bold") + 1.4 + unit


def _hill() -> list[Mark]:
    """Return a hill in contour lines along the foot of the card."""
    marks: list[Mark] = []
    bottom, right = _SIZE.height_mm, _SIZE.width_mm
    for number in range(4):
        top = bottom - 22.0 + 5.0 * number
        pen = Pen().move(-1.0, top + 4.0)
        pen.curve((25.0, top - 7.0), (45.0, top + 12.0), (75.0, top + 9.0))
        pen.curve((95.0, top + 7.0), (105.0, top + 11.0), (right + 1.0, top + 10.0))
        if number == 0:
            marks.append(
                Shape((*pen.line(right + 1, bottom).line(-1, bottom).close().path,), fill=_HILL)
            )
        else:
            marks.append(Shape(pen.path, stroke=Stroke(Rgb.parse(TONES["rule"].light), 0.3)))
    return marks
