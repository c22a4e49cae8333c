"""Keep classes, seasons and meets."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date, datetime

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.class_rules import ClassRules
from hillbench.racing.meet_event import Draft, EventKind
from hillbench.racing.meet_state import MeetSettings
from hillbench.racing.season import SeasonRule
from hillbench.records import meet_journal_store, meet_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import Meet, RaceClass, Season
from hillbench.records.names import clean_name, clean_note


def save_class(
    book: BenchBook,
    name: str,
    note: str,
    rules: ClassRules,
    now: datetime,
    *,
    class_id: int | None = None,
    from_on: date | None = None,
    until_on: date | None = None,
    copied_from_id: int | None = None,
) -> RaceClass:
    """Keep a class, new or changed.

    Parameters
    ----------
    rules
        Limits and questions.
    class_id
        The class to change; a new one where None.
    from_on, until_on
        First and last day they hold.
    copied_from_id
        The class it began as a copy of.

    Raises
    ------
    InvalidInput
        If the name is taken or none, or the days are the wrong way round.
    """
    name, note = clean_name(name), clean_note(note)
    if from_on is not None and until_on is not None and until_on < from_on:
        seen, allowed = f"{until_on:%Y-%m-%d}", f"{from_on:%Y-%m-%d} or later"
        raise InvalidInput([Problem("until_on", seen, allowed, "change the two")])
    with book.write() as session:
        return meet_store.keep_class(
            session,
            class_id,
            name,
            note,
            rules,
            now,
            from_on=from_on,
            until_on=until_on,
            copied_from_id=copied_from_id,
        )


def copy_class(book: BenchBook, class_id: int, now: datetime) -> RaceClass:
    """Copy a class under a name of its own, to be changed for a guest league."""
    with book.read() as session:
        source = meet_store.find_class(session, class_id)
        taken = {one.name for one in meet_store.list_classes(session, include_removed=True)}
    stem = f"{source.name[:180]}, copy"
    name = next(
        name
        for number in range(1, len(taken) + 2)
        if (name := stem if number == 1 else f"{stem} {number}") not in taken
    )
    return save_class(
        book, name, source.note, source.rules, now, copied_from_id=class_id, from_on=now.date()
    )


def save_season(
    book: BenchBook,
    name: str,
    note: str,
    rule: SeasonRule,
    now: datetime,
    *,
    season_id: int | None = None,
) -> Season:
    """Keep a season, new or changed.

    Parameters
    ----------
    rule
        How it is scored.
    season_id
        The season to change; a new one where None.
    """
    name, note = clean_name(name), clean_note(note)
    with book.write() as session:
        return meet_store.keep_season(session, season_id, name, note, rule, now)


def save_meet(
    book: BenchBook,
    name: str,
    note: str,
    held_on: date,
    now: datetime,
    *,
    meet_id: int | None = None,
    track_id: int | None = None,
    race_class_id: int | None = None,
    season_id: int | None = None,
    settings: MeetSettings | None = None,
    by: str = "director",
) -> Meet:
    """Keep a meet, new or changed; a new one begins its journal with how it is run.

    Parameters
    ----------
    held_on
        Its day.
    meet_id
        The meet to change; a new one where None.
    track_id, race_class_id, season_id
        Where, to which rules, in which season; None for none.
    settings
        How a new one is run.
    by
        Who makes it.
    """
    name, note = clean_name(name), clean_note(note)
    with book.write() as session:
        if track_id is not None:
            track_store.find_track(session, track_id)
        if race_class_id is not None:
            meet_store.find_class(session, race_class_id)
        if season_id is not None:
            meet_store.find_season(session, season_id)
        meet = meet_store.keep_meet(
            session,
            meet_id,
            name,
            note,
            held_on,
            now,
            track_id=track_id,
            race_class_id=race_class_id,
            season_id=season_id,
        )
        if meet_id is None:
            draft = Draft(EventKind.SETTINGS, asdict(settings or MeetSettings()))
            meet_journal_store.append(session, meet.id, [draft], now, by, None)
        return meet
