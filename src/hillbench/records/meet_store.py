"""Meets, classes and seasons."""

from __future__ import annotations

import dataclasses
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from hillbench.racing.class_rules import ClassRules, rules_from
from hillbench.racing.season import Absence, SeasonRule, SeasonScore
from hillbench.records.meet_entities import Meet, RaceClass, Season
from hillbench.records.meet_tables import MeetRow, RaceClassRow, SeasonRow
from hillbench.records.removal import find_row, give_name, in_use


def keep_class(
    session: Session,
    class_id: int | None,
    name: str,
    note: str,
    rules: ClassRules,
    now: datetime,
    *,
    from_on: date | None = None,
    until_on: date | None = None,
    copied_from_id: int | None = None,
) -> RaceClass:
    """Add a class, or give one other rules; its name must be free."""
    if class_id is None:
        row = RaceClassRow(created_at=now, copied_from_id=copied_from_id)
    else:
        row = find_row(session, RaceClassRow, class_id)
    with session.no_autoflush:  # a new row has no name yet
        give_name(session, row, name, note, now)
    row.rules = dataclasses.asdict(rules)
    row.from_on = _text(from_on)
    row.until_on = _text(until_on)
    session.add(row)
    session.flush()
    return _class(row)


def find_class(session: Session, class_id: int) -> RaceClass:
    """Return one class, removed or not; raise `NotFound` if there is none."""
    return _class(find_row(session, RaceClassRow, class_id))


def list_classes(session: Session, *, include_removed: bool = False) -> tuple[RaceClass, ...]:
    """Return the classes by name."""
    query = select(RaceClassRow).order_by(RaceClassRow.name_key, RaceClassRow.id)
    query = in_use(query, RaceClassRow, include_removed=include_removed)
    return tuple(_class(row) for row in session.scalars(query))


def keep_season(
    session: Session, season_id: int | None, name: str, note: str, rule: SeasonRule, now: datetime
) -> Season:
    """Add a season, or give one another rule; its name must be free."""
    row = SeasonRow(created_at=now)
    if season_id is not None:
        row = find_row(session, SeasonRow, season_id)
    with session.no_autoflush:
        give_name(session, row, name, note, now)
    row.rule = dataclasses.asdict(rule)
    session.add(row)
    session.flush()
    return _season(row)


def find_season(session: Session, season_id: int) -> Season:
    """Return one season, removed or not; raise `NotFound` if there is none."""
    return _season(find_row(session, SeasonRow, season_id))


def list_seasons(session: Session) -> tuple[Season, ...]:
    """Return the seasons in use, last changed first."""
    query = select(SeasonRow).order_by(SeasonRow.changed_at.desc(), SeasonRow.id.desc())
    query = in_use(query, SeasonRow, include_removed=False)
    return tuple(_season(row) for row in session.scalars(query))


def keep_meet(
    session: Session,
    meet_id: int | None,
    name: str,
    note: str,
    held_on: date,
    now: datetime,
    *,
    track_id: int | None = None,
    race_class_id: int | None = None,
    season_id: int | None = None,
) -> Meet:
    """Add a meet, or change what it is called, when and where it is; its name must be free."""
    row = MeetRow(created_at=now) if meet_id is None else find_row(session, MeetRow, meet_id)
    with session.no_autoflush:
        give_name(session, row, name, note, now)
    row.held_on = held_on.isoformat()
    row.track_id = track_id
    row.race_class_id = race_class_id
    row.season_id = season_id
    session.add(row)
    session.flush()
    return _meet(row)


def find_meet(session: Session, meet_id: int) -> Meet:
    """Return one meet, removed or not; raise `NotFound` if there is none."""
    return _meet(find_row(session, MeetRow, meet_id))


def list_meets(
    session: Session, *, season_id: int | None = None, include_removed: bool = False
) -> tuple[Meet, ...]:
    """Return meets, latest first: of a season or all."""
    query = select(MeetRow).order_by(MeetRow.held_on.desc(), MeetRow.id.desc())
    if season_id is not None:
        query = query.where(MeetRow.season_id == season_id)
    query = in_use(query, MeetRow, include_removed=include_removed)
    return tuple(_meet(row) for row in session.scalars(query))


def _class(row: RaceClassRow) -> RaceClass:
    return RaceClass(
        row.id,
        row.name,
        row.note,
        rules_from(row.rules),
        _day(row.from_on),
        _day(row.until_on),
        row.copied_from_id,
        row.removed_at,
    )


def _season(row: SeasonRow) -> Season:
    return Season(row.id, row.name, row.note, season_rule_from(row.rule), row.removed_at)


def season_rule_from(stored: dict[str, Any]) -> SeasonRule:
    """Return a rule that was kept as JSON; raise `InvalidInput` for what cannot be."""
    return SeasonRule(
        SeasonScore(stored["score"]),
        tuple(stored["points"]),
        stored["taking_part"],
        stored["drop"],
        Absence(stored["absence"]),
        stored["least_meets"],
    )


def _meet(row: MeetRow) -> Meet:
    return Meet(
        row.id,
        row.name,
        row.note,
        date.fromisoformat(row.held_on),
        row.track_id,
        row.race_class_id,
        row.season_id,
        row.removed_at,
    )


def _text(day: date | None) -> str | None:
    return None if day is None else day.isoformat()


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
