"""How close a run comes to tipping, climbing or leaving the track."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.panels import Panels
from hillbench.coasting.parameters import LEAST_ARM
from hillbench.coasting.result import Floats, Margin, MarginKind
from hillbench.coasting.surroundings import Surroundings

_LEAST_UNLOADING: Final = 0.02
"""Share of its weight a car must lose on a crest for the crest to be listed."""


def tipping_speed(
    radius_m: float,
    half_track_m: float,
    cg_height_m: float,
    gravity_m_s2: float,
    bank_rad: float = 0.0,
) -> float:
    """Return the speed at which a car tips over its outer wheels in a level bend, m/s.

    Parameters
    ----------
    radius_m
        Radius of the bend, m.
    half_track_m
        From the centre line to the outer edge of the outer wheels, m.
    cg_height_m
        Height of the centre of gravity, m.
    gravity_m_s2
        Acceleration of free fall, m/s².
    bank_rad
        Bank, rad, positive where the outer side is raised.

    Returns
    -------
    float
        Speed, infinite where the bank holds the car at any speed.

    Notes
    -----
    Moments about the outer wheels: v² = g R (t cos β + h sin β) / (h cos β - t sin β), t the
    half track; for β = 0, √(g R t / h). T. D. Gillespie, "Fundamentals of Vehicle Dynamics",
    SAE, 1992, ch. 9 (quasi-static rollover of a rigid vehicle; from memory). The force that
    turns the car is taken to act at the track surface.
    """
    holding = half_track_m * math.cos(bank_rad) + cg_height_m * math.sin(bank_rad)
    turning = cg_height_m * math.cos(bank_rad) - half_track_m * math.sin(bank_rad)
    return _root(gravity_m_s2 * radius_m * holding, turning)


def lift_off_speed(radius_m: float, cg_height_m: float, gravity_m_s2: float) -> float:
    """Return the speed of the wheels at which a car leaves the top of a crest, m/s.

    Parameters
    ----------
    radius_m
        Radius of the crest in the vertical plane, m.
    cg_height_m
        Height of the centre of gravity, m.
    gravity_m_s2
        Acceleration of free fall, m/s².

    Notes
    -----
    The centre of gravity moves on the radius R + h at √(g (R + h)); the wheels are slower
    by R / (R + h), so the contact speed is R √(g / (R + h)).
    """
    return radius_m * math.sqrt(gravity_m_s2 / (radius_m + cg_height_m))


def find_margins(
    car: Car,
    losses: Losses,
    panels: Panels,
    lengths_m: Floats,
    speed_2: Floats,
    surroundings: Surroundings,
) -> tuple[Margin, ...]:
    """Return each bend and crest of a run with the speed there and the limit, in order.

    Parameters
    ----------
    car, losses, surroundings
        What ran, and where.
    panels
        Panels of the run.
    lengths_m, speed_2
        Lengths and speeds squared of the panels gone through, shape (k,).

    Notes
    -----
    With the symbols of ``docs/theory/coasting.md``: tip (Kw h - Kn t) v² = g (C t + Gw h);
    climb W = N / μ, L/V of a flange against a vertical wall (M. J. Nadal, "Locomotives à
    vapeur", Paris, 1908; from memory), taken over the whole car; wall W = 0; lift-off N = 0.
    """
    scene = _Scene(car, losses, panels, lengths_m, speed_2, surroundings.gravity_m_s2)
    found = [*scene.bend_margins(), *scene.crest_margins()]
    return tuple(sorted(found, key=lambda margin: margin.at_m))


class _Scene:
    """The panels of a run with the speed squared at each limit."""

    def __init__(
        self,
        car: Car,
        losses: Losses,
        panels: Panels,
        lengths_m: Floats,
        speed_2: Floats,
        gravity_m_s2: float,
    ) -> None:
        count = len(speed_2)
        share = car.cg_ahead_of_rear_axle_mm / car.wheelbase_mm
        self._middles_m = panels.edges_m[:count] + lengths_m / 2.0
        self._speed_2 = speed_2
        self._front, self._rear = panels.bend_front[:count], panels.bend_rear[:count]
        press, normal, wall, tilt, bow = (
            panels.mixed(name, share)[:count] for name in ("press", "normal", "wall", "tilt", "bow")
        )
        outward = np.where(wall < 0.0, -1.0, 1.0)
        wall, tilt = wall * outward, tilt * outward
        height, half_track = car.cg_height_mm / 1e3, car.track_width_mm / 2e3
        friction = losses.wall_friction
        self._limits = {
            MarginKind.TIP: _limit(
                gravity_m_s2 * (press * half_track + tilt * height),
                wall * height - normal * half_track,
            ),
            MarginKind.WHEEL_CLIMB: _limit(
                gravity_m_s2 * (press + friction * tilt), friction * wall - normal
            ),
            MarginKind.WALL: _limit(gravity_m_s2 * tilt, wall),
        }
        self._lift = _limit(
            gravity_m_s2 * press, -normal * np.maximum(1.0 - height * bow, LEAST_ARM)
        )
        self._falling = bow < -1e-9

    def bend_margins(self) -> Iterator[Margin]:
        """Yield the margins of each bend the car reached."""
        bends = set(self._front.tolist()) | set(self._rear.tolist())
        for bend in sorted(bends - {-1}):
            both = (self._front == bend) & (self._rear == bend)
            # A bend shorter than the wheelbase never holds both axles.
            either = (self._front == bend) | (self._rear == bend)
            inside = np.flatnonzero(both if both.any() else either)
            for kind, limit_2 in self._limits.items():
                yield self._closest(kind, limit_2, inside)

    def crest_margins(self) -> Iterator[Margin]:
        """Yield the margin of each crest that takes a notable part of the load."""
        edges = np.flatnonzero(np.diff(np.concatenate([[0], self._falling, [0]])))
        for start, end in zip(edges[::2], edges[1::2], strict=True):
            margin = self._closest(MarginKind.LIFT_OFF, self._lift, np.arange(start, end))
            if margin.speed_m_s**2 >= _LEAST_UNLOADING * margin.limit_m_s**2:
                yield margin

    def _closest(
        self, kind: MarginKind, limit_2: Floats, inside: np.ndarray[tuple[int], np.dtype[np.intp]]
    ) -> Margin:
        # Least limit first where the speed is nought, so that ties fall on the tightest place.
        ratio = (self._speed_2[inside] + 1e-12) / np.maximum(limit_2[inside], 1e-12)
        worst = inside[int(np.argmax(ratio))]
        return Margin(
            at_m=float(self._middles_m[worst]),
            kind=kind,
            speed_m_s=math.sqrt(self._speed_2[worst]),
            limit_m_s=math.sqrt(limit_2[worst]),
        )


def _limit(holding: Floats, turning: Floats) -> Floats:
    """Return the speed squared at which turning v² outweighs holding: 0 or more, or infinite."""
    positive = turning > 1e-12
    return np.where(positive, np.maximum(holding, 0.0) / np.where(positive, turning, 1.0), np.inf)


def _root(holding: float, turning: float) -> float:
    return math.sqrt(max(holding, 0.0) / turning) if turning > 1e-12 else math.inf
