"""Taking things out of use and bringing them back, the same way for every kind."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Final, TypeVar

from sqlalchemy import Select, select, update
from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records.bench_test_tables import CoastOutRow, RollTestRow, RubCheckRow, SpinDownRow
from hillbench.records.build_tables import BuildRow, BuildStepRow, BuildTemplateRow
from hillbench.records.cavity_tables import BallastPlanRow, CavityRow
from hillbench.records.decal_tables import DecalArtRow, DecalPanelRow, LiveryRow
from hillbench.records.drawer_tables import DrawerItemRow
from hillbench.records.entities import Kind
from hillbench.records.meet_tables import MeetRow, RaceClassRow, SeasonRow
from hillbench.records.names import name_key
from hillbench.records.tables import (
    CarRow,
    CastingRow,
    ForecastRow,
    ImportRuleRow,
    Named,
    OutingRow,
    PhotoRow,
    ReadingRow,
    Removable,
    TimedRunRow,
    TrackRow,
    WeighingRow,
)

ROWS: Final[Mapping[Kind, type[Removable]]] = {
    Kind.TRACK: TrackRow,
    Kind.CASTING: CastingRow,
    Kind.CAR: CarRow,
    Kind.WEIGHING: WeighingRow,
    Kind.READING: ReadingRow,
    Kind.PHOTO: PhotoRow,
    Kind.TIMED_RUN: TimedRunRow,
    Kind.OUTING: OutingRow,
    Kind.IMPORT_RULE: ImportRuleRow,
    Kind.FORECAST: ForecastRow,
    Kind.SPIN_DOWN: SpinDownRow,
    Kind.ROLL_TEST: RollTestRow,
    Kind.COAST_OUT: CoastOutRow,
    Kind.RUB_CHECK: RubCheckRow,
    Kind.DRAWER_ITEM: DrawerItemRow,
    Kind.BUILD: BuildRow,
    Kind.BUILD_STEP: BuildStepRow,
    Kind.BUILD_TEMPLATE: BuildTemplateRow,
    Kind.CAVITY: CavityRow,
    Kind.BALLAST_PLAN: BallastPlanRow,
    Kind.DECAL_PANEL: DecalPanelRow,
    Kind.DECAL_ART: DecalArtRow,
    Kind.LIVERY: LiveryRow,
    Kind.RACE_CLASS: RaceClassRow,
    Kind.SEASON: SeasonRow,
    Kind.MEET: MeetRow,
}
"""The table of each kind."""

RowT = TypeVar("RowT", bound=Removable)


def find_row(session: Session, row_type: type[RowT], id_: int) -> RowT:
    """Return a row by its number, removed or not.

    Raises
    ------
    NotFound
        If there is none.
    """
    row = session.get(row_type, id_) if abs(id_) < 2**63 else None
    if row is None:
        kind = next(kind for kind, known in ROWS.items() if known is row_type)
        raise NotFound(kind.word, id_)
    return row


def in_use(query: Select[RowT], row_type: type[RowT], *, include_removed: bool) -> Select[RowT]:
    """Return the query without what was removed, unless that is asked for."""
    return query if include_removed else query.where(row_type.removed_at.is_(None))


def remove(session: Session, kind: Kind, id_: int, now: datetime) -> None:
    """Take a thing out of use, an outing with its runs; one that is out already keeps its date."""
    row = find_row(session, ROWS[kind], id_)
    if row.removed_at is not None:
        return
    row.removed_at = now
    if kind is Kind.OUTING:
        session.execute(
            update(TimedRunRow)
            .where(TimedRunRow.outing_id == id_, TimedRunRow.removed_at.is_(None))
            .values(removed_at=now)
        )


def restore(session: Session, kind: Kind, id_: int) -> None:
    """Bring a thing back.

    Raises
    ------
    InvalidInput
        If another thing has taken its name meanwhile.
    """
    row = find_row(session, ROWS[kind], id_)
    if row.removed_at is None:
        return
    if isinstance(row, Named):
        require_free_name(session, type(row), row.name, except_id=row.id)
    if kind is Kind.OUTING:  # runs that were removed singly before stay away
        session.execute(
            update(TimedRunRow)
            .where(TimedRunRow.outing_id == id_, TimedRunRow.removed_at == row.removed_at)
            .values(removed_at=None)
        )
    row.removed_at = None


def require_free_name(
    session: Session, row_type: type[Named], name: str, *, except_id: int | None = None
) -> str:
    """Return the key of a name, or raise `InvalidInput` if another one in use has it."""
    key = name_key(name)
    query = select(row_type.id).where(row_type.name_key == key, row_type.removed_at.is_(None))
    if except_id is not None:
        query = query.where(row_type.id != except_id)
    if session.scalars(query).first() is not None:
        kind = next(kind for kind, known in ROWS.items() if known is row_type)
        allowed = f"a name that no other {kind.word} has"
        raise InvalidInput([Problem("name", repr(name), allowed, "choose another, or rename it")])
    return key


def give_name(session: Session, row: Named, name: str, note: str, now: datetime) -> None:
    """Name a row that is new or being edited; the name must be free."""
    row.name_key = require_free_name(session, type(row), name, except_id=row.id)
    row.name = name
    row.note = note
    row.changed_at = now
