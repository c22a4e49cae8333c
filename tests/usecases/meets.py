"""A meet in a bench book, for the tests."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from hillbench.racing.class_rules import ClassRules, Limit
from hillbench.racing.format import Format
from hillbench.racing.meet_state import MeetSettings
from hillbench.racing.officiate import Told
from hillbench.racing.staging import upcoming
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.draw_meet import draw_meet
from hillbench.usecases.enter_cars import NewEntry, enter_cars
from hillbench.usecases.read_meet import MeetView, read_meet
from hillbench.usecases.run_heat import enter_heat
from hillbench.usecases.save_meet import save_class, save_meet
from hillbench.usecases.write_journal import Writer

NOW = datetime(2026, 5, 30, 14, 0, tzinfo=UTC)
ADA = Writer("Ada, clock", NOW)
BO = Writer("Bo, director", NOW)
RULES = ClassRules((Limit("mass_g", most=60.0), Limit("wheelbase_mm", 30.0, 60.0)), ("Dry?",))
HEATS = MeetSettings(Format.TIMED_HEATS, lanes=3)


def open_meet(
    book: BenchBook, cars: int = 7, settings: MeetSettings = HEATS, *, drawn: bool = True
) -> int:
    """Begin a meet with guests and draw it; return its number."""
    race_class = save_class(book, f"Sixty {cars}", "", RULES, NOW)
    meet = save_meet(
        book, f"Meet of {cars}", "", date(2026, 5, 30), NOW,
        race_class_id=race_class.id, settings=settings,
    )  # fmt: skip
    names = [NewEntry(f"Car {number}") for number in range(1, cars + 1)]
    if names:
        enter_cars(book, meet.id, BO, names, 1)
    if drawn:
        draw_meet(book, meet.id, BO, 1)
    return meet.id


def run_next(book: BenchBook, meet_id: int, writer: Writer = ADA) -> int:
    """Run the next heat, each car in the time of its number; return the heat's number."""
    heat = upcoming(read_meet(book, meet_id).state)[0]
    told = [
        Told(lane, 10.0 + 0.05 * car + 0.001 * lane)
        for lane, car in enumerate(heat.cars, start=1)
        if car
    ]
    enter_heat(book, meet_id, writer, heat.number, told)
    return heat.number


def run_all(book: BenchBook, meet_id: int) -> MeetView:
    """Run all heats that are drawn and return the meet."""
    while upcoming(read_meet(book, meet_id).state):
        run_next(book, meet_id, Writer("Ada, clock", NOW + timedelta(minutes=5)))
    return read_meet(book, meet_id)
