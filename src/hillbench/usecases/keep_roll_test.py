"""Keep a roll test: a car rolled over a flat floor to see where it drifts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.records import bench_test_store, car_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import FloorRoll, RollTestRecord
from hillbench.records.names import clean_note
from hillbench.records.quantities import check_range
from hillbench.usecases.evidence_of_tests import read_roll_tests

MOST_ROLLS: Final = 100
LENGTH_RANGE_M: Final = (0.1, 100.0, "m")
DRIFT_UNCERTAINTY_RANGE_MM: Final = (0.0, 500.0, "mm")
AIM_RANGE_DEG: Final = (0.0, 10.0, "deg")
_ANY_WHEELBASE_MM: Final = 42.0


def keep_roll_test(
    book: BenchBook,
    car_id: int,
    rolls: Sequence[FloorRoll],
    now: datetime,
    *,
    drift_uncertainty_mm: float = 2.0,
    aim_uncertainty_deg: float = 0.5,
    straightened: bool = False,
    at: datetime | None = None,
    note: str = "",
) -> RollTestRecord:
    """Keep the rolls of one sitting.

    Parameters
    ----------
    rolls
        In the order rolled.
    drift_uncertainty_mm
        Standard uncertainty of one drift as it was read, mm.
    aim_uncertainty_deg
        Standard uncertainty of the direction in which the car was set off, degrees.
    straightened
        Whether the axles were set anew since the test before: earlier rolls then no longer
        tell of the car.
    at
        When it was rolled; `now` where None.

    Raises
    ------
    InvalidInput
        If there is no roll, or one is out of range.
    NotFound
        If there is no such car.
    """
    note = clean_note(note)
    problems = list(_problems(rolls, drift_uncertainty_mm, aim_uncertainty_deg))
    if problems:
        raise InvalidInput(problems)
    test = RollTestRecord(
        id=0,
        car_id=car_id,
        at=at or now,
        rolls=tuple(rolls),
        drift_uncertainty_mm=drift_uncertainty_mm,
        aim_uncertainty_deg=aim_uncertainty_deg,
        straightened=straightened,
        note=note,
    )
    read_roll_tests([test], _ANY_WHEELBASE_MM)  # raises where a drift cannot be
    with book.write() as session:
        car_store.touch_car(session, car_id, now)
        return bench_test_store.add_roll_test(session, test)


def _problems(
    rolls: Sequence[FloorRoll], drift_uncertainty_mm: float, aim_uncertainty_deg: float
) -> Iterator[Problem]:
    if not 1 <= len(rolls) <= MOST_ROLLS:
        seen = f"a list of {len(rolls)}" if rolls else "empty"
        remedy = "keep them as several tests" if rolls else "type how far it ended beside the line"
        yield Problem("drift_mm", seen, f"1 to {MOST_ROLLS} rolls", remedy)
    for length_m in dict.fromkeys(roll.length_m for roll in rolls):
        yield from check_range("length_m", length_m, LENGTH_RANGE_M)
    yield from check_range("drift_uncertainty_mm", drift_uncertainty_mm, DRIFT_UNCERTAINTY_RANGE_MM)
    yield from check_range("aim_uncertainty_deg", aim_uncertainty_deg, AIM_RANGE_DEG)
