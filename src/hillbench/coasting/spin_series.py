"""Several spins of one wheel in one state: friction, and what of its error other tests share."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from hillbench import constants
from hillbench.coasting.spin_down import BearingReading, SpinDown, read_spin_down
from hillbench.errors import InvalidInput, Problem
from hillbench.uncertainty import Estimate

FLICK: Final = Estimate(10.0, 3.5)
"""Turns a second after a flick of a finger: common practice, no source."""

FILMED_SPREAD: Final = 0.05
"""Relative uncertainty of a start speed counted on film where nobody said: common practice, no
source."""

COUNTED_SPREAD: Final = 0.03
"""Relative uncertainty of a start speed that follows from the turns: the slowing is not quite
even; common practice, no source."""

FLICK_SPREAD: Final = 0.10
"""How far the mean flick of one test is from that of another: common practice, no source."""

SEAT_SPREAD: Final = 0.03
"""How far a bearing changes by being taken up and set down again: common practice, no source."""

_UNTESTED_SPREAD: Final = 0.15


class StartSource(StrEnum):
    """Where the start speed of a spin comes from."""

    MEASURED = "measured"
    COUNTED = "from the turns"
    ASSUMED = "assumed"


@dataclass(frozen=True, slots=True)
class SpinSet:
    """Readings of several spins of one wheel.

    Attributes
    ----------
    wheel_inertia_factor, wheel_diameter_mm, axle_diameter_mm
        As in `hillbench.coasting.spin_down.SpinDown`.
    stop_times_s
        Stop time of each spin, s.
    start_turns_per_s
        Start speed, turns a second: none, one for all, or one for each spin.
    start_uncertainty_turns_per_s
        Standard uncertainty of these speeds; None where nobody said.
    turns
        Turns of each spin; none where they were not counted.
    """

    wheel_inertia_factor: Estimate
    wheel_diameter_mm: Estimate
    axle_diameter_mm: Estimate
    stop_times_s: tuple[float, ...]
    start_turns_per_s: tuple[float, ...] = ()
    start_uncertainty_turns_per_s: float | None = None
    turns: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class SpinSeries:
    """What several spins of one wheel say.

    Attributes
    ----------
    log_frictions
        Logarithm of the bearing friction from each spin.
    own_spread
        Standard uncertainty of that logarithm that this test as a whole shares with no other.
    shape_spread
        From inertia and diameters, which every test of the car shares.
    start_spread
        From the start speed, which tests share that take it in the same way.
    start
        Where the start speed comes from.
    viscous_share
        Mean part of the energy that viscous friction took; None where it cannot be told.
    """

    log_frictions: tuple[float, ...]
    own_spread: float
    shape_spread: float
    start_spread: float
    start: StartSource
    viscous_share: float | None = None

    @property
    def mean_log_friction(self) -> float:
        """Mean logarithm of the friction."""
        return math.fsum(self.log_frictions) / len(self.log_frictions)

    def friction(self, scatter_spread: float) -> Estimate:
        """Return the bearing friction with its whole uncertainty.

        Parameters
        ----------
        scatter_spread
            Standard deviation of the logarithm from spin to spin.
        """
        value = math.exp(self.mean_log_friction)
        repeat = scatter_spread / math.sqrt(len(self.log_frictions))
        spread = math.hypot(repeat, self.own_spread, self.shape_spread, self.start_spread)
        return Estimate(value, value * spread)


def read_spins(spins: SpinSet, gravity_m_s2: float = constants.STANDARD_GRAVITY_M_S2) -> SpinSeries:
    """Return what several spins of one wheel say, each by itself.

    Raises
    ------
    InvalidInput
        If there is no spin, the readings are not equally many, or one of them cannot be.

    Notes
    -----
    Each spin is read as in `read_spin_down`. Without a start speed, turns give it: a wheel that
    slows evenly from ω₀ turns θ = ω₀ t/2. Without either, a flick is assumed; what the friction
    is is then known to a third only, how it changed from test to test still well.
    """
    problems = list(_check_counts(spins))
    if problems:
        raise InvalidInput(problems)
    start = _source(spins)
    readings = [
        read_spin_down(_one(spins, start, number), gravity_m_s2)
        for number in range(len(spins.stop_times_s))
    ]
    shares = readings[0].contributions
    relative = readings[0].bearing_friction.standard_uncertainty
    relative /= readings[0].bearing_friction.value
    own = SEAT_SPREAD if start is not StartSource.ASSUMED else math.hypot(SEAT_SPREAD, FLICK_SPREAD)
    return SpinSeries(
        log_frictions=tuple(math.log(one.bearing_friction.value) for one in readings),
        own_spread=own,
        shape_spread=relative * math.sqrt(_shape_share(shares)),
        start_spread=_start_spread(spins, start),
        start=start,
        viscous_share=_viscous_share(spins, start, readings),
    )


def loaded_mean(log_frictions: Mapping[str, float], load_shares: Mapping[str, float]) -> Estimate:
    """Return the logarithm of the friction of a whole car from the wheels that were spun.

    Parameters
    ----------
    log_frictions
        Mean logarithm of the friction of each wheel that was spun, by name; one or more.
    load_shares
        Part of the load on each wheel of the car, by name, adding up to 1.

    Notes
    -----
    The car loses to its bearings by the mean friction weighted with the load. A wheel that was
    not spun is taken as the mean of the others, known to 15 % (common practice, no source);
    that is all the uncertainty given here.
    """
    spun = {name: math.exp(log_frictions[name]) for name in load_shares if name in log_frictions}
    share = math.fsum(load_shares[name] for name in spun)
    mean = math.fsum(load_shares[name] * friction for name, friction in spun.items()) / share
    left_out = [load_shares[name] for name in load_shares if name not in spun]
    return Estimate(math.log(mean), _UNTESTED_SPREAD * math.hypot(0.0, *left_out))


def _source(spins: SpinSet) -> StartSource:
    if spins.start_turns_per_s:
        return StartSource.MEASURED
    return StartSource.COUNTED if spins.turns else StartSource.ASSUMED


def _one(spins: SpinSet, start: StartSource, number: int) -> SpinDown:
    """Return one spin; what scatters from spin to spin has no uncertainty of its own here."""
    stop_s = spins.stop_times_s[number]
    turns = None
    if start is StartSource.MEASURED:
        speeds = spins.start_turns_per_s
        speed = speeds[number] if len(speeds) > 1 else speeds[0]
        turns = Estimate(spins.turns[number], 0.0) if spins.turns else None
    elif start is StartSource.COUNTED:
        speed = 2.0 * spins.turns[number] / stop_s if stop_s > 0.0 else 0.0
    else:
        speed = FLICK.value
    return SpinDown(
        spins.wheel_inertia_factor,
        spins.wheel_diameter_mm,
        spins.axle_diameter_mm,
        Estimate(speed, 0.0),
        Estimate(stop_s, 0.0),
        turns,
    )


def _shape_share(shares: Mapping[str, float]) -> float:
    names = ("wheel_inertia_factor", "wheel_diameter_mm", "axle_diameter_mm")
    return math.fsum(shares.get(name, 0.0) for name in names)


def _start_spread(spins: SpinSet, start: StartSource) -> float:
    if start is StartSource.COUNTED:
        return COUNTED_SPREAD
    if start is StartSource.ASSUMED:
        return FLICK.standard_uncertainty / FLICK.value
    if spins.start_uncertainty_turns_per_s is None:
        return FILMED_SPREAD
    mean = math.fsum(spins.start_turns_per_s) / len(spins.start_turns_per_s)
    return spins.start_uncertainty_turns_per_s / mean


def _viscous_share(
    spins: SpinSet, start: StartSource, readings: list[BearingReading]
) -> float | None:
    if start is not StartSource.MEASURED or not spins.turns:
        return None
    return math.fsum(one.viscous_share for one in readings) / len(readings)


def _check_counts(spins: SpinSet) -> Iterator[Problem]:
    count = len(spins.stop_times_s)
    if not count:
        yield Problem(
            "stop_times_s", "empty", "one stop time or more", "type what the watch showed"
        )
        return
    if len(spins.start_turns_per_s) not in {0, 1, count}:
        seen = f"a list of {len(spins.start_turns_per_s)} for {_spins(count)}"
        yield Problem("start_turns_per_s", seen, "none, one for all, or one for each spin")
    if len(spins.turns) not in {0, count}:
        seen = f"a list of {len(spins.turns)} for {_spins(count)}"
        yield Problem(
            "turns", seen, "none, or one for each spin", "count them all, or leave it out"
        )
    uncertainty = spins.start_uncertainty_turns_per_s
    if uncertainty is not None:
        slowest = min(spins.start_turns_per_s, default=math.inf)
        if not 0.0 <= uncertainty < slowest:
            allowed = f"0 or more and less than the speed, {slowest:g}"
            yield Problem("start_uncertainty_turns_per_s", f"{uncertainty:g}", allowed)


def _spins(count: int) -> str:
    return "1 spin" if count == 1 else f"{count} spins"
