"""A certificate to hand over at the end of a race day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hillbench.pictures.palette import TONES
from hillbench.sheets import path
from hillbench.sheets.colour import Rgb
from hillbench.sheets.drawing import PRINT, Drawing, Layer, Mark, Page, Shape, Stroke, Words
from hillbench.sheets.flow import ACCENT, INK, LEADING, MUTED
from hillbench.sheets.font import width_mm, wrap
from hillbench.sheets.page import PageSize
from hillbench.sheets.path import Pen

_EDGE_MM: Final = 12.0
_CONTOUR: Final = Rgb.parse(TONES["rule"].light)
_CONTOURS: Final = 7
_SMALLEST_MM: Final = 5.0


@dataclass(frozen=True, slots=True)
class CertificateContent:
    """What one certificate says.

    Attributes
    ----------
    meet
        Name of the meet.
    place
        What was won: First, Fastest run, Best looking.
    car
        Name of the car.
    owner
        Whose car it is; may be empty.
    lines
        Time, class, track: what it was won with.
    day
        When.
    signed
        Who signs, below the line.
    """

    meet: str
    place: str
    car: str
    owner: str
    lines: tuple[str, ...]
    day: str
    signed: str


def certificates(contents: tuple[CertificateContent, ...], size: PageSize) -> Drawing:
    """Return certificates, one on each page, on paper that lies on its long side."""
    wide = size if size.width_mm >= size.height_mm else size.turned()
    pages = tuple(Page(wide, (Layer(PRINT, _marks(one, wide)),)) for one in contents)
    return Drawing("Certificates", pages)


def _marks(content: CertificateContent, size: PageSize) -> tuple[Mark, ...]:
    middle, room = size.width_mm / 2.0, size.width_mm - 6 * _EDGE_MM
    marks: list[Mark] = [*_contours(size), *_border(size)]
    y = 0.22 * size.height_mm
    y = _centred(marks, content.meet, y, 6.0, room, middle, "bold", ACCENT)
    y = _centred(marks, content.place, y + 14.0, 20.0, room, middle, "bold", INK)
    y = _centred(marks, content.car, y + 8.0, 13.0, room, middle, "bold", ACCENT)
    if content.owner:
        y = _centred(marks, content.owner, y + 3.0, 7.0, room, middle, "regular", INK)
    y += 2.0
    for line in content.lines:
        y = _centred(marks, line, y + 2.5, 4.6, room, middle, "regular", MUTED)
    foot = size.height_mm - 2.6 * _EDGE_MM
    for left, text in ((0.15, content.day), (0.51, content.signed)):
        start = left * size.width_mm
        end = start + 0.24 * size.width_mm
        marks.append(Shape(path.polyline([(start, foot), (end, foot)]), stroke=Stroke(INK, 0.25)))
        marks.append(Words((start + end) / 2.0, foot + 5.0, text, 3.6, "regular", MUTED, "middle"))
    return tuple(marks)


def _centred(
    marks: list[Mark],
    text: str,
    y: float,
    size: float,
    room: float,
    middle: float,
    font: str,
    colour: Rgb,
) -> float:
    """Add words in the middle, smaller where they are long; return where they end."""
    while size > _SMALLEST_MM and width_mm(text, size, font) > room:
        size -= 0.5
    for line in wrap(text, room, size, font)[:2]:
        y += LEADING * size
        marks.append(Words(middle, y, line, size, font, colour, "middle"))
    return y


def _border(size: PageSize) -> list[Mark]:
    outer = path.rectangle(
        _EDGE_MM, _EDGE_MM, size.width_mm - 2 * _EDGE_MM, size.height_mm - 2 * _EDGE_MM, 4.0
    )
    inset = _EDGE_MM + 1.8
    inner = path.rectangle(inset, inset, size.width_mm - 2 * inset, size.height_mm - 2 * inset, 2.6)
    return [Shape(outer, stroke=Stroke(ACCENT, 0.9)), Shape(inner, stroke=Stroke(ACCENT, 0.25))]


def _contours(size: PageSize) -> list[Mark]:
    """Return the contour lines of a hill in the upper left and lower right corner."""
    marks: list[Mark] = []
    left, right = _EDGE_MM + 2.0, size.width_mm - _EDGE_MM - 2.0
    top, bottom = _EDGE_MM + 2.0, size.height_mm - _EDGE_MM - 2.0
    for number in range(1, _CONTOURS):
        reach = 9.0 * number
        upper = Pen().move(left, top + 0.7 * reach)
        upper.curve(
            (left + 0.35 * reach, top + 0.75 * reach),
            (left + 0.75 * reach, top + 0.5 * reach),
            (left + 0.95 * reach, top),
        )
        lower = Pen().move(right, bottom - 0.7 * reach)
        lower.curve(
            (right - 0.35 * reach, bottom - 0.75 * reach),
            (right - 0.75 * reach, bottom - 0.5 * reach),
            (right - 0.95 * reach, bottom),
        )
        marks += [Shape(one.path, stroke=Stroke(_CONTOUR, 0.35)) for one in (upper, lower)]
    return marks
