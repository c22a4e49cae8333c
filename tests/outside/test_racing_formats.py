"""The study of formats against meets simulated one by one in plain Python."""

from __future__ import annotations

import math

import numpy as np
import pytest

from hillbench.racing.field import Field, draw_meets, run_heats
from hillbench.racing.schedule import draw_schedule
from hillbench.racing.study import Format, study_formats
from hillbench.racing.study_ranking import Timed, typical_times
from tests.outside import plain_meets
from tests.outside.plain_meets import mode_of, simulate
from tests.outside.registry import Outside

AREA = "Racing: formats"
SOURCE = "independent simulation, one meet at a time"

CASES = {
    Format.POINTS: (plain_meets.points, 8, 3000),
    Format.SINGLE: (plain_meets.single, 8, 5000),
    Format.DOUBLE: (plain_meets.double_of_four, 4, 5000),
    Format.PAIRS: (plain_meets.pairs, 6, 2500),
    Format.TIMED_HEATS: (plain_meets.timed, 8, 100),
}


@pytest.mark.parametrize("name", CASES)
def test_formats(outside: Outside, name: Format) -> None:
    """Within four standard errors of the difference: one chance in 16,000 for each row."""
    rank, cars, meets = CASES[name]
    field = Field(cars, 4)
    heats = draw_schedule(cars, 4, rng=np.random.default_rng(3)).heats
    wins, wins_error, error, error_error = simulate(field, rank, heats, meets, seed=7)
    [got] = study_formats(field, rng=np.random.default_rng(3), meets=8000, formats=[name])
    outside.check(
        f"{name}, {cars} cars: chance that the fastest wins",
        source=SOURCE,
        how="run",
        expected=wins,
        got=got.fastest_wins,
        within=4.0 * math.hypot(wins_error, got.fastest_wins_error),
    )
    outside.check(
        f"{name}, {cars} cars: mean rank error",
        source=SOURCE,
        how="run",
        expected=error,
        got=got.mean_rank_error,
        within=4.0 * math.hypot(error_error, got.mean_rank_error_error),
        unit="places",
    )


def test_seasons(outside: Outside) -> None:
    """Five meets of single elimination, within four standard errors of the difference."""
    field, season = Field(8, 4), plain_meets.over_a_season(plain_meets.single, 5)
    wins, wins_error, error, error_error = simulate(field, season, (), 1500, seed=7)
    [got] = study_formats(
        field, rng=np.random.default_rng(3), meets=3000, season_meets=5, formats=[Format.SINGLE]
    )
    for what, expected, found, within in (
        ("chance that the fastest wins", wins, got.fastest_wins,
         math.hypot(wins_error, got.fastest_wins_error)),
        ("mean rank error", error, got.mean_rank_error,
         math.hypot(error_error, got.mean_rank_error_error)),
    ):  # fmt: skip
        outside.check(
            f"a season of five meets of {Format.SINGLE}, 8 cars: {what}",
            source=SOURCE, how="run", expected=expected, got=found, within=4.0 * within,
        )  # fmt: skip


def test_the_ranking_of_many_meets_is_the_mode(outside: Outside) -> None:
    field = Field(8, 4)
    heats = draw_schedule(8, 4, rng=np.random.default_rng(3)).heats
    meets = draw_meets(field, 20, np.random.default_rng(9))
    cars = np.array(heats) - 1
    time_s = run_heats(meets, cars)
    got = typical_times(field, [Timed(cars, time_s)])
    apart = 0.0
    for number in range(meets.count):
        rows = [
            (heat, lane, int(cars[heat, lane]), float(time_s[number, heat, lane]))
            for heat in range(len(cars))
            for lane in range(4)
            if np.isfinite(time_s[number, heat, lane])
        ]
        found = mode_of(field, rows, len(cars))
        # The mean of the cars is free to move between the mean and the cars.
        apart = max(
            apart,
            float(np.max(np.abs((got[number] - got[number].mean()) - (found - found.mean())))),
        )
    outside.check(
        "timed heats, 20 meets of 8 cars: largest difference of a car's typical time",
        source="SciPy L-BFGS-B on the posterior of the t model",
        how="run",
        expected=0.0,
        got=apart,
        within=1e-3,
        unit="s",
    )
