"""Hold a ballast plan against its class, and foresee what it does on a hill."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from hillbench.building.guard_band import OtherScale, judge_mass
from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car_batch import CarBatch
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import RaceClass
from hillbench.records.meet_store import list_classes
from hillbench.uncertainty import Estimate
from hillbench.usecases.keep_ballast_plan import KeptPlan
from hillbench.usecases.set_scene import set_scene

_OTHER_STEP_G: Final = 0.01
_GUARD_IN_UNCERTAINTIES: Final = 2.0
"""The guard of the scale is taken as its expanded uncertainty, k = 2 (JCGM 100:2008, 6.2)."""

_MASS: Final = "mass_g"


@dataclass(frozen=True, slots=True)
class ClassCheck:
    """The mass of a planned car against its limit.

    Attributes
    ----------
    fits
        Whether it stays below the limit with the guard of the scale.
    spare_g
        How far below the limit it stays, g.
    probability_over
        Chance that another scale shows more than the limit.
    sentence
        The same in words.
    """

    fits: bool
    spare_g: float
    probability_over: float
    sentence: str


def check_class(kept: KeptPlan) -> ClassCheck:
    """Return how the mass of a planned car stands against the limit it was planned for."""
    task, total_g = kept.task, kept.plan.total_g
    doubt_g = max(task.scale_guard_g, _OTHER_STEP_G) / _GUARD_IN_UNCERTAINTIES
    verdict = judge_mass(Estimate(total_g, doubt_g), task.limit_g, OtherScale(_OTHER_STEP_G))
    spare_g = task.limit_g - total_g
    fits = spare_g >= task.scale_guard_g - _OTHER_STEP_G
    name = kept.answer.get("race_class") or "the class"
    chance = f"{100.0 * verdict.probability_over:.0f} %"
    if verdict.probability_over < 0.005:
        chance = "under 1 %"
    return ClassCheck(
        fits,
        spare_g,
        verdict.probability_over,
        f"{spare_g:.2f} g below the limit of {name}, {task.limit_g:g} g; chance that a scale in "
        f"doubt by {doubt_g:.3f} g shows more: {chance}.",
    )


def list_mass_classes(book: BenchBook) -> tuple[RaceClass, ...]:
    """Return the classes that limit the mass, by name."""
    with book.read() as session:
        return tuple(one for one in list_classes(session) if mass_limit_g(one) is not None)


def mass_limit_g(race_class: RaceClass) -> float | None:
    """Return the most mass of a class, g; None where it has no such limit."""
    return next((one.most for one in race_class.rules.limits if one.quantity == _MASS), None)


def predict_plans(
    book: BenchBook, car_id: int, track_id: int, plans: Sequence[KeptPlan]
) -> tuple[float | None, tuple[float | None, ...]]:
    """Return the predicted time of a car as it is and of each of its plans, s.

    Parameters
    ----------
    book
        The bench book.
    car_id, track_id
        Which car on which hill.
    plans
        Its plans; mass and centre of gravity of the car become those of the plan.

    Raises
    ------
    NotFound
        If there is no such car or track.
    """
    scene = set_scene(book, car_id, track_id)
    car = scene.description.car
    places = [one.plan for one in plans]
    batch = CarBatch.repeat(
        car,
        scene.losses,
        len(places) + 1,
        mass_g=np.array([car.mass_g, *(one.total_g for one in places)]),
        cg_ahead_of_rear_axle_mm=np.array(
            [car.cg_ahead_of_rear_axle_mm, *(_ahead_mm(one, car.wheelbase_mm) for one in plans)]
        ),
        cg_height_mm=np.array([car.cg_height_mm, *(one.cg_height_mm for one in places)]),
    )
    times = coast_batch(scene.track.track, batch, scene.surroundings).finish_time_s.tolist()
    told = tuple(float(time) if math.isfinite(time) else None for time in times)
    return told[0], told[1:]


def _ahead_mm(kept: KeptPlan, wheelbase_mm: float) -> float:
    """Return the place of a plan on a car whose wheelbase was measured a little otherwise."""
    return kept.plan.cg_ahead_of_rear_axle_mm / kept.task.wheelbase_mm * wheelbase_mm
