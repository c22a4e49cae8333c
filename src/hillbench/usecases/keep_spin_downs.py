"""Keep spin-downs: wheels spun several times in one state of their bearings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records import bench_test_store, car_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import SpinDownTest, SpinTimedBy, Wheel
from hillbench.records.names import clean_name, clean_note
from hillbench.records.quantities import check_range
from hillbench.usecases.car_then import read_history
from hillbench.usecases.spin_tests import wheel_series

MOST_SPINS: Final = 50
MOST_ROUNDS: Final = 1000
LONGEST_LUBRICANT: Final = 40
STOP_TIME_RANGE_S: Final = (0.05, 600.0, "s")
START_RANGE: Final = (0.1, 1000.0, "turns a second")
TURNS_RANGE: Final = (0.1, 100_000.0, "turns")
KNOWN_LUBRICANTS: Final = ("dry", "graphite", "oil")
_RANGES: Final[Mapping[str, tuple[float, float, str]]] = {
    "stop_times_s": STOP_TIME_RANGE_S,
    "start_turns_per_s": START_RANGE,
    "turns": TURNS_RANGE,
}


@dataclass(frozen=True, slots=True)
class WheelSpins:
    """The spins of one wheel as they were read.

    Attributes
    ----------
    stop_times_s
        Time from the start of the watch until it stood, s, one for each spin.
    start_turns_per_s
        Speed at the start of the watch, turns a second: none, one for all, or one for each.
    turns
        Turns until it stood: none, or one for each spin.
    """

    stop_times_s: tuple[float, ...]
    start_turns_per_s: tuple[float, ...] = ()
    turns: tuple[float, ...] = ()


def keep_spin_downs(
    book: BenchBook,
    car_id: int,
    lubricant: str,
    round_number: float,
    wheels: Mapping[str, WheelSpins],
    now: datetime,
    *,
    start_uncertainty_turns_per_s: float | None = None,
    timed_by: str = SpinTimedBy.HAND,
    at: datetime | None = None,
    note: str = "",
) -> tuple[SpinDownTest, ...]:
    """Keep the spins of one wheel or more in one state of their bearings: all or none.

    Parameters
    ----------
    lubricant
        What the bearings run in: dry, graphite, oil, or another word.
    round_number
        Rounds of it that the bearings had by then, a whole number from 0.
    wheels
        What was read, by the wheel, one of `Wheel`.
    start_uncertainty_turns_per_s
        Standard uncertainty of the start speeds; None where nobody said.
    timed_by
        One of `SpinTimedBy`.
    at
        When they were spun; `now` where None.

    Raises
    ------
    InvalidInput
        If a reading is out of range, they are not equally many, or turns, speed and time
        contradict each other; what is about one wheel has its name in front.
    NotFound
        If there is no such car.
    """
    note = clean_note(note)
    problems = list(_state_problems(lubricant, round_number, timed_by))
    if not wheels:
        remedy = "type what the watch showed for one of them"
        problems.append(Problem("wheels", "empty", "the spins of one wheel or more", remedy))
    for wheel, spins in wheels.items():
        problems += check_wheel(wheel, spins)
    if problems:
        raise InvalidInput(problems)
    tests = [
        SpinDownTest(
            id=0,
            car_id=car_id,
            at=at or now,
            wheel=Wheel(wheel),
            lubricant=_plain(lubricant),
            round_number=int(round_number),
            stop_times_s=spins.stop_times_s,
            start_turns_per_s=spins.start_turns_per_s,
            start_uncertainty_turns_per_s=(
                start_uncertainty_turns_per_s if spins.start_turns_per_s else None
            ),
            turns=spins.turns,
            timed_by=SpinTimedBy(timed_by),
            note=note,
        )
        for wheel, spins in wheels.items()
    ]
    with book.write() as session:
        car_store.touch_car(session, car_id, now)
        _require_readable(session, car_id, tests)
        return tuple(bench_test_store.add_spin_down(session, test) for test in tests)


def _require_readable(session: Session, car_id: int, tests: Sequence[SpinDownTest]) -> None:
    history = read_history(session, car_id, {})
    problems: list[Problem] = []
    for test in tests:
        try:
            wheel_series(test, history.car_at(test.at))
        except InvalidInput as wrong:
            problems += [
                replace(one, where=f"{test.wheel}.{one.where.rpartition('.')[2]}")
                for one in wrong.problems
            ]
    if problems:
        raise InvalidInput(problems)


def _plain(text: str) -> str:
    """Return a lubricant; those that are known in lower case, so that they are one."""
    lubricant = clean_name(text, "lubricant")
    return lubricant.casefold() if lubricant.casefold() in KNOWN_LUBRICANTS else lubricant


def _state_problems(lubricant: str, round_number: float, timed_by: str) -> Iterator[Problem]:
    try:
        clean_name(lubricant, "lubricant")
    except InvalidInput as wrong:
        yield from wrong.problems
    if len(lubricant.strip()) > LONGEST_LUBRICANT:
        seen = f"{len(lubricant.strip())} characters long"
        allowed = f"1 to {LONGEST_LUBRICANT} characters"
        yield Problem("lubricant", seen, allowed, "put the rest in the note")
    if not (0 <= round_number <= MOST_ROUNDS and round_number == int(round_number)):
        seen, allowed = f"{round_number:g}", f"a whole number from 0 to {MOST_ROUNDS}"
        yield Problem("round_number", seen, allowed, "0 is before the first round")
    if timed_by not in set(SpinTimedBy):
        yield Problem("timed_by", repr(timed_by), "one of: " + ", ".join(SpinTimedBy))


def check_wheel(wheel: str, spins: WheelSpins) -> Iterator[Problem]:
    """Yield what is out of range in the spins of a wheel, with its name in front."""
    if wheel not in set(Wheel):
        yield Problem("wheel", repr(wheel), "one of: " + ", ".join(Wheel))
    count = len(spins.stop_times_s)
    if not 1 <= count <= MOST_SPINS:
        seen = f"a list of {count}" if count else "empty"
        remedy = "keep them as several tests" if count else "type what the watch showed"
        yield Problem(f"{wheel}.stop_times_s", seen, f"1 to {MOST_SPINS} times", remedy)
    for name, allowed in _RANGES.items():
        for place, value in enumerate(getattr(spins, name)[:MOST_SPINS], start=1):
            seen = f"{value:g} {allowed[2]} in spin {place}"
            yield from check_range(f"{wheel}.{name}", value, allowed, seen)
