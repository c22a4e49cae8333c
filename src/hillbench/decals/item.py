"""What is to be printed, as it stands in a file or form."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from hillbench.decals.colour import parse_colour
from hillbench.decals.lettering import Lettering, check_lettering
from hillbench.errors import InvalidInput, Problem

AUTO: Final = "auto"
"""Colour of letters that is chosen for the paint: dark or light."""

MOST_COPIES: Final = 500
GROUNDS: Final = ("roundel", "square")


@dataclass(frozen=True, slots=True)
class Edge:
    """A line of another colour around the letters.

    Attributes
    ----------
    width_mm
        How far it stands out, mm.
    colour
        Its colour.
    """

    width_mm: float
    colour: str = "#000000"


@dataclass(frozen=True, slots=True)
class Drop:
    """A drop edge: the letters once more, shifted, below.

    Attributes
    ----------
    right_mm, down_mm
        How far it is shifted, mm.
    colour
        Its colour.
    """

    right_mm: float
    down_mm: float
    colour: str = "#000000"


@dataclass(frozen=True, slots=True)
class Ground:
    """A plain ground behind the letters.

    Attributes
    ----------
    shape
        ``roundel`` or ``square`` (with round corners).
    colour
        Its colour.
    margin_mm
        Least distance from what stands on it to its edge, mm.
    """

    shape: str = "roundel"
    colour: str = "#ffffff"
    margin_mm: float = 0.8


@dataclass(frozen=True, slots=True)
class Place:
    """Where one copy goes.

    Attributes
    ----------
    panel
        Name of the panel.
    x_mm, y_mm
        Middle of the item from the upper left corner of the panel, mm.
    turn_deg
        Turn clockwise, degrees.
    height_mm
        Another height of letters (or of art) than the item's, mm.
    """

    panel: str
    x_mm: float
    y_mm: float
    turn_deg: float = 0.0
    height_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Item:
    """A number, a name or a piece of art.

    Attributes
    ----------
    name
        What it is called.
    text
        Number or words; null for art.
    art
        Name of the art: a file beside the question, or art that is kept; null for text.
    face, weight
        Typeface of the text.
    height_mm
        Height of capitals or digits, or of the art, mm.
    sizes_mm
        More heights that are printed too where there are no places, mm.
    slant_deg
        Lean, degrees.
    spacing_mm
        What is added between letters, mm.
    colour
        Ink of the letters: a colour, or ``auto`` for dark or light as the paint asks.
    swatch
        Measured colour of the print on white, where it differs from what was meant.
    outline, drop, ground
        What goes around, below and behind the letters; null for none.
    mirrored_pair
        Whether right-hand panels get the mirror image: art is flipped, letters stay readable
        but lean and drop the other way.
    places
        Where copies go; one is printed for each.
    count
        Copies where there are no places.
    spares
        More copies of each.
    group
        Items of a group lie together on the sheet; empty for none.
    grain_fixed
        Whether the item must not be turned on the sheet.
    """

    name: str
    text: str | None = None
    art: str | None = None
    face: str = "narrow"
    weight: str = "bold"
    height_mm: float = 6.0
    sizes_mm: tuple[float, ...] = ()
    slant_deg: float = 0.0
    spacing_mm: float = 0.0
    colour: str = AUTO
    swatch: str | None = None
    outline: Edge | None = None
    drop: Drop | None = None
    ground: Ground | None = None
    mirrored_pair: bool = False
    places: tuple[Place, ...] = ()
    count: int = 1
    spares: int = 0
    group: str = ""
    grain_fixed: bool = False


def lettering_of(item: Item, height_mm: float, *, mirrored: bool = False) -> Lettering:
    """Return how the text of an item is set at one height."""
    slant_deg = -item.slant_deg if mirrored else item.slant_deg
    text = item.text or ""
    return Lettering(text, item.face, item.weight, height_mm, slant_deg, item.spacing_mm)


def check_item(item: Item, where: str) -> list[Problem]:
    """Return what is wrong with an item by itself."""
    problems = list(_quantity_problems(item, where))
    if (item.text is None) == (item.art is None):
        seen = "both text and art" if item.text is not None else "neither text nor art"
        problems.append(Problem(where, seen, "one of the two", "leave the other out"))
    if item.text is not None:
        problems += check_lettering(lettering_of(item, 6.0), where)
    if item.ground is not None and item.ground.shape not in GROUNDS:
        allowed = "one of: " + ", ".join(GROUNDS)
        problems.append(Problem(f"{where}.ground.shape", repr(item.ground.shape), allowed))
    return problems + _colour_problems(item, where)


def _quantity_problems(item: Item, where: str) -> Iterator[Problem]:
    heights = [("height_mm", item.height_mm)]
    heights += [(f"sizes_mm[{at}]", size) for at, size in enumerate(item.sizes_mm)]
    heights += [
        (f"places[{at}].height_mm", place.height_mm)
        for at, place in enumerate(item.places)
        if place.height_mm is not None
    ]
    ranged = [(name, value, 0.5, 200.0, " mm") for name, value in heights]
    ranged += [("count", item.count, 1, MOST_COPIES, ""), ("spares", item.spares, 0, 100, "")]
    if item.outline is not None:
        ranged.append(("outline.width_mm", item.outline.width_mm, 0.05, 10.0, " mm"))
    if item.drop is not None:
        ranged.append(("drop.right_mm", item.drop.right_mm, -10.0, 10.0, " mm"))
        ranged.append(("drop.down_mm", item.drop.down_mm, -10.0, 10.0, " mm"))
    if item.ground is not None:
        ranged.append(("ground.margin_mm", item.ground.margin_mm, 0.0, 20.0, " mm"))
    for name, value, least, most, unit in ranged:
        if not least <= value <= most:
            allowed = f"{least:g} to {most:g}{unit}"
            yield Problem(f"{where}.{name}", f"{value:g}{unit}", allowed)


def _colour_problems(item: Item, where: str) -> list[Problem]:
    colours = {"colour": item.colour if item.colour != AUTO else "black"}
    colours["swatch"] = item.swatch or "black"
    for name in ("outline", "drop", "ground"):
        part: Edge | Drop | Ground | None = getattr(item, name)
        if part is not None:
            colours[f"{name}.colour"] = part.colour
    problems: list[Problem] = []
    for name, text in colours.items():
        try:
            parse_colour(text, f"{where}.{name}")
        except InvalidInput as wrong:
            problems += wrong.problems
    return problems
