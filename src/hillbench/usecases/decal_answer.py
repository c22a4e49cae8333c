"""What is answered about a sheet of decals."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class DecalPlacement:
    """One piece on the paper.

    Attributes
    ----------
    item
        Name of the item.
    label
        What it is and where it goes.
    sheet
        Number of the sheet, from 1.
    x_mm, y_mm
        Upper left corner of the box around the cut piece, from that of the sheet, mm.
    width_mm, height_mm
        Size of that box as it lies, mm.
    turn_deg
        Turn clockwise, degrees.
    """

    item: str
    label: str
    sheet: int
    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float
    turn_deg: float


@dataclass(frozen=True, slots=True)
class DecalNeighbours:
    """Two colours that meet on the car.

    Attributes
    ----------
    inner, outer
        What they are, such as ``letters`` and ``outline``.
    inner_seen, outer_seen
        Their colours as seen there.
    contrast_ratio
        Of the two, 1 to 21.
    delta_e_2000
        Their colour difference.
    """

    inner: str
    outer: str
    inner_seen: str
    outer_seen: str
    contrast_ratio: float
    delta_e_2000: float


@dataclass(frozen=True, slots=True)
class DecalItemAnswer:
    """How one item fits and shows on one panel.

    Attributes
    ----------
    name
        Name of the item.
    panel
        Name of the panel; null where the item has no place.
    fits
        Whether the cut piece lies on the panel and off its keep-outs; without panels, whether it
        fits the sheet.
    hits
        What it runs over.
    most_height_mm
        Largest height of its letters (or of the art) that would fit there, mm; null without panel.
    contrast_ratio
        Of letters or art against what lies around them, 1 to 21.
    delta_e_2000
        Their colour difference.
    against
        What lies around them.
    neighbours
        All colours that meet, from the inside out.
    ink
        Colour printed.
    seen
        Colour as seen on the car.
    letter_height_mm, stroke_mm
        Size of letters and thickness of their thin strokes, mm; null for art.
    dots_per_inch
        Resolution of a picture of pixels at this size; null for others.
    advice
        What to do, in words.
    """

    name: str
    panel: str | None
    fits: bool
    hits: tuple[str, ...]
    most_height_mm: float | None
    contrast_ratio: float
    delta_e_2000: float
    against: str
    neighbours: tuple[DecalNeighbours, ...]
    ink: str
    seen: str
    letter_height_mm: float | None
    stroke_mm: float | None
    dots_per_inch: float | None
    advice: str


@dataclass(frozen=True, slots=True)
class DecalStep:
    """One step of putting the decals on.

    Attributes
    ----------
    title, text
        What to do, in short and in full.
    minutes
        Work, min.
    wait_min
        Wait after it, min.
    wait_for
        What is waited for.
    caution
        What can hurt, with its reason.
    source
        Where its figures come from.
    """

    title: str
    text: str
    minutes: float
    wait_min: float
    wait_for: str
    caution: str
    source: str


@dataclass(frozen=True, slots=True)
class DecalAnswer:
    """A sheet of decals.

    Attributes
    ----------
    sheets
        Number of sheets.
    bound
        Number that no way of laying the boxes of these pieces goes below, proven.
    proven
        Whether the two are equal.
    used_fraction
        Area of the pieces over the usable area of the sheets.
    placements
        Every piece on the paper.
    items
        Every item on every panel it goes to.
    gap_mm
        Distance from print to cut line as drawn, mm.
    parted_groups
        Groups too large to lie on one sheet.
    steps
        How to put the decals on.
    """

    sheets: int
    bound: int
    proven: bool
    used_fraction: float
    placements: tuple[DecalPlacement, ...]
    items: tuple[DecalItemAnswer, ...]
    gap_mm: float
    parted_groups: tuple[str, ...]
    steps: tuple[DecalStep, ...]
