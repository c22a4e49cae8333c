"""Plan the ballast of a car of the bench book in the cavity of its casting."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from typing import Final

from hillbench.ballast.measured_cavity import MeasuredCavity, cavity_of
from hillbench.ballast.stock import Putty, StockPiece
from hillbench.ballast.task import BallastTask, CgLimits, FixedMass
from hillbench.records.bench_book import BenchBook
from hillbench.records.cavity_store import latest_cavity
from hillbench.usecases.describe_car import CarDescription, Source, describe_in
from hillbench.usecases.keep_cavity import measured_of
from hillbench.usecases.question import write_question

BARE: Final = "bare car"
"""Name of the fixed mass that is the car as it is."""

WHEELBASE_DOUBT_MM: Final = 0.5
"""Difference of two readings of one wheelbase from which on it is pointed out, mm."""


@dataclass(frozen=True, slots=True)
class CarToBallast:
    """A car with what a plan needs of it.

    Attributes
    ----------
    description
        The car as the hill sees it.
    casting_id
        Its casting.
    measured
        The inside of the casting; None where it was not measured.
    bare
        The car as it is, as a fixed mass.
    assumed
        What of that nobody measured, in words.
    wheelbase_differs_mm
        By how much the wheelbase of the car differs from that of the casting, mm; 0 where
        they agree.
    """

    description: CarDescription
    casting_id: int
    measured: MeasuredCavity | None
    bare: FixedMass
    assumed: tuple[str, ...]
    wheelbase_differs_mm: float


@dataclass(frozen=True, slots=True)
class BallastWish:
    """What a plan is to reach and with what.

    Attributes
    ----------
    limit_g, scale_guard_g
        Most that the class allows and how far to stay below it, g.
    window
        Least and most place of the centre of gravity, as shares of the wheelbase.
    side_max_mm
        Most distance from the centre line, mm; None for any.
    fixed
        The bare car and all that is settled; negative for what was removed.
    stock
        Pieces that may be used.
    putty
        Filler, None for none.
    """

    limit_g: float
    scale_guard_g: float
    window: tuple[float, float]
    side_max_mm: float | None
    fixed: tuple[FixedMass, ...]
    stock: tuple[StockPiece, ...]
    putty: Putty | None = None


_WORDS: Final = {
    "mass_g": "its mass",
    "cg_ahead_of_rear_axle_mm": "its centre of gravity along the car",
    "cg_height_mm": "the height of its centre of gravity",
}


def find_car_to_ballast(book: BenchBook, car_id: int) -> CarToBallast:
    """Return a car with what a plan needs of it.

    Raises
    ------
    NotFound
        If there is no such car.
    """
    with book.read() as session:
        description = describe_in(session, car_id)
        casting_id = description.record.casting_id
        cavity = latest_cavity(session, casting_id)
    measured = None if cavity is None else measured_of(cavity)
    car, differs = description.car, 0.0
    if measured is not None and description.sources["wheelbase_mm"] is Source.MEASURED:
        differs = car.wheelbase_mm - measured.readings.wheelbase_mm
    return CarToBallast(
        description=description,
        casting_id=casting_id,
        measured=measured,
        bare=FixedMass(BARE, car.mass_g, car.cg_ahead_of_rear_axle_mm, 0.0, car.cg_height_mm),
        assumed=tuple(
            words for name, words in _WORDS.items() if description.sources[name] is Source.ASSUMED
        ),
        wheelbase_differs_mm=differs if abs(differs) > WHEELBASE_DOUBT_MM else 0.0,
    )


def task_of(measured: MeasuredCavity, wish: BallastWish) -> BallastTask:
    """Return the question to the planner."""
    return BallastTask(
        wheelbase_mm=measured.readings.wheelbase_mm,
        limit_g=wish.limit_g,
        cavity=cavity_of(measured),
        stock=wish.stock,
        fixed=wish.fixed,
        scale_guard_g=wish.scale_guard_g,
        cg=CgLimits(wish.window, wish.side_max_mm),
        putty=wish.putty,
    )


def question_key(car_id: int, task: BallastTask) -> str:
    """Return the key of a question: the same question for a car has the same one."""
    text = json.dumps(write_question(task), sort_keys=True)
    return hashlib.sha256(f"{car_id} {text}".encode()).hexdigest()
