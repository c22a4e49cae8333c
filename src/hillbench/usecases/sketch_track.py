"""Begin a track from little: its length, its drop, a typical shape and how it winds."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from enum import StrEnum
from typing import Final

import numpy as np

from hillbench.coasting.profile import Profile
from hillbench.coasting.track import Bend, SlopePoint, Track, require_track
from hillbench.errors import InvalidInput, Problem

SHORTEST_M: Final = 0.5
LONGEST_M: Final = 200.0
_STEEPEST_DEG: Final = 75.0


class Hill(StrEnum):
    """How the slope is spread along a track; common practice, no source."""

    STEEP_START = "steep start"
    EVEN = "even slope"
    STEPPED = "stepped"


class Winding(StrEnum):
    """How a track winds; common practice, no source."""

    STRAIGHT = "straight"
    TWO_BENDS = "two bends"
    WINDING = "winding"


HILL_WORDS: Final[Mapping[Hill, str]] = {
    Hill.STEEP_START: "Steep start, then a long run-out",
    Hill.EVEN: "The same slope all the way",
    Hill.STEPPED: "Steps: steep and flat in turn",
}
"""Each shape in words."""

WINDING_WORDS: Final[Mapping[Winding, str]] = {
    Winding.STRAIGHT: "Straight",
    Winding.TWO_BENDS: "Two bends, one each way",
    Winding.WINDING: "Winding: eight bends, left and right in turn",
}
"""Each way of winding in words."""

# Place as a share of the length, slope as a share of the steepest.
_SLOPES: Final[Mapping[Hill, tuple[tuple[float, float], ...]]] = {
    Hill.STEEP_START: ((0.0, 1.0), (0.12, 1.0), (0.25, 0.15), (1.0, 0.1)),
    Hill.EVEN: ((0.0, 1.0), (1.0, 1.0)),
    Hill.STEPPED: (
        *((0.0, 1.0), (0.15, 1.0), (0.2, 0.1), (0.33, 0.1), (0.38, 0.8), (0.48, 0.8)),
        *((0.53, 0.1), (0.66, 0.1), (0.71, 0.7), (0.8, 0.7), (0.85, 0.1), (1.0, 0.1)),
    ),
}
_BENDS: Final[Mapping[Winding, int]] = {
    Winding.STRAIGHT: 0,
    Winding.TWO_BENDS: 2,
    Winding.WINDING: 8,
}
_BENT_STRETCH: Final = (0.2, 0.95)
_LONGEST_BEND_M: Final = 0.8
"""A quarter turn on a radius of 0.5 m, as on many winding tracks; common practice, no source."""


def sketch_track(length_m: float, drop_m: float, hill: Hill, winding: Winding) -> Track:
    """Return a track of that length and drop to begin with; its points are there to be refined.

    Parameters
    ----------
    length_m
        From the start line to the finish line along the track, 0.5 to 200 m.
    drop_m
        How much lower the finish is, more than 0 and less than the shape allows.
    hill
        How the slope is spread.
    winding
        How it winds.

    Raises
    ------
    InvalidInput
        If no such track can be made.
    """
    if not SHORTEST_M <= length_m <= LONGEST_M:
        allowed = f"between {SHORTEST_M:g} and {LONGEST_M:g} m"
        raise InvalidInput([Problem("length_m", f"{length_m:g} m", allowed)])
    most = _drop_m(_shaped(length_m, hill, _STEEPEST_DEG))
    if not 0.0 < drop_m <= most:
        allowed = f"more than 0 and at most {most:.2f} m on a track of that length and shape"
        remedy = "measure the height of the start above the finish"
        raise InvalidInput([Problem("drop_m", f"{drop_m:g} m", allowed, remedy)])
    track = _shaped(length_m, hill, _steepest_deg(length_m, drop_m, hill))
    bends = _evenly_spread(length_m, _BENDS[winding])
    return require_track(dataclasses.replace(track, bends=bends))


def _shaped(length_m: float, hill: Hill, steepest_deg: float) -> Track:
    points = (
        SlopePoint(round(place * length_m, 3), round(share * steepest_deg, 3))
        for place, share in _SLOPES[hill]
    )
    return Track(finish_at_m=length_m, slope_points=tuple(points))


def _drop_m(track: Track) -> float:
    return float(Profile(track).height_m(np.array([0.0]))[0])


def _steepest_deg(length_m: float, drop_m: float, hill: Hill) -> float:
    """Return the steepest slope that gives the drop, by halving: the drop grows with it."""
    low, high = 0.0, _STEEPEST_DEG
    while high - low > 1e-4:
        middle = (low + high) / 2.0
        if _drop_m(_shaped(length_m, hill, middle)) < drop_m:
            low = middle
        else:
            high = middle
    return high


def _evenly_spread(length_m: float, count: int) -> tuple[Bend, ...]:
    if not count:
        return ()
    first, last = (share * length_m for share in _BENT_STRETCH)
    spacing = (last - first) / count
    half = min(_LONGEST_BEND_M, 0.6 * spacing) / 2.0
    centres = [first + (index + 0.5) * spacing for index in range(count)]
    return tuple(
        Bend(round(centre - half, 3), round(centre + half, 3), 90.0 if index % 2 == 0 else -90.0)
        for index, centre in enumerate(centres)
    )
