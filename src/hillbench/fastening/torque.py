"""Torque and clamping force, over the range of friction a screw may meet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Final

from hillbench.fastening.strength import Hold
from hillbench.fastening.tables import read_table
from hillbench.fastening.thread import Thread

SAFETY_FACTOR: Final = 2.0
"""Between the force or stress at which something gives way and what is allowed: the scatter
of die castings and of a hand on a driver; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Friction:
    """The range of friction in the thread and under the head.

    Attributes
    ----------
    name
        ``dry`` or ``oiled``.
    least, most
        Coefficient of friction.
    source
        Where the range is from.
    """

    name: str
    least: float
    most: float
    source: str


@dataclass(frozen=True, slots=True)
class SafeTorque:
    """How far a screw may be tightened.

    Attributes
    ----------
    torque_n_mm
        Torque on the head above what turns the screw freely, N mm.
    limited_by
        What would give way first.
    clamp_least_n, clamp_most_n
        Clamping force at that torque for most and least friction, N.
    """

    torque_n_mm: float
    limited_by: str
    clamp_least_n: float
    clamp_most_n: float


@cache
def frictions() -> dict[str, Friction]:
    """Return the ranges of friction by name."""
    return {
        row["pair"]: Friction(
            row["pair"], float(row["least"]), float(row["most"]), f"{row['source']}"
        )
        for row in read_table("friction")
    }


def thread_torque_per_force_mm(thread: Thread, friction: float) -> float:
    """Return the torque in the thread for each newton of clamping force, mm.

    Parameters
    ----------
    thread
        Thread of the screw.
    friction
        Coefficient of friction in the thread.

    Notes
    -----
    P/(2π) + μ d2/(2 cos 30°), that is 0.159 P + 0.577 μ d2. VDI 2230, 2015, eq. R13/1; ISO
    16047:2005, clause 4.
    """
    turning = thread.pitch_mm / (2.0 * math.pi)
    return turning + friction * thread.pitch_diameter_mm / math.sqrt(3.0)


def torque_per_force_mm(thread: Thread, friction: float, bearing_diameter_mm: float) -> float:
    """Return the torque on the head for each newton of clamping force, mm.

    Parameters
    ----------
    thread
        Thread of the screw.
    friction
        Coefficient of friction in the thread and under the head.
    bearing_diameter_mm
        Mean diameter on which the head rubs, mm.
    """
    return thread_torque_per_force_mm(thread, friction) + friction * bearing_diameter_mm / 2.0


def yield_force_n(thread: Thread, friction: float, yield_mpa: float) -> float:
    """Return the clamping force at which tension and torsion together yield a screw, N.

    Parameters
    ----------
    thread
        Thread of the screw.
    friction
        Coefficient of friction in the thread.
    yield_mpa
        Yield strength of the screw, MPa.

    Notes
    -----
    σ = F/As, τ = 16 Mt/(π ds³) on the circle of the stress area, √(σ² + 3 τ²) = yield.
    VDI 2230, 2015, section 5.4.3 (from memory).
    """
    area = thread.stress_area_mm2
    diameter = math.sqrt(4.0 * area / math.pi)
    twist = 16.0 * thread_torque_per_force_mm(thread, friction) / (math.pi * diameter**3)
    return yield_mpa / math.hypot(1.0 / area, math.sqrt(3.0) * twist)


def safe_torque(
    thread: Thread,
    held: Hold,
    screw_yield_mpa: float,
    bearing_diameter_mm: float,
    friction: Friction,
    safety_factor: float = SAFETY_FACTOR,
) -> SafeTorque:
    """Return how far a screw may be tightened whatever the friction turns out to be.

    Parameters
    ----------
    thread
        Thread of the screw.
    held
        What post and screw hold.
    screw_yield_mpa
        Yield strength of the screw, MPa.
    bearing_diameter_mm
        Mean diameter on which the head rubs, mm.
    friction
        Range of friction.
    safety_factor
        By which each limit is divided, more than 1.

    Notes
    -----
    Stripping and splitting depend on the clamping force, which a given torque drives highest
    where friction is least. The screw's own yield depends on friction both ways, so both
    ends of the range are looked at.
    """

    def torque(force_n: float, mu: float) -> float:
        return force_n * torque_per_force_mm(thread, mu, bearing_diameter_mm)

    limits = {
        "post thread": torque(held.post_n, friction.least),
        "screw thread": torque(held.screw_n, friction.least),
        "screw in tension": min(
            torque(yield_force_n(thread, mu, screw_yield_mpa), mu)
            for mu in (friction.least, friction.most)
        ),
    }
    if held.wall_n is not None:
        limits["post wall"] = torque(held.wall_n, friction.least)
    limited_by, most = min(limits.items(), key=lambda limit: limit[1])
    allowed = most / safety_factor
    return SafeTorque(
        allowed,
        limited_by,
        allowed / torque(1.0, friction.most),
        allowed / torque(1.0, friction.least),
    )


def bearing_diameter_mm(head_diameter_mm: float, hole_diameter_mm: float) -> float:
    """Return the mean diameter on which a head rubs on the base, mm.

    Parameters
    ----------
    head_diameter_mm, hole_diameter_mm
        Outer diameter of the head and diameter of the hole under it, mm.

    Notes
    -----
    (Do + dh)/2. ISO 16047:2005, clause 4.
    """
    return (head_diameter_mm + hole_diameter_mm) / 2.0
