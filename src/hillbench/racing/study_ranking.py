"""Rankings of many meets at once, from times, places and matches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np
from scipy.stats import rankdata

from hillbench.racing.field import NOBODY, Field, Floats, Ints
from hillbench.racing.timed_result import DEGREES

_SWEEPS: Final = 25


@dataclass(frozen=True, slots=True)
class Timed:
    """Times of many meets.

    Attributes
    ----------
    cars
        Cars by meet, heat and lane, numbered from 0, or by heat and lane for all meets.
    time_s
        By meet, heat and lane, s; not a number where there is none.
    """

    cars: Ints
    time_s: Floats


def typical_times(field: Field, blocks: Sequence[Timed]) -> Floats:
    """Return what each car takes longer than a typical one, by meet, s.

    Parameters
    ----------
    field
        Gives the spreads, here taken as known.
    blocks
        Times that are taken together, such as those of heats and of a final.

    Notes
    -----
    The model of `timed_result.rank_by_time` with its spreads known, solved for all meets
    together by taking out cars, lanes and heats in turn and weighing anew after each turn.
    """
    meets = len(blocks[0].time_s)
    cars, heats, lanes, times = [], [], [], []
    first = 0
    for block in blocks:
        shape = block.time_s.shape
        cars.append(np.broadcast_to(block.cars, shape).reshape(meets, -1))
        heats.append(np.repeat(np.arange(first, first + shape[1]), shape[2]))
        lanes.append(np.tile(np.arange(shape[2]), shape[1]))
        times.append(block.time_s.reshape(meets, -1))
        first += shape[1]
    time_s = np.concatenate(times, axis=1)
    sizes = (field.cars, field.lanes, first)
    spreads = (field.car_sd_s, field.lane_sd_s, field.heat_sd_s)
    level = (
        np.maximum(np.concatenate(cars, axis=1), 0),
        np.broadcast_to(np.concatenate(lanes), time_s.shape),
        np.broadcast_to(np.concatenate(heats), time_s.shape),
    )
    return _take_out_in_turn(time_s, level, sizes, spreads, field.run_sd_s)


def _take_out_in_turn(
    time_s: Floats,
    levels: tuple[Ints, ...],
    sizes: tuple[int, ...],
    spreads: tuple[float, ...],
    run_sd_s: float,
) -> Floats:
    meets = len(time_s)
    known = np.isfinite(time_s)
    weight = known.astype(np.float64)
    mean = np.nanmedian(time_s, axis=1, keepdims=True) if known.any() else np.zeros((meets, 1))
    left = np.where(known, time_s - mean, 0.0)
    rows = np.arange(meets)[:, None]
    used = [
        ((rows * size + level).ravel(), size, (run_sd_s / spread) ** 2)
        for level, size, spread in zip(levels, sizes, spreads, strict=True)
        if spread > 0.0 and size > 1
    ]
    effects = [np.zeros(meets * size) for _, size, _ in used]
    for _ in range(_SWEEPS):
        for place, (index, size, precision) in enumerate(used):
            left += effects[place][index].reshape(left.shape)
            sums = np.bincount(index, (weight * left).ravel(), meets * size)
            counts = np.bincount(index, weight.ravel(), meets * size)
            effects[place] = sums / (counts + precision)
            left -= effects[place][index].reshape(left.shape)
        left -= ((weight * left).sum(axis=1) / np.maximum(weight.sum(axis=1), 1e-9))[:, None]
        weight = known * (DEGREES + 1.0) / (DEGREES + (left / run_sd_s) ** 2)
    return effects[0].reshape(meets, sizes[0])


def points_by_place(field: Field, block: Timed) -> Floats:
    """Return the points of each car by meet: as many for the first as lanes, then one less."""
    meets = len(block.time_s)
    filled = np.where(np.isfinite(block.time_s), block.time_s, np.inf)
    ahead = (filled[..., None, :] < filled[..., None]).sum(axis=-1)
    points = np.where(np.isfinite(filled), filled.shape[2] - ahead, 0).reshape(meets, -1)
    cars = np.broadcast_to(block.cars, block.time_s.shape).reshape(meets, -1)
    index = np.arange(meets)[:, None] * field.cars + np.maximum(cars, 0)
    points = np.where(cars == NOBODY, 0, points)
    sums = np.bincount(index.ravel(), points.ravel(), meets * field.cars)
    return sums.astype(np.float64).reshape(meets, -1)


def ranks(score: Floats) -> Floats:
    """Return the rank of each car by meet, 1 for the least; equal ones share the mean."""
    return np.asarray(rankdata(score, axis=1))
