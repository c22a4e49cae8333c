"""Every piece that is printed: one for each place, or as many as asked, and the spares."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.decals.artwork import Artwork
from hillbench.decals.colour import Colour
from hillbench.decals.cut_line import CutLine, cut_line
from hillbench.decals.draw_item import draw_item
from hillbench.decals.item import Item, Place
from hillbench.decals.panel import Panel
from hillbench.errors import InvalidInput, Problem

MOST_PRINTS: Final = 1000


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece as it is printed and cut.

    Attributes
    ----------
    item
        What it is of.
    label
        What it is called on the sheet.
    height_mm
        Height of its letters or art, mm.
    mirrored
        Whether it is the right-hand one of a pair.
    place
        Where it goes; None for a spare or without places.
    art
        What is printed.
    cut
        Where it is cut.
    """

    item: Item
    label: str
    height_mm: float
    mirrored: bool
    place: Place | None
    art: Artwork
    cut: CutLine


InkOf = Callable[[Item, Panel | None], Colour]
"""Chooses the ink of letters for the panel they go to."""


def list_pieces(
    items: Sequence[Item],
    panels: Mapping[str, Panel],
    arts: Mapping[str, Artwork],
    ink_of: InkOf,
    *,
    gap_mm: float,
    radius_mm: float,
) -> tuple[Piece, ...]:
    """Return every piece that is to be printed, item by item.

    Parameters
    ----------
    items
        What is asked.
    panels
        Panels by name.
    arts
        Art by name.
    ink_of
        Chooses the ink of letters whose colour is ``auto``.
    gap_mm, radius_mm
        Of the cut line, mm.

    Raises
    ------
    InvalidInput
        If art or a panel is missing, or there are more than 1000 pieces.
    """
    wanted = [one for item in items for one in _wanted(item, panels)]
    if len(wanted) > MOST_PRINTS:
        seen = f"{len(wanted)} pieces in all"
        raise InvalidInput([Problem("items", seen, f"at most {MOST_PRINTS}", "print in parts")])
    drawn: dict[tuple[object, ...], tuple[Artwork, CutLine]] = {}
    pieces = []
    for item, height_mm, mirrored, place, label in wanted:
        ink = ink_of(item, panels[place.panel] if place is not None else None)
        key = (item, height_mm, mirrored, ink)
        if key not in drawn:
            art = draw_item(item, height_mm, ink, arts, mirrored=mirrored)
            drawn[key] = art, cut_line(art.silhouette(), gap_mm, radius_mm)
        pieces.append(Piece(item, label, height_mm, mirrored, place, *drawn[key]))
    return tuple(pieces)


_Wanted = tuple[Item, float, bool, Place | None, str]


def _wanted(item: Item, panels: Mapping[str, Panel]) -> Iterator[_Wanted]:
    kinds: dict[tuple[float, bool], None] = {}
    for place in item.places:
        if place.panel not in panels:
            known = ", ".join(panels) or "none, as there are no panels yet"
            raise InvalidInput([Problem("panel", repr(place.panel), f"one of: {known}")])
        mirrored = item.mirrored_pair and panels[place.panel].is_right
        height_mm = place.height_mm or item.height_mm
        kinds[height_mm, mirrored] = None
        yield item, height_mm, mirrored, place, f"{item.name}, {place.panel}"
    if not item.places:
        for height_mm in dict.fromkeys((item.height_mm, *item.sizes_mm)):
            for mirrored in (False, True) if item.mirrored_pair else (False,):
                kinds[height_mm, mirrored] = None
                hand = ", mirrored" if mirrored else ""
                label = f"{item.name}, {height_mm:g} mm{hand}"
                yield from ((item, height_mm, mirrored, None, label) for _ in range(item.count))
    for height_mm, mirrored in kinds:
        for _ in range(item.spares):
            yield item, height_mm, mirrored, None, f"{item.name}, spare"
