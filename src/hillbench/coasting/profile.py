"""Shape of a track as functions of the place along it: height, slope, curvature, bank."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hillbench.coasting.result import Floats
from hillbench.coasting.track import Bend, Track

if TYPE_CHECKING:
    from scipy.interpolate import PchipInterpolator


class Profile:
    """Height, slope and bends of a track at any place, produced straight on at both ends.

    Heights count from the finish line, slopes are positive downhill, distances are arc length.

    Notes
    -----
    Slope points: slope is linear in between, so each stretch is an arc in the vertical plane
    and its height follows in closed form. Height points: piecewise cubic that keeps
    monotone data monotone (F. N. Fritsch, J. Butland, "A method for constructing local
    monotone piecewise cubic interpolants", SIAM J. Sci. Stat. Comput. 5 (1984) 300-304,
    doi:10.1137/0905021); dz/ds is minus the sine of the slope, since s is arc length.
    """

    def __init__(self, track: Track) -> None:
        self._vertical: _Slopes | _Heights = (
            _Slopes(track) if track.slope_points else _Heights(track)
        )
        self._bends = tuple(sorted(track.bends, key=lambda bend: bend.from_m))
        self._bend_from_m = np.array([bend.from_m for bend in self._bends])
        self._finish_height_m = 0.0
        self._finish_height_m = float(self.height_m(np.array([track.finish_at_m]))[0])

    @property
    def bends(self) -> tuple[Bend, ...]:
        """Bends in order along the track."""
        return self._bends

    def feature_places_m(self) -> Floats:
        """Return the places where slope or curvature has a kink or a jump, in order."""
        edges = [place for bend in self._bends for place in (bend.from_m, bend.to_m)]
        return np.unique(np.concatenate([self._vertical.places_m, np.array(edges)]))

    def height_m(self, at_m: Floats) -> Floats:
        """Return the height above the finish line at each place."""
        return self._vertical.height_m(at_m) - self._finish_height_m

    def slope_rad(self, at_m: Floats) -> Floats:
        """Return the slope at each place, positive downhill."""
        return self._vertical.slope_rad(at_m)

    def bend_index(self, at_m: Floats) -> np.ndarray[tuple[int, ...], np.dtype[np.intp]]:
        """Return which of `bends` each place lies in, -1 where there is none."""
        if not self._bends:
            return np.full(np.shape(at_m), -1, dtype=np.intp)
        index = np.searchsorted(self._bend_from_m, at_m, side="right") - 1
        ends = np.array([bend.to_m for bend in self._bends])
        return np.where((index >= 0) & (at_m < ends[index]), index, -1)

    def lateral_curvature_1_m(self, at_m: Floats) -> Floats:
        """Return the curvature in the surface of the track, positive to the left."""
        return self._of_bend(at_m, [bend.curvature_1_m for bend in self._bends])

    def roll_rad(self, at_m: Floats) -> Floats:
        """Return the roll of the surface about the direction of travel, positive leaning left."""
        return self._of_bend(at_m, [bend.roll_rad for bend in self._bends])

    def _of_bend(self, at_m: Floats, values: list[float]) -> Floats:
        table = np.array([*values, 0.0])  # index -1 is the straight
        return table[self.bend_index(at_m)]


class _Slopes:
    def __init__(self, track: Track) -> None:
        self.places_m = np.array([point.at_m for point in track.slope_points])
        self._slope_rad = np.radians([point.slope_deg for point in track.slope_points])
        drops = _arc_drop(self._slope_rad[:-1], self._slope_rad[1:], np.diff(self.places_m))
        self._height_m = -np.concatenate([[0.0], np.cumsum(drops)])

    def slope_rad(self, at_m: Floats) -> Floats:
        return np.interp(at_m, self.places_m, self._slope_rad)

    def height_m(self, at_m: Floats) -> Floats:
        last = len(self.places_m) - 1
        index = np.clip(np.searchsorted(self.places_m, at_m, side="right") - 1, 0, last)
        start = self._slope_rad[index]
        drop = _arc_drop(start, self.slope_rad(at_m), at_m - self.places_m[index])
        return self._height_m[index] - drop


class _Heights:
    def __init__(self, track: Track) -> None:
        from scipy.interpolate import PchipInterpolator

        self.places_m = np.array([point.at_m for point in track.height_points])
        heights = np.array([point.height_m for point in track.height_points])
        self._curve: PchipInterpolator = PchipInterpolator(self.places_m, heights)
        self._grade = self._curve.derivative()

    def slope_rad(self, at_m: Floats) -> Floats:
        inside = np.clip(at_m, self.places_m[0], self.places_m[-1])
        return -np.arcsin(np.clip(self._grade(inside), -1.0, 1.0))

    def height_m(self, at_m: Floats) -> Floats:
        inside = np.clip(at_m, self.places_m[0], self.places_m[-1])
        height = np.asarray(self._curve(inside), dtype=np.float64)
        return height - np.sin(self.slope_rad(at_m)) * (at_m - inside)


def _arc_drop(slope_rad: Floats, end_slope_rad: Floats, length_m: Floats) -> Floats:
    """Return the fall along arcs whose slope changes evenly: the integral of its sine."""
    half = (end_slope_rad - slope_rad) / 2.0
    return length_m * np.sin(slope_rad + half) * np.sinc(half / np.pi)
