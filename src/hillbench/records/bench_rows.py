"""The exported bench to and from the rows of the tables."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from typing import Any, Final

from sqlalchemy import func, insert, select
from sqlalchemy.orm import Session

from hillbench.records import about_store
from hillbench.records.bench_file import (
    BenchFile,
    Car,
    Casting,
    Forecast,
    ImportRule,
    Outing,
    Photo,
    Reading,
    RunEdit,
    TimedRun,
    Track,
    TrackVersion,
    Weighing,
)
from hillbench.records.bench_test_tables import CoastOutRow, RollTestRow, RubCheckRow, SpinDownRow
from hillbench.records.build_tables import BuildRow, BuildStepRow, BuildTemplateRow
from hillbench.records.cavity_tables import BallastPlanRow, CavityRow
from hillbench.records.decal_tables import DecalArtRow, DecalPanelRow, LiveryRow
from hillbench.records.document import Document, Named
from hillbench.records.drawer_tables import DrawerItemRow, StockMoveRow
from hillbench.records.file_bench_tests import CoastOut, RollTest, RubCheck, SpinDown
from hillbench.records.file_build import Build, BuildStep, BuildTemplate
from hillbench.records.file_cavity import BallastPlan, Cavity
from hillbench.records.file_decals import DecalArt, DecalPanel, Livery
from hillbench.records.file_drawer import DrawerItem, StockMove
from hillbench.records.file_meet import Meet, MeetEvent, RaceClass, ScrutinyPhoto, Season
from hillbench.records.meet_tables import (
    MeetEventRow,
    MeetRow,
    RaceClassRow,
    ScrutinyPhotoRow,
    SeasonRow,
)
from hillbench.records.names import name_key
from hillbench.records.tables import (
    Base,
    CarRow,
    CastingRow,
    ForecastRow,
    ImportRuleRow,
    OutingRow,
    PhotoRow,
    ReadingRow,
    RunEditRow,
    TimedRunRow,
    TrackRow,
    TrackVersionRow,
    WeighingRow,
)

PARTS: Final[dict[str, tuple[type[Document], Any]]] = {
    "castings": (Casting, CastingRow),
    "cars": (Car, CarRow),
    "tracks": (Track, TrackRow),
    "track_versions": (TrackVersion, TrackVersionRow),
    "weighings": (Weighing, WeighingRow),
    "readings": (Reading, ReadingRow),
    "photos": (Photo, PhotoRow),
    "outings": (Outing, OutingRow),
    "timed_runs": (TimedRun, TimedRunRow),
    "run_edits": (RunEdit, RunEditRow),
    "import_rules": (ImportRule, ImportRuleRow),
    "forecasts": (Forecast, ForecastRow),
    "spin_downs": (SpinDown, SpinDownRow),
    "roll_tests": (RollTest, RollTestRow),
    "coast_outs": (CoastOut, CoastOutRow),
    "rub_checks": (RubCheck, RubCheckRow),
    "builds": (Build, BuildRow),
    "build_steps": (BuildStep, BuildStepRow),
    "build_templates": (BuildTemplate, BuildTemplateRow),
    "drawer_items": (DrawerItem, DrawerItemRow),
    "stock_moves": (StockMove, StockMoveRow),
    "cavities": (Cavity, CavityRow),
    "ballast_plans": (BallastPlan, BallastPlanRow),
    "decal_panels": (DecalPanel, DecalPanelRow),
    "decal_art": (DecalArt, DecalArtRow),
    "liveries": (Livery, LiveryRow),
    "race_classes": (RaceClass, RaceClassRow),
    "seasons": (Season, SeasonRow),
    "meets": (Meet, MeetRow),
    "meet_events": (MeetEvent, MeetEventRow),
    "scrutiny_photos": (ScrutinyPhoto, ScrutinyPhotoRow),
}
"""Model and table of each part, in an order in which they can be added."""


def bench_from_rows(session: Session, program: str, made_at: datetime) -> BenchFile:
    """Return everything in the bench book, removed things included, in order of number."""
    head: dict[str, Any] = {"program": program, "made_at": made_at}
    head["invented"] = about_store.is_invented(session)
    head["currency"] = about_store.currency(session)
    for name, (model, table) in PARTS.items():
        rows = session.scalars(select(table).order_by(table.id))
        head[name] = [model.model_validate(row) for row in rows]
    return BenchFile(**head)


def add_rows(session: Session, bench: BenchFile) -> None:
    """Add everything to the tables, what is referred to before what refers to it."""
    for name, (_, table) in PARTS.items():
        columns = [_columns(one) for one in getattr(bench, name)]
        if columns:
            session.execute(insert(table), columns)
    about_store.choose_currency(session, bench.currency)
    _count_on(session)
    if bench.invented:
        about_store.mark_invented(session)


def copy_rows(source: Session, target: Session) -> None:
    """Copy every row of every table into an empty bench book, as it is."""
    for table in Base.metadata.sorted_tables:
        rows = [dict(row) for row in source.execute(select(table)).mappings()]
        if rows:
            target.execute(insert(table), rows)
    _count_on(target)


def _count_on(session: Session) -> None:
    """Let a server number new rows after those that came with their numbers."""
    if session.get_bind().dialect.name != "postgresql":
        return
    for table in Base.metadata.sorted_tables:
        if "id" in table.c:
            highest = func.coalesce(select(func.max(table.c.id)).scalar_subquery(), 1)
            sequence = func.pg_get_serial_sequence(table.name, "id")
            session.execute(select(func.setval(sequence, highest)))


def is_empty(session: Session) -> bool:
    """Return whether the bench book holds nothing at all, not even removed things."""
    return all(
        session.scalars(select(table.id).limit(1)).first() is None for _, table in PARTS.values()
    )


def _columns(one: Document) -> dict[str, Any]:
    columns = one.model_dump()
    if isinstance(one, Named):
        columns["name_key"] = name_key(one.name)
    columns |= {name: str(value) for name, value in columns.items() if isinstance(value, StrEnum)}
    if isinstance(one, TrackVersion):
        geometry = columns["geometry"]
        columns["geometry"] = {name: part for name, part in geometry.items() if part != []}
    return columns
