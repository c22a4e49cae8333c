"""Spin-down and roll test against integrated equations of motion and exact circles."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from hillbench.coasting.roll_test import Roll, read_roll
from hillbench.coasting.spin_down import SpinDown, read_spin_down
from hillbench.uncertainty import Estimate
from tests.outside.registry import Outside

AREA = "Spin-down and roll test"

INERTIA_FACTOR = 0.6
WHEEL_RADIUS_M = 0.0053
AXLE_RADIUS_M = 0.00055
WHEEL_MASS_KG = 0.0007
GRAVITY_M_S2 = 9.80665


def _spun(
    friction: float, viscous_rate_1_s: float, start_turns_per_s: float
) -> tuple[float, float]:
    """Return stop time and turns of a wheel with its equation of motion integrated by SciPy."""
    inertia = INERTIA_FACTOR * WHEEL_MASS_KG * WHEEL_RADIUS_M**2
    dry_torque = friction * WHEEL_MASS_KG * GRAVITY_M_S2 * AXLE_RADIUS_M

    def slow(_: float, state: np.ndarray) -> list[float]:
        return [state[1], -dry_torque / inertia - viscous_rate_1_s * state[1]]

    def stands(_: float, state: np.ndarray) -> float:
        return float(state[1])

    stands.terminal = True  # type: ignore[attr-defined]
    start = [0.0, 2.0 * math.pi * start_turns_per_s]
    spun = solve_ivp(slow, (0.0, 1e3), start, "DOP853", events=stands, rtol=1e-11, atol=1e-11)
    assert spun.t_events is not None
    assert spun.y_events is not None
    return float(spun.t_events[0][0]), float(spun.y_events[0][0][0]) / (2.0 * math.pi)


@pytest.mark.parametrize(
    ("name", "friction", "viscous_rate_1_s"),
    [("dry", 0.22, 0.0), ("little oil", 0.10, 0.5), ("much oil", 0.03, 4.0)],
)
def test_spin_down(outside: Outside, name: str, friction: float, viscous_rate_1_s: float) -> None:
    stop_s, turns = _spun(friction, viscous_rate_1_s, 25.0)
    spin = SpinDown(
        Estimate(INERTIA_FACTOR, 0.0),
        Estimate(WHEEL_RADIUS_M * 2e3, 0.0),
        Estimate(AXLE_RADIUS_M * 2e3, 0.0),
        Estimate(25.0, 0.0),
        Estimate(stop_s, 0.0),
        Estimate(turns, 0.0),
    )
    reading = read_spin_down(spin, GRAVITY_M_S2)
    outside.check(
        f"bearing friction found again, {name}",
        source="SciPy solve_ivp DOP853 on I ω' = −τc − c ω",
        how="run",
        expected=friction,
        got=reading.bearing_friction.value,
        rel=1e-6,
    )
    outside.check(
        f"viscous rate found again, {name}",
        source="SciPy solve_ivp DOP853 on I ω' = −τc − c ω",
        how="run",
        expected=viscous_rate_1_s,
        got=reading.viscous_rate_1_s.value,
        within=1e-5,
        unit="1/s",
    )
    inertia = INERTIA_FACTOR * WHEEL_MASS_KG * WHEEL_RADIUS_M**2
    dry_work = friction * WHEEL_MASS_KG * GRAVITY_M_S2 * AXLE_RADIUS_M * 2.0 * math.pi * turns
    outside.check(
        f"energy taken by viscous friction, {name}",
        source="energy balance of the integrated motion",
        how="run",
        expected=1.0 - dry_work / (0.5 * inertia * (2.0 * math.pi * 25.0) ** 2),
        got=reading.viscous_share,
        within=1e-5,
    )


def test_spin_down_uncertainty(outside: Outside) -> None:
    """Propagation of the GUM against drawing the readings at random (JCGM 101:2008)."""
    rng = np.random.default_rng(7)
    count = 200_000
    k = rng.normal(0.5, 0.05, count)
    wheel_mm = rng.normal(10.6, 0.05, count)
    axle_mm = rng.normal(1.1, 0.02, count)
    start = rng.normal(25.0, 0.5, count)
    stop_s = rng.normal(4.0, 0.05, count)
    slowing = 2.0 * math.pi * start / stop_s
    drawn = k * (wheel_mm / 2e3) ** 2 * slowing / (GRAVITY_M_S2 * axle_mm / 2e3)
    spin = SpinDown(
        Estimate(0.5, 0.05),
        Estimate(10.6, 0.05),
        Estimate(1.1, 0.02),
        Estimate(25.0, 0.5),
        Estimate(4.0, 0.05),
    )
    friction = read_spin_down(spin, GRAVITY_M_S2).bearing_friction
    outside.check(
        "standard uncertainty of the bearing friction over 200,000 draws",
        source="JCGM 101:2008, propagation of distributions by NumPy",
        how="run",
        expected=float(drawn.std()),
        got=friction.standard_uncertainty,
        rel=0.02,
    )


@pytest.mark.parametrize("turn_deg", [0.5, 10.0, 60.0])
def test_roll_along_an_exact_circle(outside: Outside, turn_deg: float) -> None:
    radius_m, turn = 3.7, math.radians(turn_deg)
    along_m, drift_m = radius_m * math.sin(turn), radius_m * (1.0 - math.cos(turn))
    steer = read_roll(
        Roll(Estimate(along_m, 0.0), Estimate(drift_m * 1e3, 0.0), Estimate(42.0, 0.0))
    )
    outside.check(
        f"radius of the path after {turn_deg:g}° of a circle",
        source="point of a circle by sine and cosine",
        how="closed form",
        expected=radius_m,
        got=steer.radius_m,
        rel=1e-10,
        unit="m",
    )
    outside.check(
        f"steer angle after {turn_deg:g}° of a circle",
        source="both axles point at the centre: tan δ = L/R",
        how="closed form",
        expected=math.degrees(math.atan2(0.042, radius_m)),
        got=steer.steer_angle_deg.value,
        rel=1e-10,
        unit="°",
    )
