"""Bearing friction from a spin-down: flick a wheel, time it until it stops."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from hillbench import constants
from hillbench.errors import InvalidInput, Problem
from hillbench.uncertainty import Estimate

MOST_EVEN_SHARE: Final = 0.6
"""Most turns over start speed times stop time that are still read as an even slowing."""

_LEAST_SHARE: Final = 0.05


@dataclass(frozen=True, slots=True)
class SpinDown:
    """Readings of one spin-down, each with its standard uncertainty.

    Attributes
    ----------
    wheel_inertia_factor
        Moment of inertia of what turns over its mass times wheel radius squared: 1/2 disk,
        1 hoop.
    wheel_diameter_mm, axle_diameter_mm
        Wheel at the tread and axle in its bearing, mm.
    start_turns_per_s
        Speed of the wheel when the watch is started, turns a second.
    stop_time_s
        From then until the wheel stands, s.
    turns
        Turns made in that time; None where they were not counted.
    """

    wheel_inertia_factor: Estimate
    wheel_diameter_mm: Estimate
    axle_diameter_mm: Estimate
    start_turns_per_s: Estimate
    stop_time_s: Estimate
    turns: Estimate | None = None


@dataclass(frozen=True, slots=True)
class BearingReading:
    """What a spin-down says of a bearing.

    Attributes
    ----------
    bearing_friction
        Coefficient of friction between axle and bearing, under the weight of the wheel.
    viscous_rate_1_s
        Viscous torque over moment of inertia and speed, 1/s; zero for dry friction and where
        the turns were not counted.
    viscous_share
        Part of the energy of the spin that viscous friction took, 0 to 1.
    contributions
        Share of each reading in the variance of the friction, adding up to 1; empty where
        every uncertainty is zero.
    """

    bearing_friction: Estimate
    viscous_rate_1_s: Estimate
    viscous_share: float
    contributions: Mapping[str, float]


def read_spin_down(
    spin: SpinDown, gravity_m_s2: float = constants.STANDARD_GRAVITY_M_S2
) -> BearingReading:
    """Return bearing friction and viscous drag from a spin-down, with their uncertainty.

    Parameters
    ----------
    spin
        The readings. What turns, a wheel alone or two on one axle, spins about a level axle
        and rests on its bearing with its own weight only.
    gravity_m_s2
        Acceleration of free fall, m/s².

    Raises
    ------
    InvalidInput
        If a reading is not positive, the axle does not fit in the wheel, or the turns
        contradict the speed and the time.

    Notes
    -----
    I ω' = −τc − c ω with I = k m r_w² and τc = μb m g r_a; the mass cancels. With a = τc/I,
    b = c/I and β = b ω₀/a it stops after t = ln(1 + β)/b, having turned θ = (ω₀ − a t)/b.

    Dry friction alone (β = 0): μb = k r_w² ω₀/(g r_a t), and θ = ω₀ t/2. Where the turns are
    counted, q = θ/(ω₀ t) = 1/ln(1 + β) − 1/β gives β, then b and a: q is 1/2 for dry
    friction and less with a viscous part. Slightly more than 1/2 is read as dry. The air's
    drag on the wheel counts as viscous.

    Uncertainty: each reading is moved by its standard uncertainty either way and half the
    differences add in quadrature (JCGM 100:2008, 5.1.2 and 5.1.3 note 2). The inertia factor
    dominates as a rule: known to 10 %, it leaves the friction at about 11 %.

    The bearing carries a wheel only, not the car: valid for the car where the friction does
    not depend on the load. The equation is Newton's second law; flicking wheels to compare
    bearings is common practice, no source.
    """
    problems = [*_check_positive(spin), *_check_consistent(spin)]
    if problems:
        raise InvalidInput(problems)
    values = {name: estimate.value for name, estimate in _readings(spin).items()}
    viscous, energy_share = _viscous_part(values)
    return BearingReading(
        bearing_friction=_propagated(spin, lambda given: _friction(given, gravity_m_s2)),
        viscous_rate_1_s=Estimate(
            viscous, _propagated(spin, lambda given: _viscous_part(given)[0]).standard_uncertainty
        ),
        viscous_share=energy_share,
        contributions=_contributions(spin, lambda given: _friction(given, gravity_m_s2)),
    )


def viscous_ratio(turns_share: float) -> float:
    """Return β = c ω₀/τc, the viscous over the dry torque at the start of a spin-down.

    Parameters
    ----------
    turns_share
        q = θ/(ω₀ t), above 0.05; 1/2 or more gives 0.

    Raises
    ------
    ValueError
        If the share is 0.05 or less: no wheel coasts like that.

    Notes
    -----
    Solves q = 1/ln(1 + β) − 1/β, which falls from 1/2 at β = 0; q ≈ 1/2 − β/12 for small β.
    """
    if not turns_share > _LEAST_SHARE:
        raise ValueError(f"turns share is {turns_share}; it must be more than {_LEAST_SHARE}")
    if turns_share >= 0.5 - 1e-7:
        return max(0.0, 12.0 * (0.5 - turns_share))
    from scipy.optimize import brentq

    def excess(log_ratio: float) -> float:
        ratio = math.exp(log_ratio)
        return 1.0 / math.log1p(ratio) - 1.0 / ratio - turns_share

    return math.exp(float(brentq(excess, math.log(1e-7), math.log(1e12), xtol=1e-13)))


def _friction(given: Mapping[str, float], gravity_m_s2: float) -> float:
    wheel_m = given["wheel_diameter_mm"] / 2e3
    axle_m = given["axle_diameter_mm"] / 2e3
    slowing = 2.0 * math.pi * given["start_turns_per_s"] / given["stop_time_s"]
    ratio = _ratio(given)
    dry = math.log1p(ratio) / ratio if ratio > 1e-12 else 1.0
    return given["wheel_inertia_factor"] * wheel_m**2 * slowing * dry / (gravity_m_s2 * axle_m)


def _viscous_part(given: Mapping[str, float]) -> tuple[float, float]:
    """Return the viscous rate, 1/s, and the part of the energy that it took."""
    ratio = _ratio(given)
    if ratio <= 1e-12:
        return 0.0, 0.0
    rate = math.log1p(ratio) / given["stop_time_s"]
    # Dry friction took τc θ of the energy I ω₀²/2.
    return rate, 1.0 - 2.0 * _turns_share(given) * math.log1p(ratio) / ratio


def _ratio(given: Mapping[str, float]) -> float:
    return viscous_ratio(_turns_share(given)) if "turns" in given else 0.0


def _turns_share(given: Mapping[str, float]) -> float:
    share = given["turns"] / (given["start_turns_per_s"] * given["stop_time_s"])
    return max(share, 1.01 * _LEAST_SHARE)  # readings moved by their uncertainty may pass it


def _readings(spin: SpinDown) -> dict[str, Estimate]:
    readings = {
        "wheel_inertia_factor": spin.wheel_inertia_factor,
        "wheel_diameter_mm": spin.wheel_diameter_mm,
        "axle_diameter_mm": spin.axle_diameter_mm,
        "start_turns_per_s": spin.start_turns_per_s,
        "stop_time_s": spin.stop_time_s,
    }
    return readings if spin.turns is None else {**readings, "turns": spin.turns}


def _half_differences(
    spin: SpinDown, formula: Callable[[Mapping[str, float]], float]
) -> dict[str, float]:
    readings = _readings(spin)
    values = {name: estimate.value for name, estimate in readings.items()}
    differences = {}
    for name, estimate in readings.items():
        up = formula({**values, name: estimate.value + estimate.standard_uncertainty})
        down = formula({**values, name: estimate.value - estimate.standard_uncertainty})
        differences[name] = (up - down) / 2.0
    return differences


def _propagated(spin: SpinDown, formula: Callable[[Mapping[str, float]], float]) -> Estimate:
    values = {name: estimate.value for name, estimate in _readings(spin).items()}
    return Estimate(formula(values), math.hypot(*_half_differences(spin, formula).values()))


def _contributions(
    spin: SpinDown, formula: Callable[[Mapping[str, float]], float]
) -> dict[str, float]:
    squares = {name: part**2 for name, part in _half_differences(spin, formula).items()}
    total = math.fsum(squares.values())
    return {name: square / total for name, square in squares.items()} if total > 0.0 else {}


def _check_positive(spin: SpinDown) -> Iterator[Problem]:
    for name, estimate in _readings(spin).items():
        if not (math.isfinite(estimate.value) and estimate.value > 0.0):
            yield Problem(f"spin_down.{name}", f"{estimate.value:g}", "more than 0")
        elif not 0.0 <= estimate.standard_uncertainty < estimate.value:
            yield Problem(
                f"spin_down.{name}",
                f"known to ± {estimate.standard_uncertainty:g}",
                f"an uncertainty of 0 or more and less than the value, {estimate.value:g}",
                "measure it better or leave it out",
            )


def _check_consistent(spin: SpinDown) -> Iterator[Problem]:
    if spin.axle_diameter_mm.value >= spin.wheel_diameter_mm.value:
        yield Problem(
            "spin_down.axle_diameter_mm",
            f"{spin.axle_diameter_mm.value:g} mm",
            f"less than the wheel ({spin.wheel_diameter_mm.value:g} mm)",
        )
    if not 0.0 < spin.wheel_inertia_factor.value <= 1.0:
        yield Problem(
            "spin_down.wheel_inertia_factor",
            f"{spin.wheel_inertia_factor.value:g}",
            "more than 0 and at most 1",
            "1/2 is a solid disk, 1 has all its mass in the tread",
        )
    most = spin.start_turns_per_s.value * spin.stop_time_s.value
    if spin.turns is not None and not _LEAST_SHARE * most < spin.turns.value <= (
        MOST_EVEN_SHARE * most
    ):
        yield Problem(
            "spin_down.turns",
            f"{spin.turns.value:g}",
            f"more than {_LEAST_SHARE * most:.3g} and at most {MOST_EVEN_SHARE * most:.3g} "
            "turns at that start speed and time",
            "count again, or leave the turns out",
        )
