"""Coasting down on a flat, wall friction, tipping and wheel climb."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.margins import tipping_speed
from hillbench.coasting.result import Margin, MarginKind, Run, Status
from hillbench.coasting.run import coast
from hillbench.coasting.surroundings import Surroundings
from hillbench.coasting.track import Bend, SlopePoint, Track
from tests.outside.ideal import finish, point_car, ramp_and_flat, slope_sine
from tests.outside.registry import Outside

AREA = "Coasting: drag, walls and limits"
VACUUM = Surroundings(air_density_kg_m3=0.0)
THOMPSON = "EPA coast-down method (Thompson 1976): F = A + C v², exact solution"

MASS_KG, STEADY_N, SQUARE, SPEED_M_S = 0.035, 0.010, 2.0e-5, 4.0
"""Row `coast.analytic` of the references: m, A, C and v₀."""


def _coast_down(finish_beyond_m: float) -> tuple[Run, float]:
    """Return a run that enters the flat at the row's speed, and where the flat begins."""
    slope_deg = 40.0
    push = MASS_KG * 9.80665 * slope_sine(slope_deg) - STEADY_N
    # On the ramp v² = (push/C)(1 − e^(−2 C s/m)): the length that gives v₀ at its foot.
    foot_m = -MASS_KG / (2.0 * SQUARE) * math.log1p(-SQUARE * SPEED_M_S**2 / push)
    gates = (foot_m, foot_m + 10.0, foot_m + 27.0)
    car = point_car(MASS_KG * 1e3, 2.0 * SQUARE / 1.2 * 1e4)
    track = ramp_and_flat(slope_deg, foot_m, foot_m + finish_beyond_m, gates)
    losses = Losses(steady_drag_mn=STEADY_N * 1e3)
    return coast(track, car, losses, Surroundings(1.2), 0.02), foot_m


def test_coast_down_to_a_stop(outside: Outside) -> None:
    run, foot_m = _coast_down(30.0)
    assert run.status is Status.STALLED
    outside.check(
        "distance to a stop from 4 m/s",
        source=THOMPSON,
        how="run",
        expected=27.561333677,
        got=finish(run.where_m) - foot_m,
        rel=1e-6,
        unit="m",
    )
    outside.check(
        "time to a stop from 4 m/s",
        source=THOMPSON,
        how="run",
        expected=13.85346992,
        got=float(run.trace.time_s[-1]) - finish(run.gate_times_s[0]),
        rel=1e-6,
        unit="s",
    )


@pytest.mark.parametrize(("gate", "distance_m"), [(1, 10.0), (2, 27.0)])
def test_coast_down_between_gates(outside: Outside, gate: int, distance_m: float) -> None:
    run, _ = _coast_down(27.2)
    ratio = STEADY_N / SQUARE
    left = (SPEED_M_S**2 + ratio) * math.exp(-2.0 * SQUARE * distance_m / MASS_KG) - ratio
    scale = math.sqrt(SQUARE / STEADY_N)
    angle = math.atan(SPEED_M_S * scale) - math.atan(math.sqrt(left) * scale)
    outside.check(
        f"time over the first {distance_m:g} m from 4 m/s",
        source=THOMPSON,
        how="closed form",
        expected=MASS_KG / math.sqrt(STEADY_N * SQUARE) * angle,
        got=finish(run.gate_times_s[gate]) - finish(run.gate_times_s[0]),
        rel=1e-6,
        unit="s",
    )


def test_coast_down_at_constant_force(outside: Outside) -> None:
    track = ramp_and_flat(30.0, 1.0, 4.0, (1.0,))
    run = coast(track, point_car(), Losses(steady_drag_mn=20.0), VACUUM)
    start_2 = 2.0 * (9.80665 * 0.5 - 0.5)
    end_2 = start_2 - 2.0 * 0.5 * 3.0
    outside.check(
        "time over 3 m at a constant force",
        source="t = 2 s/(v₀ + v₁)",
        how="closed form",
        expected=6.0 / (math.sqrt(start_2) + math.sqrt(end_2)),
        got=finish(run.finish_time_s) - finish(run.gate_times_s[0]),
        rel=1e-6,
        unit="s",
    )


@pytest.mark.parametrize(
    ("name", "wheel_mass_g", "turn_deg"),
    [("no wheels, left", 0.0, 180.0), ("wheels, left", 2.0, 180.0), ("wheels, right", 2.0, -90.0)],
)
def test_wall_friction(outside: Outside, name: str, wheel_mass_g: float, turn_deg: float) -> None:
    friction = 0.3
    bend = Bend(2.0, 3.5, turn_deg)
    track = replace(ramp_and_flat(25.0, 1.5, 4.0), bends=(bend,))
    car = replace(point_car(36.0), wheel_mass_g=wheel_mass_g, wheel_inertia_factor=0.5)
    before = coast(replace(track, bends=()), car, Losses(), VACUUM)
    after = coast(track, car, Losses(wall_friction=friction), VACUUM, 0.01)
    inertia_ratio = 4.0 * 0.5 * wheel_mass_g / 36.0
    turn = math.radians(abs(turn_deg))
    outside.check(
        f"speed kept along a wall, {name}",
        source="capstan: v₁/v₀ = e^(−μ θ/(1 + η)), η = Σ I/(m r²)",
        how="closed form",
        expected=math.exp(-friction * turn / (1.0 + inertia_ratio)),
        got=finish(after.finish_speed_m_s) / finish(before.finish_speed_m_s),
        rel=1e-6,
    )


def _margin(kind: MarginKind, bank_deg: float, wall_friction: float) -> Margin:
    bend = Bend(1.0, 2.0, -50.0, bank_deg)
    # A valley with a radius, since the CG stands above the track.
    track = Track(2.5, (SlopePoint(0.3, 25.0), SlopePoint(0.8, 0.0)), bends=(bend,))
    car = Car(36.0, 0.001, 0.001, 14.0, 10.0, 1.0, track_width_mm=26.0)
    run = coast(track, car, Losses(wall_friction=wall_friction), VACUUM)
    (margin,) = [one for one in run.margins if one.kind is kind]
    return margin


RADIUS_M = 1.0 / math.radians(50.0)


@pytest.mark.parametrize("bank_deg", [0.0, 12.0, -5.0])
def test_tipping(outside: Outside, bank_deg: float) -> None:
    """A rigid car tips where the resultant passes its outer wheels: tan(atan(t/2h) + β)."""
    lean = math.atan2(26.0, 2.0 * 14.0) + math.radians(bank_deg)
    expected = math.sqrt(9.80665 * RADIUS_M * math.tan(lean))
    outside.check(
        f"tipping speed in a run, bank {bank_deg:g}°",
        source="resultant through the outer wheels: v² = g R tan(atan(t/2h) + β)",
        how="closed form",
        expected=expected,
        got=_margin(MarginKind.TIP, bank_deg, 0.1).limit_m_s,
        rel=1e-9,
        unit="m/s",
    )
    outside.check(
        f"tipping speed by formula, bank {bank_deg:g}°",
        source="resultant through the outer wheels: v² = g R tan(atan(t/2h) + β)",
        how="closed form",
        expected=expected,
        got=tipping_speed(RADIUS_M, 0.013, 0.014, 9.80665, math.radians(bank_deg)),
        rel=1e-9,
        unit="m/s",
    )


def test_wheel_climb(outside: Outside) -> None:
    """Nadal: L/V = (tan δ − μ)/(1 + μ tan δ), which is 1/μ against a vertical wall."""
    limit = _margin(MarginKind.WHEEL_CLIMB, 0.0, 0.25).limit_m_s
    outside.check(
        "side over vertical force at wheel climb",
        source="Nadal 1908, flange angle 90°: 1/μ (from memory)",
        how="memory",
        expected=1.0 / 0.25,
        got=limit**2 / (9.80665 * RADIUS_M),
        rel=1e-9,
    )


def test_speed_of_no_side_force(outside: Outside) -> None:
    outside.check(
        "speed at which a bank of 12° alone turns the car",
        source="banked curve: v² = g R tan β (OpenStax University Physics 1, section 6.3)",
        how="closed form",
        expected=math.sqrt(9.80665 * RADIUS_M * math.tan(math.radians(12.0))),
        got=_margin(MarginKind.WALL, 12.0, 0.1).limit_m_s,
        rel=1e-9,
        unit="m/s",
    )
