"""Check a car of a meet against its class, and sign for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.class_rules import ClassRules
from hillbench.racing.meet_event import Draft, Event, EventKind
from hillbench.racing.meet_state import MeetState
from hillbench.racing.officiate import require_car
from hillbench.racing.scrutiny import Judged, judge
from hillbench.records import meet_journal_store, meet_store, reading_store, weighing_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.errors import ReadOnlyBenchBook
from hillbench.records.faults import disk_fault
from hillbench.records.names import clean_name
from hillbench.usecases.write_journal import Writer, Written, write_journal

FROM_READINGS: Final = {
    "wheelbase_mm": "wheelbase_mm",
    "wheel_diameter_mm": "wheel_diameter_mm",
    "axle_diameter_mm": "axle_diameter_mm",
    "width_mm": "track_width_mm",
}
"""What a class may limit, and the reading of the car's own record that tells it."""


@dataclass(frozen=True, slots=True)
class Checked:
    """What was found on a car at scrutiny.

    Attributes
    ----------
    readings
        Readings of each quantity in the order taken.
    answers
        Answer to each question.
    signed_by
        Name of the one who checked it.
    photo
        The photo as it was taken; empty for none.
    """

    readings: Mapping[str, Sequence[float]]
    answers: Mapping[str, bool]
    signed_by: str
    photo: bytes = b""


def scrutinise(
    book: BenchBook, meet_id: int, writer: Writer, car: int, checked: Checked
) -> tuple[Written, Judged]:
    """Judge a car and keep the sheet; it may come again, and the last sheet counts.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes.
    car
        Number of the car at the meet.
    checked
        What was found.

    Raises
    ------
    InvalidInput
        If a reading cannot be, or nobody signs, or the photo is none.
    """
    signed_by = clean_name(checked.signed_by, "signed_by")
    judged = judge(class_of(book, meet_id), checked.readings, checked.answers)
    sha256 = _keep_photo(book, meet_id, writer, car, checked.photo) if checked.photo else ""
    payload = {
        "car": car,
        "signed_by": signed_by,
        "verdict": str(judged.verdict),
        "reasons": list(judged.reasons()),
        "readings": {name: list(values) for name, values in checked.readings.items()},
        "answers": dict(checked.answers),
        "photo_sha256": sha256,
    }

    def plan(state: MeetState, _events: Sequence[Event]) -> Sequence[Draft]:
        require_car(state, car)
        return (Draft(EventKind.SCRUTINY, payload),)

    return write_journal(book, meet_id, writer, plan), judged


def class_of(book: BenchBook, meet_id: int) -> ClassRules:
    """Return the rules of a meet; none at all where it has no class."""
    with book.read() as session:
        meet = meet_store.find_meet(session, meet_id)
        if meet.race_class_id is None:
            return ClassRules()
        return meet_store.find_class(session, meet.race_class_id).rules


def known_of(book: BenchBook, car_id: int) -> dict[str, float]:
    """Return what the car's own record tells of what a class may limit, for a first look."""
    with book.read() as session:
        weighing = weighing_store.latest_weighing(session, car_id)
        readings = reading_store.current_readings(session, car_id)
    found = {} if weighing is None else {"mass_g": weighing.estimate().value}
    for name, source in FROM_READINGS.items():
        if source in readings:
            found[name] = readings[source].value
    return found


def _keep_photo(book: BenchBook, meet_id: int, writer: Writer, car: int, content: bytes) -> str:
    from hillbench.records.photo_files import store_photo_file  # loads the picture library

    if book.read_only:
        raise ReadOnlyBenchBook(book.database)
    with book.read() as session:
        meet_store.find_meet(session, meet_id)
        known = {
            event.payload["car"]
            for event in meet_journal_store.read_journal(session, meet_id)
            if event.kind is EventKind.ENTERED
        }
    if car not in known:
        raise InvalidInput([Problem("car", str(car), "the number of a car entered")])
    try:
        file = store_photo_file(book.photo_folder, content)
    except OSError as error:
        raise disk_fault(book.photo_folder, error) from error
    with book.write() as session:
        kept = asdict(file)
        meet_journal_store.add_scrutiny_photo(session, meet_id, car, at=writer.now, **kept)
    return file.sha256
