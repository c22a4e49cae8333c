"""A made-up track and run for the pictures, with every value written out by hand."""

from __future__ import annotations

import dataclasses

import numpy as np

from hillbench.coasting.result import EnergyBudget, Margin, MarginKind, Run, Status, Trace
from hillbench.coasting.track import Bend, HeightPoint, Track

TRACK = Track(
    finish_at_m=10.0,
    height_points=(HeightPoint(0.0, 1.0), HeightPoint(10.0, 0.0)),
    bends=(Bend(4.0, 5.0, 90.0), Bend(6.0, 7.0, -45.0, 10.0)),
    gates_at_m=(2.5, 5.0),
)
"""A straight plane, 10 m long and 1 m down, with a left and a right bend."""

ENERGY = EnergyBudget(
    start=400.0,
    bearings=60.0,
    rolling=40.0,
    steady_drag=20.0,
    air=1.0,
    walls=199.0,
    finish_motion=80.0,
)

MARGINS = (
    Margin(4.5, MarginKind.TIP, 2.0, 4.0),
    Margin(4.5, MarginKind.WHEEL_CLIMB, 2.0, 5.0),
    Margin(4.5, MarginKind.WALL, 2.0, 0.0),
    Margin(6.5, MarginKind.TIP, 3.0, 2.5),
    Margin(9.0, MarginKind.LIFT_OFF, 1.0, float("inf")),
)

# At a constant 0.4 m/s² from rest: v = sqrt(0.8 s), t = v / 0.4.
_AT_M = np.linspace(0.0, 10.0, 1001)
_SPEED_M_S = np.sqrt(0.8 * _AT_M)
_TRACE = Trace(
    at_m=_AT_M,
    time_s=_SPEED_M_S / 0.4,
    speed_m_s=_SPEED_M_S,
    height_m=1.0 - 0.1 * _AT_M,
    load_g=np.ones_like(_AT_M),
    wall_force_mn=np.zeros_like(_AT_M),
)

FINISHED = Run(
    status=Status.FINISHED,
    finish_time_s=8.0**0.5 / 0.4,
    finish_speed_m_s=8.0**0.5,
    gate_times_s=(2.0**0.5 / 0.4, 4.0**0.5 / 0.4),
    time_error_s=1e-5,
    where_m=None,
    energy=ENERGY,
    margins=MARGINS,
    trace=_TRACE,
)


def stopped_at(index: int, status: Status = Status.STALLED) -> Run:
    """Return the run cut off at one of its thousand steps."""
    upto = slice(0, index + 1)
    trace = Trace(*(getattr(_TRACE, field.name)[upto] for field in dataclasses.fields(Trace)))
    return dataclasses.replace(
        FINISHED,
        status=status,
        finish_time_s=None,
        finish_speed_m_s=None,
        time_error_s=None,
        gate_times_s=(2.0**0.5 / 0.4 if _AT_M[index] >= 2.5 else None, None),
        where_m=float(_AT_M[index]),
        trace=trace,
    )


def faster_by(share: float) -> Run:
    """Return the run with every speed raised by a share."""
    trace = dataclasses.replace(
        _TRACE, speed_m_s=_SPEED_M_S * (1.0 + share), time_s=_TRACE.time_s / (1.0 + share)
    )
    return dataclasses.replace(FINISHED, finish_time_s=8.0**0.5 / 0.4 / (1.0 + share), trace=trace)
