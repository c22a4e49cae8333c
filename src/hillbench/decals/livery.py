"""A scheme of items carried to another casting, with a list of what changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from hillbench.decals.artwork import Artwork
from hillbench.decals.colour import Colour
from hillbench.decals.cut_line import cut_line
from hillbench.decals.draw_item import DARK, draw_item
from hillbench.decals.item import Item, Place
from hillbench.decals.panel import Panel
from hillbench.decals.placing import check_fit

_STEP_MM: Final = 0.1
_STAND_INS: Final[Mapping[str, tuple[str, ...]]] = {
    "left door": ("left flank",),
    "right door": ("right flank",),
    "left flank": ("left door",),
    "right flank": ("right door",),
    "boot": ("roof",),
    "bonnet": ("roof",),
}
"""Where an item goes when a casting has no such panel."""


@dataclass(frozen=True, slots=True)
class Carried:
    """A scheme on another casting.

    Attributes
    ----------
    items
        The items with their places there.
    changes
        What changed, one sentence each.
    """

    items: tuple[Item, ...]
    changes: tuple[str, ...]


def carry(
    items: Sequence[Item],
    old: Sequence[Panel],
    new: Sequence[Panel],
    arts: Mapping[str, Artwork],
    *,
    gap_mm: float,
    radius_mm: float,
) -> Carried:
    """Return a scheme scaled to another casting.

    Parameters
    ----------
    items
        The scheme.
    old, new
        Panels it was made for, and those it goes to.
    arts
        Art by name.
    gap_mm, radius_mm
        Of the cut line, mm.
    """
    changes: list[str] = []
    carried = []
    for item in items:
        places = [
            one
            for place in item.places
            if (one := _carry_place(item, place, old, new, arts, gap_mm, radius_mm, changes))
        ]
        carried.append(replace(item, places=tuple(places)))
        if item.places and not places:
            changes.append(f"{item.name}: has no place left; {item.count} will be printed loose.")
    return Carried(tuple(carried), tuple(changes))


def _carry_place(
    item: Item,
    place: Place,
    old: Sequence[Panel],
    new: Sequence[Panel],
    arts: Mapping[str, Artwork],
    gap_mm: float,
    radius_mm: float,
    changes: list[str],
) -> Place | None:
    source = next((panel for panel in old if panel.name == place.panel), None)
    target = _counterpart(place.panel, source, new)
    if source is None or target is None:
        changes.append(f"{item.name}: left off, as there is no panel like {place.panel}.")
        return None
    if target.role != source.role:
        changes.append(f"{item.name}: moved from the {source.role} to the {target.role}.")
    factors = [b / a for a, b in zip(source.size_mm(), target.size_mm(), strict=True)]
    height_mm = place.height_mm or item.height_mm
    moved = Place(
        target.name,
        round(place.x_mm * factors[0], 2),
        round(place.y_mm * factors[1], 2),
        place.turn_deg,
        _stepped(height_mm * min(factors)),
    )
    fitted = _fitted(item, moved, target, arts, gap_mm, radius_mm)
    changes += _told(item, height_mm, moved, fitted)
    return fitted


def _counterpart(name: str, source: Panel | None, new: Sequence[Panel]) -> Panel | None:
    if source is None:
        return None
    roles = (source.role, *_STAND_INS.get(source.role, ()))
    for role in roles:
        found = [panel for panel in new if panel.role == role]
        named = [panel for panel in found if panel.name == name]
        if role != "other" and found:
            return (named or found)[0]
        if named:
            return named[0]
    return None


def _fitted(
    item: Item,
    place: Place,
    panel: Panel,
    arts: Mapping[str, Artwork],
    gap_mm: float,
    radius_mm: float,
) -> Place:
    """Return the place with the largest height that fits there, no larger than asked."""
    ink: Colour = DARK
    mirrored = item.mirrored_pair and panel.is_right
    height_mm = place.height_mm or item.height_mm
    for _ in range(6):  # the cut line does not scale with the letters, so it is drawn anew
        art = draw_item(item, height_mm, ink, arts, mirrored=mirrored)
        cut = cut_line(art.silhouette(), gap_mm, radius_mm)
        fit = check_fit(art, cut, place, panel)
        if fit.fits or fit.most_scale == 0.0:
            break
        height_mm = max(_stepped(height_mm * min(fit.most_scale, 0.999)), 0.5)
    return replace(place, height_mm=height_mm)


def _told(item: Item, old_mm: float, moved: Place, fitted: Place) -> list[str]:
    told = []
    new_mm = fitted.height_mm or old_mm
    if abs(new_mm - old_mm) >= _STEP_MM / 2:
        word = "smaller" if new_mm < old_mm else "larger"
        told.append(
            f"{item.name} on the {fitted.panel}: {old_mm:g} mm became {new_mm:g} mm, {word}."
        )
    if moved.height_mm is not None and new_mm < moved.height_mm:
        told.append(
            f"{item.name} on the {fitted.panel}: made smaller than the panel alone would ask, so "
            "that it clears its edge and keep-outs."
        )
    return told


def _stepped(height_mm: float) -> float:
    return round(max(int(height_mm / _STEP_MM + 1e-6) * _STEP_MM, 0.5), 1)
