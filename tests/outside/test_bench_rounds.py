"""Rounds of graphite, rolls taken apart by axle and coast-outs against SciPy and NumPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp
from scipy.stats import t as student
from scipy.stats import ttest_ind

from hillbench.coasting.car import Car
from hillbench.coasting.coast_out import read_coast_out
from hillbench.coasting.roll_series import (
    AXLE_SPREAD_DEG,
    FLOOR_SPREAD_1_M,
    AimedRoll,
    read_rolls,
)
from hillbench.coasting.spin_rounds import judge_round, pool_scatter
from hillbench.coasting.spin_series import SpinSeries, StartSource
from hillbench.uncertainty import Estimate
from tests.outside.registry import Outside

AREA = "Rounds of graphite, axles apart, coast-outs"

BEFORE = (-1.31, -1.40, -1.22, -1.36, -1.29)
AFTER = (-1.48, -1.37, -1.55, -1.42)
WHEELBASE_M = 0.043
GRAVITY_M_S2 = 9.80665


def series(values: tuple[float, ...]) -> SpinSeries:
    return SpinSeries(values, 0.0, 0.1, 0.05, StartSource.MEASURED)


def test_change_of_a_round_is_the_t_test_of_two_samples(outside: Outside) -> None:
    """Without a belief about the scatter and with nothing shared it is the textbook's test."""
    scatter = pool_scatter([BEFORE, AFTER], usual_freedom=0.0)
    change = judge_round(series(BEFORE), series(AFTER), scatter, 0.05)
    tested = ttest_ind(AFTER, BEFORE, equal_var=True)
    low, high = tested.confidence_interval(0.90)
    source = "SciPy ttest_ind of the logarithms, equal variances"
    outside.check(
        "lower end of the 90 % interval of friction after over before",
        source=source, how="run", expected=math.exp(low), got=change.ratio_low, rel=1e-9,
    )  # fmt: skip
    outside.check(
        "upper end of the 90 % interval of friction after over before",
        source=source, how="run", expected=math.exp(high), got=change.ratio_high, rel=1e-9,
    )  # fmt: skip
    outside.check(
        "probability that the round gained anything",
        source=source,
        how="run",
        expected=1.0 - float(tested.pvalue) / 2.0,
        got=change.probability_gained,
        within=1e-10,
    )


def test_what_another_round_may_be_hoped_to_gain(outside: Outside) -> None:
    scatter = pool_scatter([BEFORE, AFTER], usual_freedom=0.0)
    change = judge_round(series(BEFORE), series(AFTER), scatter, 0.05)
    off = float(np.mean(AFTER) - np.mean(BEFORE))
    spread = scatter.spread * math.sqrt(1.0 / len(BEFORE) + 1.0 / len(AFTER))
    law = student(len(BEFORE) + len(AFTER) - 2, loc=off, scale=spread)
    hoped, _ = quad(lambda change_: -change_ * law.pdf(change_), -math.inf, 0.0)
    outside.check(
        "mean fall of the logarithm, a rise counted as nothing",
        source="SciPy quad over Student's density",
        how="run",
        expected=float(hoped),
        got=change.expected_gain,
        rel=1e-7,
    )


def _drift_mm(front: float, rear: float, length_m: float, *, tail_first: bool) -> float:
    """Return the drift of the rear axle of a car with two axles, integrated without slip, mm."""
    speed = -1.0 if tail_first else 1.0

    def move(_: float, state: np.ndarray) -> list[float]:
        _, _, heading = state
        turning = speed * (math.cos(rear) * math.tan(front) - math.sin(rear)) / WHEELBASE_M
        return [
            speed * math.cos(heading + rear),
            speed * math.sin(heading + rear),
            turning,
        ]

    def arrived(_: float, state: np.ndarray) -> float:
        return abs(float(state[0])) - length_m

    arrived.terminal = True  # type: ignore[attr-defined]
    path = solve_ivp(
        move, (0.0, 3.0 * length_m), [0.0] * 3, "DOP853", events=arrived, rtol=1e-11, atol=1e-12
    )
    assert path.y_events is not None
    return float(path.y_events[0][0][1]) * speed * 1e3  # left as it rolls


@pytest.mark.parametrize(("front_deg", "rear_deg"), [(0.10, 0.0), (0.0, -0.15), (0.3, 0.25)])
def test_axles_are_found_again_from_integrated_rolls(
    outside: Outside, front_deg: float, rear_deg: float
) -> None:
    front, rear = math.radians(front_deg), math.radians(rear_deg)
    rolls = [
        AimedRoll(
            1.5,
            _drift_mm(front, rear, 1.5, tail_first=tail_first),
            tail_first=tail_first,
            back=back,
            drift_uncertainty_mm=0.01,
            aim_uncertainty_deg=0.0005,
        )
        for tail_first in (False, True)
        for back in (False, True)
    ]
    told = read_rolls(rolls, WHEELBASE_M * 1e3)
    source = "SciPy solve_ivp DOP853 of two rolling axles without slip"
    for name, expected, got in (
        ("front", front_deg, told.front_deg.value),
        ("rear", rear_deg, told.rear_deg.value),
        ("steer", front_deg - rear_deg, told.steer.steer_angle_deg.value),
    ):
        outside.check(
            f"{name} of {front_deg:g}° and {rear_deg:g}°, four rolls over 1.5 m",
            source=source, how="run", expected=expected, got=got, within=0.002, unit="°",
        )  # fmt: skip


def test_rolls_are_least_squares_with_a_prior(outside: Outside) -> None:
    rolls = [
        AimedRoll(2.0, 14.0, drift_uncertainty_mm=3.0, aim_uncertainty_deg=0.2),
        AimedRoll(2.0, 9.0, back=True, drift_uncertainty_mm=3.0, aim_uncertainty_deg=0.2),
        AimedRoll(1.2, -2.0, tail_first=True, drift_uncertainty_mm=3.0, aim_uncertainty_deg=0.2),
    ]
    told = read_rolls(rolls, WHEELBASE_M * 1e3)
    # Stacked: each prior is one more row, 0 ± its spread, with all rows scaled to spread 1.
    squares = [(roll.length_m**2 + (roll.drift_mm / 1e3) ** 2) / 2.0 for roll in rolls]
    signs, ways = (1.0, 1.0, -1.0), (1.0, -1.0, 1.0)
    bends = [sign * square / WHEELBASE_M for sign, square in zip(signs, squares, strict=True)]
    rows = [
        [bend, roll.length_m - bend, way * square]
        for bend, roll, way, square in zip(bends, rolls, ways, squares, strict=True)
    ]
    spreads = [math.hypot(0.003, roll.length_m * math.radians(0.2)) for roll in rolls]
    priors = np.diag([1.0 / math.radians(AXLE_SPREAD_DEG)] * 2 + [1.0 / FLOOR_SPREAD_1_M])
    design = np.vstack([np.array(rows) / np.array(spreads)[:, None], priors])
    seen = np.concatenate(
        [np.array([roll.drift_mm / 1e3 for roll in rolls]) / spreads, np.zeros(3)]
    )
    found = np.linalg.lstsq(design, seen, rcond=None)[0]
    covariance = np.linalg.inv(design.T @ design)
    spread = math.sqrt(covariance[0, 0] + covariance[1, 1] - 2.0 * covariance[0, 1])
    source = "NumPy lstsq with the priors as rows of their own"
    outside.check(
        "steer angle of three rolls",
        source=source,
        how="run",
        expected=math.degrees(found[0] - found[1]),
        got=told.steer.steer_angle_deg.value,
        rel=1e-8,
        unit="°",
    )
    outside.check(
        "its standard uncertainty",
        source=source,
        how="run",
        expected=math.degrees(spread),
        got=told.steer.steer_angle_deg.standard_uncertainty,
        rel=1e-8,
        unit="°",
    )


def test_loss_of_a_coast_out(outside: Outside) -> None:
    car = Car(
        mass_g=40.0, wheelbase_mm=43.0, cg_ahead_of_rear_axle_mm=20.0, cg_height_mm=9.0,
        nose_ahead_of_front_axle_mm=12.0, wheel_diameter_mm=10.5, axle_diameter_mm=1.0,
        wheel_mass_g=0.7, wheel_inertia_factor=0.6, wheel_count=4, drag_area_cm2=4.0,
        track_width_mm=27.0,
    )  # fmt: skip
    share, mass_kg = 0.021, 0.040
    radius_m = 0.00525
    spinning = 4 * 0.6 * 0.0007 * radius_m**2 / radius_m**2

    def slow(_: float, state: np.ndarray) -> list[float]:
        return [state[1], -share * mass_kg * GRAVITY_M_S2 / (mass_kg + spinning)]

    def stands(_: float, state: np.ndarray) -> float:
        return float(state[1])

    stands.terminal = True  # type: ignore[attr-defined]
    path = solve_ivp(slow, (0.0, 60.0), [0.0, 1.5], events=stands, rtol=1e-11, atol=1e-12)
    assert path.y_events is not None
    distance_m = float(path.y_events[0][0][0])
    told = read_coast_out(car, (distance_m, distance_m), Estimate(1.5, 0.0))
    outside.check(
        "force over weight of a car that coasts out with turning wheels",
        source="SciPy solve_ivp of (m + J/r²) dv/dt = −F",
        how="run",
        expected=share,
        got=told.loss_share.value,
        rel=1e-6,
    )
