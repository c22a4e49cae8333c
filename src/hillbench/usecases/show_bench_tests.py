"""Show all tests of a car at the bench, with what they say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sqlalchemy.orm import Session

from hillbench.coasting.car import Car
from hillbench.coasting.coast_out import CoastedOut, read_coast_out
from hillbench.records import bench_test_store, car_store, reading_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import (
    CoastOutRecord,
    RollTestRecord,
    RubAnswer,
    RubCheckRecord,
    SpinDownTest,
)
from hillbench.records.entities import CarRecord
from hillbench.uncertainty import Estimate
from hillbench.usecases.bearing_states import FROM_SPIN_DOWNS
from hillbench.usecases.car_then import CarHistory, read_history
from hillbench.usecases.describe_car import CarDescription, describe_in
from hillbench.usecases.evidence_of_tests import ENTRY_SPEED_SPREAD
from hillbench.usecases.hill_of_car import hill_of_car
from hillbench.usecases.judge_roll_tests import RollsJudged, judge_roll_tests
from hillbench.usecases.judge_spin_downs import SpinsJudged, judge_spin_downs
from hillbench.usecases.rub_places import PLACES, RubPlace
from hillbench.usecases.spin_tests import car_rounds, state_name

SHAPE: Final = ("wheel_inertia_factor", "wheel_diameter_mm", "axle_diameter_mm")
"""Quantities of a car on which a spin-down rests."""


@dataclass(frozen=True, slots=True)
class ShownCoastOut:
    """A coast-out with what it says.

    Attributes
    ----------
    test
        As it was kept.
    track_name
        The track it ran on; empty for another surface.
    says
        What it says by itself; None where it ran down a hill, which a fit reads.
    """

    test: CoastOutRecord
    track_name: str
    says: CoastedOut | None


@dataclass(frozen=True, slots=True)
class BenchTests:
    """All tests of one car, latest first, with what they say.

    Attributes
    ----------
    car, description
        The car, and what of it was measured.
    spin_downs, spins
        Spin-downs, and what they say; None where there is none.
    roll_tests, rolls
        Roll tests, and what those since the axles were set say; None where there is none.
    coast_outs
        Coast-outs.
    rub_checks
        Rub checks.
    assumed
        Quantities on which the spin-downs rest that nobody measured.
    friction_in_use
        Note of the bearing friction that counts, where it came from spin-downs; else empty.
    """

    car: CarRecord
    description: CarDescription
    spin_downs: tuple[SpinDownTest, ...]
    spins: SpinsJudged | None
    roll_tests: tuple[RollTestRecord, ...]
    rolls: RollsJudged | None
    coast_outs: tuple[ShownCoastOut, ...]
    rub_checks: tuple[RubCheckRecord, ...]
    assumed: tuple[str, ...]
    friction_in_use: str

    @property
    def rubbing(self) -> tuple[RubPlace, ...]:
        """Places that rubbed in the latest check."""
        if not self.rub_checks:
            return ()
        answers = self.rub_checks[0].answers
        return tuple(place for place in PLACES if answers.get(place.name) is RubAnswer.RUBS)

    @property
    def not_looked(self) -> tuple[RubPlace, ...]:
        """Places that nobody looked at in the latest check."""
        answers = self.rub_checks[0].answers if self.rub_checks else {}
        return tuple(place for place in PLACES if place.name not in answers)


def show_bench_tests(book: BenchBook, car_id: int) -> BenchTests:
    """Return all tests of a car, removed or not, with what they say.

    Raises
    ------
    NotFound
        If there is no such car.
    InvalidInput
        If the readings of the car contradict each other.
    """
    with book.read() as session:
        record = car_store.find_car(session, car_id)
        description = describe_in(session, car_id)
        history = read_history(session, car_id, {})
        spin_downs = bench_test_store.list_spin_downs(session, car_id)
        hill = hill_of_car(session, car_id)
        coast_outs = _coast_outs(session, car_id, history)
        rub_checks = bench_test_store.list_rub_checks(session, car_id)
        reading = reading_store.current_readings(session, car_id).get("bearing_friction")
    car = description.car
    note = "" if reading is None else reading.note
    return BenchTests(
        car=record,
        description=description,
        spin_downs=spin_downs,
        spins=judge_spin_downs(car_rounds(spin_downs, history.car_at), car, hill),
        roll_tests=history.roll_tests,
        rolls=judge_roll_tests(history.roll_tests, car.wheelbase_mm, hill),
        coast_outs=coast_outs,
        rub_checks=rub_checks,
        assumed=tuple(name for name in description.assumed() if name in SHAPE),
        friction_in_use=note if note.startswith(FROM_SPIN_DOWNS) else "",
    )


def friction_note(test: SpinDownTest) -> str:
    """Return the note of a reading of bearing friction that is made of spin-downs."""
    return f"{FROM_SPIN_DOWNS}: {state_name(test.lubricant, test.round_number)}"


def _coast_outs(session: Session, car_id: int, history: CarHistory) -> tuple[ShownCoastOut, ...]:
    tests = bench_test_store.list_coast_outs(session, car_id)
    ids = {test.track_id for test in tests if test.track_id is not None}
    names = track_store.names(session, ids)
    return tuple(
        ShownCoastOut(
            test,
            names.get(test.track_id, "") if test.track_id is not None else "",
            _said(test, history.car_at(test.at)),
        )
        for test in tests
    )


def _said(test: CoastOutRecord, car: Car) -> CoastedOut | None:
    speed = test.entry_speed_m_s
    if speed is None:
        return None
    spread = test.entry_speed_uncertainty_m_s
    if spread is None:
        spread = ENTRY_SPEED_SPREAD * speed
    return read_coast_out(
        car, test.distances_m, Estimate(speed, spread), test.level_uncertainty_deg
    )
