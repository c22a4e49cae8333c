"""One run by `solve_ivp` RK45 with plain Python inside: what one would write first."""

from __future__ import annotations

import math
from bisect import bisect_right

import numpy as np
from scipy.integrate import solve_ivp

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.track import Track

_START_M = 1e-10
_GRAVITY = 9.80665
_AIR = 1.2


class PlainRun:
    """A car with its losses on a track of slope points, in SI units; no load exponent."""

    def __init__(self, track: Track, car: Car, losses: Losses) -> None:
        self._at = [point.at_m for point in track.slope_points]
        self._pitch = [-math.radians(point.slope_deg) for point in track.slope_points]
        self._bends = sorted(track.bends, key=lambda bend: bend.from_m)
        self._starts = [bend.from_m for bend in self._bends]
        self._finish = track.finish_at_m
        self._nose = car.nose_ahead_of_front_axle_mm * 1e-3
        self._wheelbase = car.wheelbase_mm * 1e-3
        self._front = car.cg_ahead_of_rear_axle_mm / car.wheelbase_mm
        self._mass, self._height = car.mass_g * 1e-3, car.cg_height_mm * 1e-3
        wheels = car.wheel_count * car.wheel_mass_g * 1e-3
        self._wheels = wheels * car.wheel_inertia_factor
        self._inertia = self._mass * (car.pitch_gyration_mm * 1e-3) ** 2
        lever = car.axle_diameter_mm / car.wheel_diameter_mm * (1.0 - wheels / self._mass)
        self._load_loss = losses.bearing_friction * lever + losses.rolling_resistance
        self._steady, self._wall = losses.steady_drag_mn * 1e-3, losses.wall_friction
        self._drag = 0.5 * _AIR * car.drag_area_cm2 * 1e-4

    def finish_time_s(self, rtol: float) -> float:
        """Return the finish time."""
        moving, push = self._forces(_START_M, 0.0)
        start = [math.sqrt(2.0 * moving * _START_M / push), push * _START_M]
        span = (math.sqrt(_START_M), math.sqrt(self._finish))
        solved = solve_ivp(self._change, span, start, "RK45", rtol=rtol, atol=1e-9)
        return float(solved.y[0, -1])

    def _change(self, root: float, state: np.ndarray) -> list[float]:
        energy = max(state[1], 1e-300)
        at = root * root
        moving, push = self._forces(at, energy)
        return [2.0 * root / math.sqrt(2.0 * energy / moving), 2.0 * root * push]

    def _forces(self, at: float, energy: float) -> tuple[float, float]:
        front = self._place(at - self._nose)
        rear = self._place(at - self._nose - self._wheelbase)
        share, other = self._front, 1.0 - self._front
        pitch, bow, normal_bow, wall_bow, press, tilt = [
            share * one + other * two for one, two in zip(front, rear, strict=True)
        ]
        arm = 1.0 - self._height * bow
        moving = self._mass * arm * arm + self._inertia * bow * bow + self._wheels
        speed_2 = 2.0 * energy / moving
        normal = self._mass * (_GRAVITY * press + speed_2 * normal_bow * arm)
        wall = self._mass * (speed_2 * wall_bow - _GRAVITY * tilt)
        loss = self._load_loss * normal + self._steady + self._drag * speed_2
        return moving, -self._mass * _GRAVITY * pitch - loss - self._wall * abs(wall)

    def _place(self, at: float) -> tuple[float, float, float, float, float, float]:
        """Return climb, vertical curvature, Kn, Kw, C and Gw of an axle."""
        index = bisect_right(self._at, at)
        if index == 0 or index == len(self._at):
            pitch, bow = self._pitch[min(index, len(self._at) - 1)], 0.0
        else:
            before, after = self._at[index - 1], self._at[index]
            bow = (self._pitch[index] - self._pitch[index - 1]) / (after - before)
            pitch = self._pitch[index - 1] + bow * (at - before)
        number = bisect_right(self._starts, at) - 1
        turn, roll = 0.0, 0.0
        if number >= 0 and at < self._bends[number].to_m:
            turn, roll = self._bends[number].curvature_1_m, self._bends[number].roll_rad
        cosine, sine = math.cos(roll), math.sin(roll)
        climb = math.sin(pitch) * (1.0 - self._height * bow)
        level = math.cos(pitch)
        return (
            climb,
            bow,
            bow * cosine + turn * sine,
            turn * cosine - bow * sine,
            level * cosine,
            level * sine,
        )
