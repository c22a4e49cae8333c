"""What was removed, each told in words so that it can be recognised."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from sqlalchemy import Select, select
from sqlalchemy.orm import Session, aliased

from hillbench.records.build_tables import BuildRow, BuildStepRow, BuildTemplateRow
from hillbench.records.cavity_tables import BallastPlanRow, CavityRow
from hillbench.records.decal_tables import DecalArtRow, DecalPanelRow, LiveryRow
from hillbench.records.drawer_tables import DrawerItemRow
from hillbench.records.entities import Kind, RemovedThing
from hillbench.records.meet_tables import MeetRow, RaceClassRow, SeasonRow
from hillbench.records.quantities import QUANTITIES
from hillbench.records.removed_bench_tests import removed_bench_tests
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

_NAMED: dict[Kind, type[Named]] = {
    Kind.TRACK: TrackRow,
    Kind.CASTING: CastingRow,
    Kind.CAR: CarRow,
    Kind.DRAWER_ITEM: DrawerItemRow,
    Kind.BUILD_TEMPLATE: BuildTemplateRow,
    Kind.DECAL_ART: DecalArtRow,
    Kind.LIVERY: LiveryRow,
    Kind.RACE_CLASS: RaceClassRow,
    Kind.SEASON: SeasonRow,
    Kind.MEET: MeetRow,
}


def removed_things(session: Session) -> tuple[RemovedThing, ...]:
    """Return all that was removed, last removed first."""
    things = [*_named(session), *_weighings(session), *_readings(session)]
    things += [*_photos(session), *_runs(session), *_outings(session), *_rules(session)]
    things += [*_forecasts(session), *_cavities(session), *_ballast_plans(session)]
    things += [*removed_bench_tests(session), *_panels(session)]
    things += [*_builds(session), *_build_steps(session)]
    return tuple(sorted(things, key=lambda thing: thing.removed_at, reverse=True))


def _named(session: Session) -> Iterator[RemovedThing]:
    for kind, table in _NAMED.items():
        query = select(table.id, table.removed_at, table.name)
        for id_, removed_at, name in _removed(session, query, table):
            yield _thing(kind, id_, removed_at, name)


def _weighings(session: Session) -> Iterator[RemovedThing]:
    columns = (WeighingRow.id, WeighingRow.removed_at, CarRow.name, WeighingRow.readings_g)
    query = select(*columns).join(CarRow, CarRow.id == WeighingRow.car_id)
    for id_, removed_at, car, readings_g in _removed(session, query, WeighingRow):
        mean_g = sum(readings_g) / len(readings_g)
        yield _thing(Kind.WEIGHING, id_, removed_at, f"{car}: {mean_g:.2f} g")


def _readings(session: Session) -> Iterator[RemovedThing]:
    columns = (ReadingRow.id, ReadingRow.removed_at, CarRow.name)
    query = select(*columns, ReadingRow.quantity, ReadingRow.value)
    query = query.join(CarRow, CarRow.id == ReadingRow.car_id)
    for id_, removed_at, car, quantity, value in _removed(session, query, ReadingRow):
        yield _thing(Kind.READING, id_, removed_at, f"{car}: {_told(quantity, value)}")


def _photos(session: Session) -> Iterator[RemovedThing]:
    shown = (
        (PhotoRow.car_id, CarRow),
        (PhotoRow.track_id, TrackRow),
        (PhotoRow.casting_id, CastingRow),
    )
    for column, table in shown:
        columns = (PhotoRow.id, PhotoRow.removed_at, table.name, PhotoRow.caption)
        query = select(*columns).join(table, table.id == column)
        for id_, removed_at, name, caption in _removed(session, query, PhotoRow):
            yield _thing(Kind.PHOTO, id_, removed_at, f"{name}: {caption}" if caption else name)


def _runs(session: Session) -> Iterator[RemovedThing]:
    columns = (TimedRunRow.id, TimedRunRow.removed_at, CarRow.name, TrackRow.name)
    query = select(*columns, TimedRunRow.finish_time_s, TimedRunRow.note)
    query = query.join(CarRow, CarRow.id == TimedRunRow.car_id)
    query = query.join(TrackRow, TrackRow.id == TimedRunRow.track_id)
    # Runs that went with their outing come back with it.
    query = query.outerjoin(OutingRow, OutingRow.id == TimedRunRow.outing_id)
    query = query.where(OutingRow.removed_at.is_(None))
    for id_, removed_at, car, track, time_s, note in _removed(session, query, TimedRunRow):
        told = note if time_s is None else f"{time_s:.3f} s, {note}"
        yield _thing(Kind.TIMED_RUN, id_, removed_at, f"{car} on {track}: {told}")


def _outings(session: Session) -> Iterator[RemovedThing]:
    query = select(OutingRow.id, OutingRow.removed_at, OutingRow.begun_at, TrackRow.name)
    query = query.join(TrackRow, TrackRow.id == OutingRow.track_id)
    for id_, removed_at, begun_at, track in _removed(session, query, OutingRow):
        yield _thing(Kind.OUTING, id_, removed_at, f"{track}, {begun_at:%Y-%m-%d %H:%M} UTC")


def _rules(session: Session) -> Iterator[RemovedThing]:
    """Yield rules that were put away, not those that a newer one of the same name replaced."""
    newer = aliased(ImportRuleRow)
    replaced = (
        select(newer.id)
        .where(newer.kind == ImportRuleRow.kind, newer.name == ImportRuleRow.name)
        .where(newer.id > ImportRuleRow.id)
        .exists()
    )
    query = select(ImportRuleRow.id, ImportRuleRow.removed_at, ImportRuleRow.name)
    for id_, removed_at, name in _removed(session, query.where(~replaced), ImportRuleRow):
        yield _thing(Kind.IMPORT_RULE, id_, removed_at, name)


def _forecasts(session: Session) -> Iterator[RemovedThing]:
    columns = (ForecastRow.id, ForecastRow.removed_at, CarRow.name, TrackRow.name)
    query = select(*columns, ForecastRow.change_name)
    query = query.join(CarRow, CarRow.id == ForecastRow.car_id)
    query = query.join(TrackRow, TrackRow.id == ForecastRow.track_id)
    for id_, removed_at, car, track, change in _removed(session, query, ForecastRow):
        yield _thing(Kind.FORECAST, id_, removed_at, f"{car} on {track}: {change}")


def _cavities(session: Session) -> Iterator[RemovedThing]:
    query = select(CavityRow.id, CavityRow.removed_at, CastingRow.name, CavityRow.at)
    query = query.join(CastingRow, CastingRow.id == CavityRow.casting_id)
    for id_, removed_at, casting, at in _removed(session, query, CavityRow):
        yield _thing(Kind.CAVITY, id_, removed_at, f"{casting}, measured {at:%Y-%m-%d}")


def _ballast_plans(session: Session) -> Iterator[RemovedThing]:
    query = select(BallastPlanRow.id, BallastPlanRow.removed_at, CarRow.name, BallastPlanRow.name)
    query = query.join(CarRow, CarRow.id == BallastPlanRow.car_id)
    for id_, removed_at, car, name in _removed(session, query, BallastPlanRow):
        yield _thing(Kind.BALLAST_PLAN, id_, removed_at, f"{car}: {name}")


def _builds(session: Session) -> Iterator[RemovedThing]:
    query = select(BuildRow.id, BuildRow.removed_at, CarRow.name, BuildRow.name)
    query = query.join(CarRow, CarRow.id == BuildRow.car_id)
    for id_, removed_at, car, name in _removed(session, query, BuildRow):
        yield _thing(Kind.BUILD, id_, removed_at, f"{car}: {name}")


def _build_steps(session: Session) -> Iterator[RemovedThing]:
    query = select(BuildStepRow.id, BuildStepRow.removed_at, BuildRow.name, BuildStepRow.title)
    query = query.join(BuildRow, BuildRow.id == BuildStepRow.build_id)
    for id_, removed_at, build, title in _removed(session, query, BuildStepRow):
        yield _thing(Kind.BUILD_STEP, id_, removed_at, f"{build}: {title}")


def _panels(session: Session) -> Iterator[RemovedThing]:
    columns = (DecalPanelRow.id, DecalPanelRow.removed_at, CastingRow.name, DecalPanelRow.name)
    query = select(*columns).join(CastingRow, CastingRow.id == DecalPanelRow.casting_id)
    for id_, removed_at, casting, name in _removed(session, query, DecalPanelRow):
        yield _thing(Kind.DECAL_PANEL, id_, removed_at, f"{casting}: {name}")


def _removed(
    session: Session, query: Select[*tuple[Any, ...]], table: type[Removable]
) -> Iterator[Any]:
    yield from session.execute(query.where(table.removed_at.is_not(None)))


def _thing(kind: Kind, id_: int, removed_at: datetime, title: str) -> RemovedThing:
    return RemovedThing(kind=kind, id=id_, title=title, removed_at=removed_at)


def _told(quantity: str, value: float) -> str:
    unit = QUANTITIES[quantity][2]
    name = quantity.removesuffix(f"_{unit.lower()}").replace("_", " ").replace("cg ", "CG ")
    return f"{name} {value:g} {unit}".rstrip()
