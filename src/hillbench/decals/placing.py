"""Whether a piece fits where it goes, and the largest that would."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from hillbench.decals.artwork import Artwork
from hillbench.decals.cut_line import CutLine
from hillbench.decals.item import Place
from hillbench.decals.panel import Panel, keep_out_shape, panel_shape, room_of

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

_SLACK_MM: Final = 1e-6
_SMALLEST: Final = 0.02
_HALVINGS: Final = 24


@dataclass(frozen=True, slots=True)
class Fit:
    """How a piece sits on its panel.

    Attributes
    ----------
    fits
        Whether all of it lies on the panel and off the keep-outs.
    hits
        What it runs over: keep-outs by name, or ``the edge``.
    most_scale
        Factor by which it could be scaled at that place, turn and shape, and just fit; 0 where
        its middle is on nothing free.
    """

    fits: bool
    hits: tuple[str, ...]
    most_scale: float


def placed_shape(
    shape: BaseGeometry, art: Artwork, place: Place, scale: float = 1.0
) -> BaseGeometry:
    """Return a shape of a piece where it lies on the panel.

    Parameters
    ----------
    shape
        In the coordinates of the art, such as its cut line.
    art
        The art, whose middle goes to the place.
    place
        Where.
    scale
        Factor of its size.
    """
    from shapely import affinity

    left, top, right, bottom = art.bounds_mm()
    centred = affinity.translate(shape, -(left + right) / 2.0, -(top + bottom) / 2.0)
    sized = affinity.scale(centred, scale, scale, origin=(0.0, 0.0))
    turned = affinity.rotate(sized, place.turn_deg, origin=(0.0, 0.0))
    return affinity.translate(turned, place.x_mm, place.y_mm)


def check_fit(art: Artwork, cut: CutLine, place: Place, panel: Panel) -> Fit:
    """Return whether a piece with its cut line fits a panel at a place.

    Parameters
    ----------
    art
        What is printed.
    cut
        Where it is cut.
    place
        Where it goes.
    panel
        The panel.
    """
    room = room_of(panel).buffer(_SLACK_MM)
    lain = placed_shape(cut.shape, art, place)
    whole = panel_shape(panel).buffer(_SLACK_MM)
    hits = [one.name for one in panel.keep_outs if keep_out_shape(one).intersects(lain)]
    if not whole.covers(lain):
        hits.append("the edge")
    fits = bool(room.covers(lain))
    return Fit(fits, tuple(hits), _most_scale(room, cut, art, place))


def _most_scale(room: BaseGeometry, cut: CutLine, art: Artwork, place: Place) -> float:
    """Return the largest scale below the first that does not fit, to a part in ten million.

    The print scales, the gap round it does not: what must fit is the print, in a room that is
    smaller by the gap all round. A piece that fits at one scale fits at every smaller one only in
    star-shaped room, so the search runs downwards from the largest the panel could hold and
    refines the first step that fits.
    """
    inner = room.buffer(_SLACK_MM - cut.gap_mm)
    core = cut.shape.buffer(-cut.gap_mm)

    def fits(scale: float) -> bool:
        return bool(inner.covers(placed_shape(core, art, place, scale)))

    low, high = 0.0, 0.0
    scale = 8.0
    while scale > _SMALLEST:
        if fits(scale):
            low, high = scale, scale * 1.25
            break
        scale /= 1.25
    for _ in range(_HALVINGS if low else 0):
        middle = (low + high) / 2.0
        low, high = (middle, high) if fits(middle) else (low, middle)
    return low
