"""Matches of two in many meets at once: ladders and round robins."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from hillbench.racing.field import Floats, Ints, Meets, run_heats
from hillbench.racing.ladder import Ladder, Part, Seed, Source, WinnerOf
from hillbench.racing.pairs import draw_pairs
from hillbench.racing.study_ranking import ranks

Flags = npt.NDArray[np.bool_]


def race(meets: Meets, first: Ints, second: Ints, swapped: Flags) -> Flags:
    """Return whether the first car beats the second, in each meet.

    Parameters
    ----------
    meets
        The meets.
    first, second
        Cars by meet.
    swapped
        Whether the first car runs on the second lane.

    Notes
    -----
    A car without a finish loses; if both have none, lots are drawn instead of a rerun.
    """
    cars = np.stack([np.where(swapped, second, first), np.where(swapped, first, second)], axis=1)
    time_s = run_heats(meets, cars[:, None, :])[:, 0, :]
    filled = np.where(np.isfinite(time_s), time_s, np.inf)
    lots = meets.rng.random(meets.count) < 0.5
    near = np.where(filled[:, 0] == filled[:, 1], lots, filled[:, 0] < filled[:, 1])
    return near ^ swapped


def best_of(meets: Meets, first: Ints, second: Ints, races: int) -> tuple[Flags, Floats]:
    """Return whether the first car wins each match and how many races that took."""
    wins = np.zeros(meets.count, dtype=np.int64)
    losses = np.zeros(meets.count, dtype=np.int64)
    needed = races // 2 + 1
    swapped = meets.rng.random(meets.count) < 0.5
    for _ in range(races):
        open_ = (wins < needed) & (losses < needed)
        won = race(meets, first, second, swapped)
        wins += open_ & won
        losses += open_ & ~won
        swapped = ~swapped
    return wins >= needed, (wins + losses).astype(np.float64)


def climb(meets: Meets, ladder: Ladder, seeds: Ints, races: int = 1) -> tuple[Floats, float]:
    """Return rank of each car by meet, and the mean number of races.

    Parameters
    ----------
    meets
        The meets.
    ladder
        The ladder.
    seeds
        Car of each seed, by meet.
    races
        Races of a match at most; more than half of them win it.
    """
    rows = np.arange(meets.count)
    ends: list[tuple[Ints, Ints]] = []

    def cars_of(source: Source) -> Ints:
        if isinstance(source, Seed):
            return np.asarray(seeds[:, source.place - 1])
        winner, loser = ends[source.match]
        return winner if isinstance(source, WinnerOf) else loser

    # The champion loses no deciding match and keeps rank 1.
    rank = np.ones(meets.car_s.shape)
    out_at = _ranks_of_losers(ladder)
    run = 0.0
    for match in ladder.matches:
        first, second = cars_of(match.first), cars_of(match.second)
        won, taken = best_of(meets, first, second, races)
        if match.part is Part.SECOND_FINAL:
            # Only where the car from below won the final; else that result stands.
            wanted = first == cars_of(ladder.matches[match.number - 1].second)
            won, taken = won | ~wanted, taken * wanted
        ends.append((np.where(won, first, second), np.where(won, second, first)))
        run += float(taken.mean())
        if match.number in out_at:
            rank[rows, ends[-1][1]] = out_at[match.number]
    return rank, run


def _ranks_of_losers(ladder: Ladder) -> dict[int, float]:
    """Return the rank of the loser of each match that puts a car out; equals share the mean."""
    last = ladder.matches[-1]
    if ladder.lives == 1:
        deciding = list(ladder.matches)
    else:
        deciding = [match for match in ladder.matches if match.part is Part.LOWER] + [last]
    found: dict[int, float] = {}
    place = 2
    for part, step in sorted({(one is last, one.step) for one in deciding}, reverse=True):
        group = [one for one in deciding if (one is last, one.step) == (part, step)]
        found |= {one.number: place + (len(group) - 1) / 2.0 for one in group}
        place += len(group)
    return found


def meet_each_other(meets: Meets) -> tuple[Floats, int]:
    """Return rank of each car by matches won when every pair races once, and the races."""
    wins = np.zeros(meets.car_s.shape)
    run = 0
    for heats in draw_pairs(meets.field.cars):
        cars = np.array(heats, dtype=np.int64) - 1
        time_s = run_heats(meets, cars)
        filled = np.where(np.isfinite(time_s), time_s, np.inf)
        lots = meets.rng.random(filled.shape[:2]) < 0.5
        equal = filled[..., 0] == filled[..., 1]
        won = np.where(equal, lots, filled[..., 0] < filled[..., 1])
        wins[:, cars[:, 0]] += won
        wins[:, cars[:, 1]] += ~won
        run += len(cars)
    return ranks(-wins), run
