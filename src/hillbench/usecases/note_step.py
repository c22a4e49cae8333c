"""Keep what is noted, half typed and photographed at a step of a build."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records import build_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildRecord, BuildState, StepRecord
from hillbench.records.entities import Kind, Photo
from hillbench.records.names import clean_note
from hillbench.records.photo_store import Subject

DRAFT_FIELDS: Final = ("note", "readings_g", "scale_resolution_g")
_LONGEST_DRAFT: Final = 10_000


def keep_note(book: BenchBook, step_id: int, note: str, now: datetime) -> StepRecord:
    """Keep a note at a step, done or not.

    Raises
    ------
    NotFound
        If there is no such step.
    """
    note = clean_note(note)
    with book.write() as session:
        record, build = open_step(session, step_id)
        draft = {name: text for name, text in record.draft.items() if name != "note"}
        build_store.change_build(session, build.id, {"changed_at": now})
        return build_store.change_step(session, step_id, {"note": note, "draft": draft})


def keep_draft(book: BenchBook, step_id: int, typed: Mapping[str, str]) -> StepRecord:
    """Keep what is typed at a step as it is, so that a power cut takes nothing.

    Parameters
    ----------
    typed
        Texts by field; only `DRAFT_FIELDS` are kept.

    Raises
    ------
    NotFound
        If there is no such step.
    """
    draft = {name: typed[name][:_LONGEST_DRAFT] for name in DRAFT_FIELDS if name in typed}
    with book.write() as session:
        build_store.find_step(session, step_id)
        return build_store.change_step(session, step_id, {"draft": draft})


def photograph_step(book: BenchBook, step_id: int, content: bytes, now: datetime) -> Photo:
    """Keep a photo of the car that was taken at a step.

    Raises
    ------
    InvalidInput
        If it is no picture.
    NotFound
        If there is no such step.
    """
    from hillbench.usecases.add_photo import add_photo  # loads the picture library

    with book.read() as session:
        record = build_store.find_step(session, step_id)
        build = build_store.find_build(session, record.build_id)
    caption = f"{build.name}: {record.step.title}"
    photo = add_photo(book, Subject(Kind.CAR, build.car_id), content, now, caption=caption)
    with book.write() as session:
        build_store.change_step(session, step_id, {"photo_id": photo.id})
    return photo


def open_step(session: Session, step_id: int) -> tuple[StepRecord, BuildRecord]:
    """Return a step and its build.

    Parameters
    ----------
    session
        An open session.

    Raises
    ------
    InvalidInput
        If the build is not in hand.
    """
    record = build_store.find_step(session, step_id)
    build = build_store.find_build(session, record.build_id)
    if build.state is not BuildState.IN_HAND:
        seen, allowed = f"{build.name!r}, which is {build.state}", "a build in hand"
        raise InvalidInput([Problem("build", seen, allowed, "take it up again first")])
    return record, build


def minutes_words(minutes: float) -> str:
    """Return a stretch of time in words: 8 min, 2 h 05 min, 3 days 4 h.

    Parameters
    ----------
    minutes
        How long, minutes; rounded up to a whole one.
    """
    whole = -int(-minutes // 1)
    if whole < 60:
        return f"{whole} min"
    if whole < 24 * 60:
        hours, rest = divmod(whole, 60)
        return f"{hours} h {rest:02d} min" if rest else f"{hours} h"
    days, rest = divmod(whole, 24 * 60)
    more = f" {rest // 60} h" if rest >= 60 else ""
    return f"{days} day{'s' if days > 1 else ''}{more}"
