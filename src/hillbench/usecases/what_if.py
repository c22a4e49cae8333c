"""Ask what would be if a car or its friction were different."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.result import Run, Status
from hillbench.coasting.run import coast
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.set_scene import Scene, set_scene
from hillbench.usecases.tell_run import tell_run


@dataclass(frozen=True, slots=True)
class Tweak:
    """What is to be different; None leaves a quantity as it is."""

    mass_g: float | None = None
    cg_ahead_of_rear_axle_mm: float | None = None
    bearing_friction: float | None = None
    wall_friction: float | None = None


@dataclass(frozen=True, slots=True)
class Range:
    """What a quantity may be moved to: least, most, step, and its value now."""

    least: float
    most: float
    step: float
    now: float


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A run as it is beside the run as it would be.

    Attributes
    ----------
    scene
        The car and track as they are.
    before, after
        The two runs.
    gain_s
        Time gained, s, negative where it costs time; None unless both finish.
    sentence
        The answer in one sentence.
    ranges
        For each field of `Tweak`, what it may be moved to.
    """

    scene: Scene
    before: Run
    after: Run
    gain_s: float | None
    sentence: str
    ranges: Mapping[str, Range]


def what_if(book: BenchBook, car_id: int, track_id: int, tweak: Tweak) -> WhatIf:
    """Compute a run as it is and as it would be with a tweak.

    Raises
    ------
    NotFound
        If there is no such car or track.
    InvalidInput
        If the tweak is out of range, such as a CG outside the wheelbase.
    """
    scene = set_scene(book, car_id, track_id)
    car, losses = scene.description.car, scene.losses
    before = coast(scene.track.track, car, losses, scene.surroundings)
    after = coast(scene.track.track, *_tweaked(car, losses, tweak), scene.surroundings)
    gain_s = None
    if before.finish_time_s is not None and after.finish_time_s is not None:
        gain_s = before.finish_time_s - after.finish_time_s
    return WhatIf(scene, before, after, gain_s, _tell(before, after, gain_s), ranges_of(scene))


def ranges_of(scene: Scene) -> dict[str, Range]:
    """Return what each slider may be moved to for this car and track."""
    car, losses = scene.description.car, scene.losses
    lightest = max(1.0, round(car.mass_g * 0.6), car.wheel_count * car.wheel_mass_g)
    return {
        "mass_g": Range(lightest, round(car.mass_g * 2.0), 0.1, car.mass_g),
        "cg_ahead_of_rear_axle_mm": Range(
            round(0.1 * car.wheelbase_mm, 1),
            round(0.9 * car.wheelbase_mm, 1),
            0.1,
            car.cg_ahead_of_rear_axle_mm,
        ),
        "bearing_friction": Range(
            0.02, max(0.4, round(2 * losses.bearing_friction, 2)), 0.005, losses.bearing_friction
        ),
        "wall_friction": Range(
            0.0, max(0.5, round(2 * losses.wall_friction, 2)), 0.005, losses.wall_friction
        ),
    }


def _tweaked(car: Car, losses: Losses, tweak: Tweak) -> tuple[Car, Losses]:
    if tweak.mass_g is not None:
        car = replace(car, mass_g=tweak.mass_g)
    if tweak.cg_ahead_of_rear_axle_mm is not None:
        car = replace(car, cg_ahead_of_rear_axle_mm=tweak.cg_ahead_of_rear_axle_mm)
    if tweak.bearing_friction is not None:
        losses = replace(losses, bearing_friction=tweak.bearing_friction)
    if tweak.wall_friction is not None:
        losses = replace(losses, wall_friction=tweak.wall_friction)
    return car, losses


def _tell(before: Run, after: Run, gain_s: float | None) -> str:
    if gain_s is None:
        if after.status is Status.FINISHED:
            return f"With this it finishes: {tell_run(after)[0].lower()}{tell_run(after)[1:]}"
        return tell_run(after)
    if abs(gain_s) < 0.0005:
        return f"No difference: {after.finish_time_s:.2f} s either way."
    word = "faster" if gain_s > 0.0 else "slower"
    return (
        f"{abs(gain_s):.3f} s {word}: {after.finish_time_s:.2f} s instead of"
        f" {before.finish_time_s:.2f} s."
    )
