"""Rankings against R, choix and published examples."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import choix
import numpy as np
import pytest

from hillbench.racing.mixed_model import Group, fit_mixed
from hillbench.racing.places import Order, rank_by_place
from tests.outside.registry import Outside
from tests.outside.test_timing_textbook import DYESTUFF

AREA = "Racing: rankings"
DATA = Path(__file__).parents[1] / "data"
AGRESTI = "Agresti, Categorical Data Analysis, section 10.6; R BradleyTerry2 1.1-2"
LME4 = "R lme4 1.1-31"

TEAMS = ("Baltimore", "Boston", "Cleveland", "Detroit", "Milwaukee", "New York", "Toronto")
# American League East, 1987: wins at home and losses at home, by home team and visitor.
AT_HOME = {
    4: {3: (4, 3), 6: (4, 2), 5: (4, 3), 1: (6, 1), 2: (4, 2), 0: (6, 0)},
    3: {4: (3, 3), 6: (4, 2), 5: (4, 3), 1: (6, 0), 2: (6, 1), 0: (4, 3)},
    6: {4: (2, 5), 3: (4, 3), 5: (2, 4), 1: (4, 3), 2: (4, 2), 0: (6, 0)},
    5: {4: (3, 3), 3: (5, 1), 6: (2, 5), 1: (4, 3), 2: (4, 2), 0: (6, 1)},
    1: {4: (5, 1), 3: (2, 5), 6: (3, 3), 5: (4, 2), 2: (5, 2), 0: (6, 0)},
    2: {4: (2, 5), 3: (3, 3), 6: (3, 4), 5: (4, 3), 1: (4, 2), 0: (2, 4)},
    0: {4: (2, 5), 3: (1, 5), 6: (1, 6), 5: (2, 4), 1: (1, 6), 2: (3, 4)},
}
ABILITY = (
    0.0,
    1.10769770537234,
    0.683852769153276,
    1.4364084318058,
    1.58135587665478,
    1.24761784513494,
    1.29448512390533,
)
ABILITY_HOME = (
    0.0,
    1.143802653297362,
    0.704694456900153,
    1.475357213585564,
    1.619554993578357,
    1.281340403275514,
    1.327110398071686,
)


def games(*, lanes: bool) -> list[Order]:
    """Return the games as heats of two, with home and away as lanes 1 and 2."""
    found = []
    for home, visitors in AT_HOME.items():
        for away, (won, lost) in visitors.items():
            for cars, places, weight in (
                ((home, away), (1, 2), won),
                ((away, home), (2, 1), lost),
            ):
                if weight:
                    found.append(Order(cars, places if lanes else (), weight=weight))
    return found


def deviance(log_likelihood: float) -> float:
    """Return the deviance of 42 binomials, from the likelihood of the games."""
    best = sum(
        count * math.log(count / (won + lost))
        for visitors in AT_HOME.values()
        for won, lost in visitors.values()
        for count in (won, lost)
        if count
    )
    return 2.0 * (best - log_likelihood)


@pytest.mark.parametrize("lanes", [False, True])
def test_baseball(outside: Outside, lanes: bool) -> None:
    fit = rank_by_place(
        games(lanes=lanes), rng=np.random.default_rng(1), ability_sd=None, lane_sd=None
    )
    words = ", home as a lane" if lanes else ""
    for team, expected, got in zip(
        TEAMS[1:],
        (ABILITY_HOME if lanes else ABILITY)[1:],
        (fit.ability - fit.ability[0])[1:],
        strict=True,
    ):
        outside.check(
            f"baseball, log ability of {team} over Baltimore{words}",
            source=AGRESTI,
            how="run",
            expected=expected,
            got=float(got),
            within=1e-6,
        )
    outside.check(
        f"baseball, deviance{words}",
        source=AGRESTI,
        how="run",
        expected=38.6428521439705 if lanes else 44.0534612285738,
        got=deviance(fit.log_likelihood),
        within=1e-6,
    )
    if lanes:
        outside.check(
            "baseball, advantage of playing at home",
            source=AGRESTI,
            how="run",
            expected=0.302260655527553,
            got=float(fit.lane_effect[0] - fit.lane_effect[1]),
            within=1e-6,
        )
        return
    weights = np.array([-1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0])
    outside.check(
        "baseball, standard error of Milwaukee over Baltimore",
        source=AGRESTI,
        how="run",
        expected=0.343255664026282,
        got=math.sqrt(float(weights @ fit.covariance[:7, :7] @ weights)),
        within=1e-6,
    )


def test_baseball_by_a_second_package(outside: Outside) -> None:
    pairs = [
        pair
        for order in games(lanes=False)
        for pair in [(order.cars[0], order.cars[1])] * int(order.weight)
    ]
    expected = choix.ilsr_pairwise(7, pairs, tol=1e-12)
    fit = rank_by_place(games(lanes=False), rng=np.random.default_rng(1), ability_sd=None)
    outside.check(
        "baseball, largest difference of log abilities",
        source="choix 0.4.1, ilsr_pairwise",
        how="run",
        expected=0.0,
        got=float(np.max(np.abs(fit.ability - fit.ability.mean() - expected))),
        within=1e-6,
    )


@pytest.mark.parametrize("precision", [0.0, 0.25])
def test_places_of_more_than_two(outside: Outside, precision: float) -> None:
    """Random heats of four among nine; the package's alpha is half the prior's precision."""
    rng = np.random.default_rng(5)
    strength = np.exp(rng.normal(0.0, 0.7, 9))
    heats = [rng.choice(9, 4, replace=False) for _ in range(60)]
    orders = [
        tuple(int(car) for car in heat[np.argsort(rng.exponential(1.0 / strength[heat]))])
        for heat in heats
    ]
    expected = choix.opt_rankings(9, orders, alpha=precision / 2.0, tol=1e-10)
    fit = rank_by_place(
        [Order(order) for order in orders],
        rng=rng,
        ability_sd=precision**-0.5 if precision else None,
    )
    got = fit.ability - fit.ability.mean()
    outside.check(
        f"places of heats of four, largest difference of log abilities, precision {precision:g}",
        source="choix 0.4.1, opt_rankings",
        how="run",
        expected=0.0,
        got=float(np.max(np.abs(got - (expected - expected.mean())))),
        within=1e-5,
    )


def test_dyestuff(outside: Outside) -> None:
    observed = np.array(DYESTUFF, dtype=np.float64).ravel()
    batch = Group("batch", np.repeat(np.arange(6), 5), 6)
    fit = fit_mixed(observed, np.ones((30, 1)), [batch])
    for what, expected, got in (
        ("mean", 1527.5, float(fit.fixed[0])),
        ("spread of the batches", 42.0005953103894, fit.group_sd[0]),
        ("spread of a yield", 49.5100999656347, fit.residual_sd),
    ):
        outside.check(
            f"Dyestuff, {what}", source=LME4, how="run", expected=expected, got=got, within=1e-4
        )


def test_dyestuff_without_batches(outside: Outside) -> None:
    """The second data set of Box and Tiao: the spread of the batches is 0, not negative."""
    text = "7.298 3.846 2.434 9.566 7.990 5.220 6.556 0.608 11.788 -0.892 0.110 10.386 13.434 "
    text += "5.510 8.166 2.212 4.852 7.092 9.288 4.980 0.282 9.014 4.458 9.446 7.198 1.722 4.782 "
    text += "8.106 0.758 3.758"
    observed = np.array([float(word) for word in text.split()])
    fit = fit_mixed(observed, np.ones((30, 1)), [Group("batch", np.repeat(np.arange(6), 5), 6)])
    for what, expected, got in (
        ("batches", 0.0, fit.group_sd[0]),
        ("a yield", 3.71568428447573, fit.residual_sd),
    ):
        outside.check(
            f"Dyestuff2, spread of {what}",
            source=LME4,
            how="run",
            expected=expected,
            got=got,
            within=1e-6,
        )


def test_sleepstudy(outside: Outside) -> None:
    with (DATA / "sleepstudy.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    subject = np.unique([row["subject"] for row in rows], return_inverse=True)[1]
    days = np.array([float(row["days"]) for row in rows])
    fit = fit_mixed(
        np.array([float(row["reaction_ms"]) for row in rows]),
        np.column_stack([np.ones(len(rows)), days]),
        [Group("subject", subject, 18)],
    )
    for what, expected, got in (
        ("spread of the subjects", 37.1238267667686, fit.group_sd[0]),
        ("spread of a reading", 30.9912338986441, fit.residual_sd),
        ("restricted deviance", 1786.46508539492, fit.criterion),
        ("standard error of the slope", 0.80422142894524, math.sqrt(fit.covariance[1, 1])),
    ):
        outside.check(
            f"sleepstudy, random intercept, {what}",
            source=LME4,
            how="run",
            expected=expected,
            got=got,
            within=1e-4,
        )
