"""Tell what a run shows that builders do not expect, where its own numbers bear it out."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car_batch import CarBatch
from hillbench.coasting.result import Run, Status
from hillbench.usecases.set_scene import Scene

_ADDED_G: Final = 10.0
_NOTABLE_S: Final = 0.0005


def tell_notes(scene: Scene, run: Run) -> tuple[str, ...]:
    """Return notes that this very run supports, each one sentence or two."""
    if run.status is not Status.FINISHED:
        return ()
    return (*_notes_on_trials(scene), *_notes_on_energy(run))


def _notes_on_trials(scene: Scene) -> Iterator[str]:
    car, losses = scene.description.car, scene.losses
    heavier = replace(car, mass_g=car.mass_g + _ADDED_G)
    lighter = replace(car, wheel_mass_g=0.8 * car.wheel_mass_g)
    freer = replace(losses, bearing_friction=0.75 * losses.bearing_friction)
    bare = replace(car, wheel_mass_g=0.0, drag_area_cm2=0.0)
    loads = replace(losses, steady_drag_mn=0.0, bearing_load_exponent=0.0)
    trials = CarBatch.of(
        [car, heavier, lighter, car, bare, replace(bare, mass_g=heavier.mass_g)],
        [losses, losses, losses, freer, loads, loads],
    )
    times = coast_batch(scene.track.track, trials, scene.surroundings).finish_time_s.tolist()
    now, with_weight, with_light_wheels, with_oil, ideal, ideal_heavy = times
    weight_gain, oil_gain = now - with_weight, now - with_oil
    if abs(ideal - ideal_heavy) < _NOTABLE_S < abs(weight_gain):
        yield (
            f"Weight cancels out of every loss that grows with load. {_ADDED_G:g} g more makes the"
            f" run {abs(weight_gain):.3f} s {'shorter' if weight_gain > 0.0 else 'longer'}, and all"
            " of that comes through the air, steady drag and the wheels that must be spun up."
        )
    if oil_gain > max(weight_gain, 0.0) + _NOTABLE_S:
        yield (
            f"Bearings pay more than weight here: a quarter less bearing friction gains"
            f" {oil_gain:.3f} s, {_ADDED_G:g} g more weight {max(weight_gain, 0.0):.3f} s."
        )
    if with_light_wheels > now + _NOTABLE_S:
        yield (
            "Lighter wheels at the same total weight would be slower here by"
            f" {with_light_wheels - now:.3f} s: more of the weight then rides on the bearings."
        )


def _notes_on_energy(run: Run) -> Iterator[str]:
    losses = run.energy.losses()
    total = sum(losses.values())
    share = losses["walls"] / total if total > 0.0 else 0.0
    if share > 0.4:
        yield (
            f"{100.0 * share:.0f} % of what is lost goes into the walls of the bends. A car that"
            " rolls straight and smooth walls are worth more than the last polish of the axles."
        )
