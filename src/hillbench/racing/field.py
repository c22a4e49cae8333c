"""What a meet is like: how cars, lanes, heats and runs scatter."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Final

import numpy as np
import numpy.typing as npt

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.schedule import MOST_CARS, MOST_LANES

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

NOBODY: Final = -1


@dataclass(frozen=True, slots=True)
class Field:
    """The cars and the track of a meet to come.

    Attributes
    ----------
    cars, lanes
        How many there are.
    car_sd_s, lane_sd_s, heat_sd_s, run_sd_s
        Spread of the cars, the lanes, the heats and the clean runs of a car, s.
    bad_rate, bad_mean_s
        Share of runs that are slowed by a snag, and by how much on average, s.
    no_finish_rate
        Share of runs that do not finish.
    heat_minutes
        What a heat takes, from one start to the next.
    """

    cars: int = 16
    lanes: int = 4
    car_sd_s: float = 0.10
    lane_sd_s: float = 0.03
    heat_sd_s: float = 0.02
    run_sd_s: float = 0.05
    bad_rate: float = 0.05
    bad_mean_s: float = 0.30
    no_finish_rate: float = 0.01
    heat_minutes: float = 2.0

    def __post_init__(self) -> None:
        limits = {
            "cars": (2, MOST_CARS),
            "lanes": (1, MOST_LANES),
            "car_sd_s": (1e-4, 10.0),
            "run_sd_s": (1e-4, 10.0),
            "lane_sd_s": (0.0, 10.0),
            "heat_sd_s": (0.0, 10.0),
            "bad_mean_s": (0.0, 100.0),
            "bad_rate": (0.0, 0.5),
            "no_finish_rate": (0.0, 0.5),
            "heat_minutes": (0.1, 60.0),
        }
        problems = [
            Problem(one.name, f"{getattr(self, one.name):g}", f"{low:g} to {high:g}")
            for one in fields(self)
            for low, high in [limits[one.name]]
            if not low <= getattr(self, one.name) <= high
        ]
        if problems:
            raise InvalidInput(problems)


@dataclass(frozen=True, slots=True)
class Meets:
    """Many invented meets of one field.

    Attributes
    ----------
    field
        What they are drawn from.
    car_s, lane_s
        How much slower than typical each car and lane is, by meet, s.
    rng
        Source of randomness.
    """

    field: Field
    car_s: Floats
    lane_s: Floats
    rng: np.random.Generator

    @property
    def count(self) -> int:
        """Number of meets."""
        return len(self.car_s)


def draw_meets(field: Field, count: int, rng: np.random.Generator, season_meets: int = 1) -> Meets:
    """Return `count` seasons with cars and lanes drawn anew for each, meet after meet."""
    cars = rng.normal(0.0, field.car_sd_s, (count, field.cars))
    lanes = rng.normal(0.0, field.lane_sd_s, (count, field.lanes))
    return Meets(
        field,
        np.repeat(cars, season_meets, axis=0),
        np.repeat(lanes, season_meets, axis=0),
        rng,
    )


def run_heats(meets: Meets, cars: Ints) -> Floats:
    """Return what each run takes longer than a typical one, s.

    Parameters
    ----------
    meets
        The meets.
    cars
        Cars by heat and lane, numbered from 0, the same in all meets or with the meets in
        front; -1 is an empty lane.

    Returns
    -------
    numpy.ndarray
        By meet, heat and lane; not a number on an empty lane or without a finish.
    """
    field, rng = meets.field, meets.rng
    running = np.broadcast_to(cars, (meets.count, *cars.shape[-2:]))
    shape = running.shape
    time_s = np.take_along_axis(
        meets.car_s, np.maximum(running, 0).reshape(meets.count, -1), axis=1
    ).reshape(shape)
    time_s = time_s + meets.lane_s[:, None, : shape[2]]
    time_s += rng.normal(0.0, field.heat_sd_s, (*shape[:2], 1))
    time_s += rng.normal(0.0, field.run_sd_s, shape)
    bad = rng.random(shape) < field.bad_rate
    time_s[bad] += rng.exponential(field.bad_mean_s, int(bad.sum()))
    time_s[(running == NOBODY) | (rng.random(shape) < field.no_finish_rate)] = np.nan
    return time_s
