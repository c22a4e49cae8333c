"""What a computed run looks like."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Status(StrEnum):
    """How a run ended."""

    FINISHED = "finished"
    DID_NOT_START = "did_not_start"
    STALLED = "stalled"
    LIFTED_OFF = "lifted_off"


class MarginKind(StrEnum):
    """What a speed is held against."""

    TIP = "tip"
    WHEEL_CLIMB = "wheel_climb"
    WALL = "wall"
    LIFT_OFF = "lift_off"


@dataclass(frozen=True, slots=True)
class Margin:
    """Speed at a bend or crest beside the speed at which something happens there.

    Attributes
    ----------
    at_m
        Where the nose is when the car is closest to the limit, m.
    kind
        What happens at the limit: the car tips over its outer wheels, a wheel climbs the
        wall, the car begins to lean on the outer wall, the wheels lift off.
    speed_m_s
        Speed of the car there, m/s.
    limit_m_s
        Speed of the wheels along the track at the limit, m/s; infinite where no speed does it.
    """

    at_m: float
    kind: MarginKind
    speed_m_s: float
    limit_m_s: float


@dataclass(frozen=True, slots=True)
class EnergyBudget:
    """Where the energy of the start goes, all in mJ.

    Attributes
    ----------
    start
        Height energy let go between the start and the end of the run.
    bearings, rolling, steady_drag, air, walls
        Taken by each loss.
    finish_motion
        Left as motion, wheels included, at the end.
    """

    start: float
    bearings: float
    rolling: float
    steady_drag: float
    air: float
    walls: float
    finish_motion: float

    def losses(self) -> dict[str, float]:
        """Return each loss by name, mJ."""
        return {
            "bearings": self.bearings,
            "rolling": self.rolling,
            "steady_drag": self.steady_drag,
            "air": self.air,
            "walls": self.walls,
        }


@dataclass(frozen=True, slots=True)
class Trace:
    """A run along the track, one value for each place of the nose.

    Attributes
    ----------
    at_m
        Place of the nose, m, shape (k,).
    time_s, speed_m_s
        Time since the start and speed there, shape (k,).
    height_m
        Height of the centre of gravity above where it is at the finish, m, shape (k,).
    load_g
        Normal force over weight, shape (k,).
    wall_force_mn
        Force on the wall, mN, positive on the right-hand wall of a left bend, shape (k,).
    """

    at_m: Floats
    time_s: Floats
    speed_m_s: Floats
    height_m: Floats
    load_g: Floats
    wall_force_mn: Floats


@dataclass(frozen=True, slots=True)
class Run:
    """One computed run.

    Attributes
    ----------
    status
        How it ended.
    finish_time_s, finish_speed_m_s, time_error_s
        Time and speed at the finish and the estimated numerical error of the time; None
        unless finished.
    gate_times_s
        Time at each gate, None for a gate not reached.
    where_m
        Place of the nose where the run ended early; None when finished.
    energy
        Where the energy went, up to the end of the run.
    margins
        Each bend and crest that the car passed.
    trace
        The run along the track, up to its end.
    """

    status: Status
    finish_time_s: float | None
    finish_speed_m_s: float | None
    gate_times_s: tuple[float | None, ...]
    time_error_s: float | None
    where_m: float | None
    energy: EnergyBudget
    margins: tuple[Margin, ...]
    trace: Trace
