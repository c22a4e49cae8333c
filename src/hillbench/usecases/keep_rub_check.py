"""Keep what was seen where a car may rub."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from hillbench.errors import InvalidInput, Problem
from hillbench.records import bench_test_store, car_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import RubAnswer, RubCheckRecord
from hillbench.records.names import clean_note
from hillbench.usecases.rub_places import NAMES


def keep_rub_check(
    book: BenchBook,
    car_id: int,
    answers: Mapping[str, str],
    now: datetime,
    *,
    at: datetime | None = None,
    note: str = "",
) -> RubCheckRecord:
    """Keep a rub check.

    Parameters
    ----------
    answers
        One of `RubAnswer` by the name of the place, as in `rub_places`; places that are left
        out were not looked at.
    at
        When it was; `now` where None.

    Raises
    ------
    InvalidInput
        If a place or an answer is unknown, or nothing was looked at.
    NotFound
        If there is no such car.
    """
    note = clean_note(note)
    problems = [
        Problem("answers", repr(name), "one of: " + ", ".join(NAMES))
        for name in answers
        if name not in NAMES
    ]
    problems += [
        Problem(name, repr(answer), "one of: " + ", ".join(RubAnswer))
        for name, answer in answers.items()
        if answer not in set(RubAnswer)
    ]
    looked = {name: answer for name, answer in answers.items() if answer != RubAnswer.NOT_LOOKED}
    if not problems and not looked:
        remedy = "look at one at least"
        problems.append(Problem("answers", "empty", "an answer for one place or more", remedy))
    if problems:
        raise InvalidInput(problems)
    with book.write() as session:
        car_store.touch_car(session, car_id, now)
        kept = {name: RubAnswer(answer) for name, answer in looked.items()}
        test = RubCheckRecord(0, car_id, at or now, kept, note)
        return bench_test_store.add_rub_check(session, test)
