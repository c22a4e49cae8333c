"""Readings of one kind each: a run, a coast-out, a spin-down, a roll over the floor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

AS_IT_IS: Final = "as it is"
"""State of a car of which nothing else is said."""

TRACK: Final = "track"
"""Owner of what belongs to the hill, and the name of its own surface."""


@dataclass(frozen=True, slots=True)
class TimedRun:
    """One measured run down the track.

    Attributes
    ----------
    car
        Name of the car.
    finish_time_s
        Its finish time, s; null where it has none.
    gate_times_s
        Time at each gate of the track, s, null where it was not taken; empty for none.
    state
        Lubrication of its bearings, in a word.
    mass_g, cg_ahead_of_rear_axle_mm
        As it ran, g and mm; null for those of the car.
    note
        ``clean``, ``snag``, ``off track`` or ``no finish``; only clean runs and snags with a
        time are fitted.
    """

    car: str
    finish_time_s: float | None = None
    gate_times_s: tuple[float | None, ...] = ()
    state: str = AS_IT_IS
    mass_g: float | None = None
    cg_ahead_of_rear_axle_mm: float | None = None
    note: str = "clean"


@dataclass(frozen=True, slots=True)
class CoastOut:
    """How far a car coasted on a level surface, or down the hill until it stood.

    Attributes
    ----------
    car
        Name of the car.
    distance_m
        From where its entry speed was taken, or, without entry speed, from the start line of
        the track, to where it stood, m.
    distance_uncertainty_m
        Standard uncertainty of the distance, scatter from roll to roll included, m.
    entry_speed_m_s
        Speed at which it came onto the level, m/s; null where it ran down the hill.
    entry_speed_uncertainty_m_s
        Standard uncertainty of that speed, m/s.
    level_uncertainty_deg
        Standard uncertainty of the slope of the surface, degrees.
    surface
        ``track`` for the surface of the hill; any other name has its own rolling resistance.
    state, mass_g, cg_ahead_of_rear_axle_mm
        As in a run.
    """

    car: str
    distance_m: float
    distance_uncertainty_m: float
    entry_speed_m_s: float | None = None
    entry_speed_uncertainty_m_s: float = 0.0
    level_uncertainty_deg: float = 0.0
    surface: str = TRACK
    state: str = AS_IT_IS
    mass_g: float | None = None
    cg_ahead_of_rear_axle_mm: float | None = None


@dataclass(frozen=True, slots=True)
class SpinTest:
    """A wheel spun and timed until it stood; diameters and inertia are those of the car.

    Attributes
    ----------
    car
        Name of the car.
    start_turns_per_s, start_turns_per_s_uncertainty
        Speed of the wheel when the watch is started, turns a second.
    stop_time_s, stop_time_uncertainty_s
        From then until it stands, s.
    turns, turns_uncertainty
        Turns made in that time; null where they were not counted.
    wheel_inertia_factor_uncertainty
        Standard uncertainty of the wheel's inertia factor.
    axle_diameter_uncertainty_mm, wheel_diameter_uncertainty_mm
        Standard uncertainties of the two diameters, mm.
    state
        Lubrication of the bearing, in a word.
    """

    car: str
    start_turns_per_s: float
    stop_time_s: float
    turns: float | None = None
    start_turns_per_s_uncertainty: float = 0.0
    stop_time_uncertainty_s: float = 0.0
    turns_uncertainty: float = 0.0
    wheel_inertia_factor_uncertainty: float = 0.05
    axle_diameter_uncertainty_mm: float = 0.02
    wheel_diameter_uncertainty_mm: float = 0.05
    state: str = AS_IT_IS


@dataclass(frozen=True, slots=True)
class RollTest:
    """How far beside its line a car ended over a length of flat floor.

    Attributes
    ----------
    car
        Name of the car.
    length_m
        Length rolled, m.
    drift_mm
        How far it ended beside the line, mm, positive to the left.
    drift_uncertainty_mm
        Standard uncertainty of the drift, mm.
    aim_uncertainty_deg
        Standard uncertainty of the direction in which it was set off, degrees.
    """

    car: str
    length_m: float
    drift_mm: float
    drift_uncertainty_mm: float = 5.0
    aim_uncertainty_deg: float = 0.5


def has_times(run: TimedRun) -> bool:
    """Return whether a run has a time that is fitted."""
    if run.note in {"off track", "no finish"}:
        return False
    return run.finish_time_s is not None or any(time is not None for time in run.gate_times_s)
