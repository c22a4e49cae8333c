"""A track cut into panels for one car geometry: the tables that the marching kernel reads."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np

from hillbench.coasting.profile import Profile
from hillbench.coasting.result import Floats
from hillbench.coasting.track import Track

PANEL_LENGTH_M: Final = 0.08
"""Longest panel of the coarse march; the fine one halves it and the two are extrapolated."""

_START_LENGTH_M: Final = 0.3
_COLUMNS: Final = (
    "length",
    "fall_front",
    "fall_rear",
    "lean_front",
    "lean_rear",
    "bow_front",
    "bow_rear",
    "press_front",
    "press_rear",
    "normal_front",
    "normal_rear",
    "wall_front",
    "wall_rear",
    "tilt_front",
    "tilt_rear",
)


@dataclass(frozen=True, slots=True)
class Panels:
    """Panels of one track for one wheelbase and nose.

    Attributes
    ----------
    edges_m
        Places of the nose between panels, shape (k + 1,).
    table
        One row a panel, shape (k, 15). For the front and the rear axle in turn, after the
        length in m: change of height, m; change of the cosine of the slope; mean vertical
        curvature, 1/m; mean of C; mean of Kn, 1/m; mean of Kw, 1/m; mean of Gw (symbols of
        ``docs/theory/coasting.md``).
    gate_panels
        Panel at whose end each gate stands, shape (gates,), -1 for a gate on the start line.
    bend_front, bend_rear
        Which bend of `Profile.bends` each axle is in, -1 for none, shape (k,).
    """

    edges_m: Floats
    table: Floats
    gate_panels: np.ndarray[tuple[int, ...], np.dtype[np.int64]]
    bend_front: np.ndarray[tuple[int, ...], np.dtype[np.intp]]
    bend_rear: np.ndarray[tuple[int, ...], np.dtype[np.intp]]

    def mixed(self, name: str, front_share: float) -> Floats:
        """Return a column pair of the table mixed over the axles, shape (k,)."""
        column = _COLUMNS.index(f"{name}_front")
        return front_share * self.table[:, column] + (1 - front_share) * self.table[:, column + 1]


@lru_cache(maxsize=64)
def lay_panels(
    track: Track,
    wheelbase_m: float,
    nose_m: float,
    panel_length_m: float = PANEL_LENGTH_M,
    divide: int = 1,
) -> Panels:
    """Cut a track into panels for one car geometry.

    Parameters
    ----------
    track
        A track without problems.
    wheelbase_m, nose_m
        Wheelbase, and nose ahead of the front axle, m.
    panel_length_m
        Longest panel, m; shorter near the start, where the car is slow.
    divide
        Each panel is cut into so many.

    Notes
    -----
    Every kink of the slope and every end of a bend, as each axle meets it, and every gate
    is an edge, so that no panel hides a jump. Within a panel lateral curvature and bank are
    constant for each axle; changes of height and slope are exact and the cosine of the
    slope is a Simpson mean, so the only error left is that the speed squared is taken as
    linear, which is of second order in the panel length.
    """
    profile = Profile(track)
    stations = _lay_stations(profile, track, wheelbase_m, nose_m)
    edges = _lay_edges(stations, panel_length_m, divide)
    middles = (edges[1:] + edges[:-1]) / 2.0
    lengths = np.diff(edges)
    front = _axle_columns(profile, edges - nose_m, lengths)
    rear = _axle_columns(profile, edges - nose_m - wheelbase_m, lengths)
    pairs = [column for pair in zip(front, rear, strict=True) for column in pair]
    gates = np.searchsorted(edges, np.array(track.gates_at_m) - 1e-9) - 1
    return Panels(
        edges_m=edges,
        table=np.ascontiguousarray(np.column_stack([lengths, *pairs])),
        gate_panels=gates.astype(np.int64),
        bend_front=profile.bend_index(middles - nose_m),
        bend_rear=profile.bend_index(middles - nose_m - wheelbase_m),
    )


def _lay_stations(profile: Profile, track: Track, wheelbase_m: float, nose_m: float) -> Floats:
    """Return the places of the nose where something changes for either axle, ends included."""
    features = profile.feature_places_m()
    finish = track.finish_at_m
    wanted = np.concatenate([features + nose_m, features + nose_m + wheelbase_m, track.gates_at_m])
    inside = wanted[(wanted > 1e-9) & (wanted < finish - 1e-9)]
    stations = np.unique(np.concatenate([[0.0], inside, [finish]]))
    # Points closer than 1 nm are one place; the finish is kept whatever stands before it.
    return np.append(stations[:-1][np.diff(stations) > 1e-9], finish)


def _lay_edges(stations: Floats, panel_length_m: float, divide: int) -> Floats:
    stretched = _stretch(stations)
    spans = np.diff(stretched)
    counts = divide * np.maximum(1, np.ceil(spans / panel_length_m - 1e-9)).astype(np.intp)
    first = np.cumsum(counts) - counts
    share = (np.arange(counts.sum()) - np.repeat(first, counts)) / np.repeat(counts, counts)
    edges = _unstretch(np.repeat(stretched[:-1], counts) + share * np.repeat(spans, counts))
    edges[first] = stations[:-1]
    return np.append(edges, stations[-1])


def _stretch(at_m: Floats) -> Floats:
    """Return a scale on which panels are even: the square root of the distance at the start."""
    near = 2.0 * np.sqrt(np.minimum(at_m, _START_LENGTH_M) * _START_LENGTH_M)
    return np.where(at_m < _START_LENGTH_M, near, at_m + _START_LENGTH_M)


def _unstretch(stretched: Floats) -> Floats:
    near = stretched**2 / (4.0 * _START_LENGTH_M)
    return np.where(stretched < 2.0 * _START_LENGTH_M, near, stretched - _START_LENGTH_M)


def _axle_columns(profile: Profile, edges_m: Floats, lengths_m: Floats) -> tuple[Floats, ...]:
    middles_m = (edges_m[1:] + edges_m[:-1]) / 2.0
    slope = profile.slope_rad(edges_m)
    cosine = np.cos(slope)
    mean_cosine = (cosine[:-1] + 4.0 * np.cos(profile.slope_rad(middles_m)) + cosine[1:]) / 6.0
    vertical = -np.diff(slope) / lengths_m
    lateral = profile.lateral_curvature_1_m(middles_m)
    roll = profile.roll_rad(middles_m)
    return (
        np.diff(profile.height_m(edges_m)),
        np.diff(cosine),
        vertical,
        mean_cosine * np.cos(roll),
        vertical * np.cos(roll) + lateral * np.sin(roll),
        lateral * np.cos(roll) - vertical * np.sin(roll),
        mean_cosine * np.sin(roll),
    )
