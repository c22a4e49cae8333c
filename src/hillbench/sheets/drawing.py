"""A drawing in mm that knows nothing of what it shows: pages, layers and marks.

Coordinates run from the upper left corner, y downwards. Marks are drawn in order, layers too.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final, Literal

from hillbench.sheets.colour import BLACK, Colour
from hillbench.sheets.page import PageSize
from hillbench.sheets.path import UNCHANGED, Path, Transform

FillRule = Literal["nonzero", "evenodd"]
Anchor = Literal["start", "middle", "end"]
Cap = Literal["butt", "round", "square"]
Join = Literal["miter", "round", "bevel"]

PRINT: Final = "print"
"""Layer of what is printed in colour or black."""

WHITE: Final = "white"
"""Layer of white ink below it."""

CUT: Final = "cut"
"""Layer of lines for a knife."""


@dataclass(frozen=True, slots=True)
class Stroke:
    """How the line of a shape is drawn.

    Attributes
    ----------
    colour
        Of the line.
    width_mm
        Of the line.
    dash_mm
        Lengths of dash and gap, in turn; empty for a whole line.
    cap, join
        Ends and corners.
    """

    colour: Colour = BLACK
    width_mm: float = 0.25
    dash_mm: tuple[float, ...] = ()
    cap: Cap = "butt"
    join: Join = "miter"


@dataclass(frozen=True, slots=True)
class Shape:
    """A path, filled, stroked or both.

    Attributes
    ----------
    path
        Its outline; several parts make holes by the fill rule.
    fill
        Colour inside; None leaves it open.
    stroke
        Its line; None draws none.
    rule
        What is inside: "nonzero" or "evenodd" (ISO 32000-1, 8.5.3.3).
    opacity
        Of the fill, 0 to 1.
    """

    path: Path
    fill: Colour | None = None
    stroke: Stroke | None = None
    rule: FillRule = "nonzero"
    opacity: float = 1.0


@dataclass(frozen=True, slots=True)
class Words:
    """One line of words.

    Attributes
    ----------
    x_mm, y_mm
        Place of the anchor on the base line.
    text
        The words.
    size_mm
        Size of the type (its em), mm; 1 point is 0.353 mm.
    font
        Name of a packaged font, see ``font.FONTS``.
    colour
        Of the letters.
    anchor
        Which end of the words stands at the place.
    """

    x_mm: float
    y_mm: float
    text: str
    size_mm: float
    font: str = "regular"
    colour: Colour = BLACK
    anchor: Anchor = "start"


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture of pixels, which fills its box.

    Attributes
    ----------
    data
        A JPEG or PNG file; transparency is kept.
    x_mm, y_mm, width_mm, height_mm
        The box, by its upper left corner.
    """

    data: bytes = field(repr=False)
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Group:
    """Marks that are moved, turned or scaled together.

    Attributes
    ----------
    marks
        In drawing order.
    transform
        From their coordinates to those around the group.
    clip
        What is seen of them, in their coordinates; None for all.
    rule
        Fill rule of the clip.
    """

    marks: tuple[Mark, ...]
    transform: Transform = UNCHANGED
    clip: Path | None = None
    rule: FillRule = "nonzero"


Mark = Shape | Words | Photo | Group
"""Anything drawn."""


@dataclass(frozen=True, slots=True)
class Layer:
    """Marks that are switched, printed or cut together.

    Attributes
    ----------
    name
        As shown in the list of layers; layers of one name on several pages are one.
    marks
        In drawing order.
    printed
        Whether a printer prints it; a layer that only guides the eye is not.
    """

    name: str
    marks: tuple[Mark, ...]
    printed: bool = True


@dataclass(frozen=True, slots=True)
class Page:
    """One page.

    Attributes
    ----------
    size
        Its paper.
    layers
        From below to above.
    """

    size: PageSize
    layers: tuple[Layer, ...]


@dataclass(frozen=True, slots=True)
class Drawing:
    """All pages of one document.

    Attributes
    ----------
    title
        What it is, in words.
    pages
        In order; at least one.
    language
        Of its words, as a language tag.
    """

    title: str
    pages: tuple[Page, ...]
    language: str = "en"


def one_page(title: str, size: PageSize, marks: tuple[Mark, ...]) -> Drawing:
    """Return a drawing of one page with one layer, the printed one."""
    return Drawing(title, (Page(size, (Layer(PRINT, marks),)),))
