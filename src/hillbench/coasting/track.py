"""A track: a hill given by slopes or heights, its bends, gates and finish line."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.errors import InvalidInput, Problem

MOST_POINTS: Final = 20_000
LONGEST_M: Final = 1000.0
STEEPEST_DEG: Final = 90.0
STEEPEST_BANK_DEG: Final = 80.0


@dataclass(frozen=True, slots=True)
class SlopePoint:
    """Slope of the track at one place.

    Attributes
    ----------
    at_m
        Distance along the track from the start line, m; may be negative.
    slope_deg
        Slope, degrees, positive downhill, -90 to 90.
    """

    at_m: float
    slope_deg: float


@dataclass(frozen=True, slots=True)
class HeightPoint:
    """Height of the track at one place.

    Attributes
    ----------
    at_m
        Distance along the track from the start line, m; may be negative.
    height_m
        Height above any fixed level, m.
    """

    at_m: float
    height_m: float


@dataclass(frozen=True, slots=True)
class Bend:
    """A bend whose turn is spread evenly along its length.

    Attributes
    ----------
    from_m, to_m
        Where it begins and ends, m along the track from the start line.
    turn_deg
        Turn in the surface of the track, degrees, positive to the left.
    bank_deg
        Bank, degrees, positive where the outer side is raised, whichever way the bend turns.
    """

    from_m: float
    to_m: float
    turn_deg: float
    bank_deg: float = 0.0

    @property
    def curvature_1_m(self) -> float:
        """Lateral curvature, 1/m, positive to the left."""
        return math.radians(self.turn_deg) / (self.to_m - self.from_m)

    @property
    def roll_rad(self) -> float:
        """Bank as a rotation about the direction of travel, rad, positive: leaning left."""
        return math.copysign(1.0, self.turn_deg) * math.radians(self.bank_deg)


@dataclass(frozen=True, slots=True)
class Track:
    """A hill from the start line to the finish line.

    Attributes
    ----------
    slope_points
        Slopes, linear in between and constant beyond the ends; empty where heights are given.
    height_points
        Heights, joined by a monotone-preserving cubic; empty where slopes are given.
    bends
        Bends in any order; they may touch but not overlap.
    finish_at_m
        Distance of the finish line from the start line, m.
    gates_at_m
        Distances at which time is taken on the way, m.

    Notes
    -----
    Distances run along the track (three-dimensional arc length) from the start line. The
    constructor checks nothing; `check_track` lists what is wrong.
    """

    finish_at_m: float
    slope_points: tuple[SlopePoint, ...] = ()
    height_points: tuple[HeightPoint, ...] = ()
    bends: tuple[Bend, ...] = ()
    gates_at_m: tuple[float, ...] = ()


def check_track(track: Track) -> tuple[Problem, ...]:
    """Return every problem that keeps the track from being run; empty when there is none."""
    return (
        *_check_finish(track),
        *_check_shape(track),
        *_check_bends(track.bends),
        *_check_gates(track),
    )


def require_track(track: Track) -> Track:
    """Return the track unchanged, or raise `InvalidInput` with every problem it has."""
    problems = check_track(track)
    if problems:
        raise InvalidInput(problems)
    return track


def _check_finish(track: Track) -> Iterator[Problem]:
    if not 0.0 < track.finish_at_m <= LONGEST_M:
        yield Problem(
            "track.finish_at_m",
            f"{track.finish_at_m:g} m",
            f"more than 0 and at most {LONGEST_M:g} m",
            "measure along the track from the start line to the finish line",
        )


def _check_shape(track: Track) -> Iterator[Problem]:
    if bool(track.slope_points) == bool(track.height_points):
        yield Problem(
            "track.slope_points",
            "given together with height_points" if track.slope_points else "missing",
            "either slope_points or height_points",
            "give the hill in one way",
        )
        return
    if track.slope_points:
        yield from _check_slopes(track.slope_points)
    else:
        yield from _check_heights(track.height_points)


def _check_slopes(points: tuple[SlopePoint, ...]) -> Iterator[Problem]:
    yield from _check_order("track.slope_points", [point.at_m for point in points])
    for index, point in enumerate(points):
        if not abs(point.slope_deg) <= STEEPEST_DEG:
            yield Problem(
                f"track.slope_points[{index}].slope_deg",
                f"{point.slope_deg:g} deg",
                f"between -{STEEPEST_DEG:g} and {STEEPEST_DEG:g} deg",
                "positive is downhill",
            )


def _check_heights(points: tuple[HeightPoint, ...]) -> Iterator[Problem]:
    if len(points) < 2:
        yield Problem(
            "track.height_points", f"{len(points)} point", "two or more", "add a height further on"
        )
        return
    order = list(_check_order("track.height_points", [point.at_m for point in points]))
    yield from order
    if order:
        return
    for index, (here, there) in enumerate(itertools.pairwise(points)):
        rise = abs(there.height_m - here.height_m)
        if not rise <= there.at_m - here.at_m:
            yield Problem(
                f"track.height_points[{index + 1}].height_m",
                f"{there.height_m:g} m",
                f"within {there.at_m - here.at_m:g} m of the height before it",
                "a track cannot rise or fall by more than its own length",
            )


def _check_order(where: str, places: Sequence[float]) -> Iterator[Problem]:
    if len(places) > MOST_POINTS:
        yield Problem(where, f"{len(places)} points", f"at most {MOST_POINTS}", "thin them out")
    for index, place in enumerate(places):
        if not abs(place) <= LONGEST_M:
            yield Problem(
                f"{where}[{index}].at_m", f"{place:g} m", f"within {LONGEST_M:g} m of the start"
            )
        elif index and not place > places[index - 1]:
            yield Problem(
                f"{where}[{index}].at_m",
                f"{place:g} m",
                f"more than the point before it ({places[index - 1]:g} m)",
                "put the points in order and each place once",
            )


def _check_bends(bends: tuple[Bend, ...]) -> Iterator[Problem]:
    for index, bend in enumerate(bends):
        yield from _check_bend(f"track.bends[{index}]", bend)
    order = sorted(range(len(bends)), key=lambda index: bends[index].from_m)
    furthest = order[0] if order else 0  # the bend that reaches furthest of those before
    for index in order[1:]:
        if bends[index].from_m < bends[furthest].to_m:
            yield Problem(
                f"track.bends[{index}].from_m",
                f"{bends[index].from_m:g} m",
                f"at or beyond the end of bend {furthest} ({bends[furthest].to_m:g} m)",
                "bends may touch but not overlap",
            )
        if not bends[index].to_m <= bends[furthest].to_m:
            furthest = index


def _check_bend(where: str, bend: Bend) -> Iterator[Problem]:
    if not bend.to_m > bend.from_m or not abs(bend.from_m) + abs(bend.to_m) <= 2 * LONGEST_M:
        yield Problem(
            f"{where}.to_m",
            f"{bend.to_m:g} m",
            f"more than from_m ({bend.from_m:g} m)",
            "a bend needs a length",
        )
    if not abs(bend.turn_deg) <= 3600.0:
        yield Problem(f"{where}.turn_deg", f"{bend.turn_deg:g} deg", "between -3600 and 3600 deg")
    if not abs(bend.bank_deg) <= STEEPEST_BANK_DEG:
        yield Problem(
            f"{where}.bank_deg",
            f"{bend.bank_deg:g} deg",
            f"between -{STEEPEST_BANK_DEG:g} and {STEEPEST_BANK_DEG:g} deg",
        )


def _check_gates(track: Track) -> Iterator[Problem]:
    for index, gate in enumerate(track.gates_at_m):
        if not 0.0 < gate <= track.finish_at_m:
            yield Problem(
                f"track.gates_at_m[{index}]",
                f"{gate:g} m",
                f"beyond the start and not beyond the finish at {track.finish_at_m:g} m",
                "move the gate or the finish",
            )
