"""Tests of cars at the bench: spin-downs, roll tests, coast-outs and rub checks."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import asdict
from typing import TypeVar

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from hillbench.records.bench_test_entities import (
    BenchTestRecord,
    CoastOutRecord,
    FloorRoll,
    RollTestRecord,
    RubAnswer,
    RubCheckRecord,
    SpinDownTest,
    SpinTimedBy,
    Travel,
    Turned,
    Way,
    Wheel,
)
from hillbench.records.bench_test_tables import (
    BenchTest,
    CoastOutRow,
    RollTestRow,
    RubCheckRow,
    SpinDownRow,
)
from hillbench.records.removal import in_use

RowT = TypeVar("RowT", bound=BenchTest)


def add_spin_down(session: Session, test: SpinDownTest) -> SpinDownTest:
    """Add a spin-down; its number is given here."""
    row = SpinDownRow(**_kept(test), wheel=str(test.wheel), timed_by=str(test.timed_by))
    for name in ("stop_times_s", "start_turns_per_s", "turns"):
        setattr(row, name, list(getattr(test, name)))
    row.lubricant, row.round_number = test.lubricant, test.round_number
    row.start_uncertainty_turns_per_s = test.start_uncertainty_turns_per_s
    return _spin_down(_added(session, row))


def add_roll_test(session: Session, test: RollTestRecord) -> RollTestRecord:
    """Add a roll test; its number is given here."""
    row = RollTestRow(
        **_kept(test),
        rolls=[{name: _plain(part) for name, part in asdict(roll).items()} for roll in test.rolls],
        drift_uncertainty_mm=test.drift_uncertainty_mm,
        aim_uncertainty_deg=test.aim_uncertainty_deg,
        straightened=test.straightened,
    )
    return _roll_test(_added(session, row))


def add_coast_out(session: Session, test: CoastOutRecord) -> CoastOutRecord:
    """Add a coast-out; its number is given here."""
    row = CoastOutRow(
        **_kept(test),
        surface=test.surface,
        track_version_id=test.track_version_id,
        track_id=test.track_id,
        distances_m=list(test.distances_m),
        entry_speed_m_s=test.entry_speed_m_s,
        entry_speed_uncertainty_m_s=test.entry_speed_uncertainty_m_s,
        level_uncertainty_deg=test.level_uncertainty_deg,
    )
    return _coast_out(_added(session, row))


def add_rub_check(session: Session, test: RubCheckRecord) -> RubCheckRecord:
    """Add a rub check; its number is given here."""
    answers = {name: str(answer) for name, answer in test.answers.items()}
    return _rub_check(_added(session, RubCheckRow(**_kept(test), answers=answers)))


def list_spin_downs(
    session: Session, car_id: int, *, include_removed: bool = False
) -> tuple[SpinDownTest, ...]:
    """Return the spin-downs of a car, latest first."""
    rows = _of_car(session, SpinDownRow, car_id, include_removed=include_removed)
    return tuple(_spin_down(row) for row in rows)


def list_roll_tests(
    session: Session, car_id: int, *, include_removed: bool = False
) -> tuple[RollTestRecord, ...]:
    """Return the roll tests of a car, latest first."""
    rows = _of_car(session, RollTestRow, car_id, include_removed=include_removed)
    return tuple(_roll_test(row) for row in rows)


def list_coast_outs(
    session: Session, car_id: int, *, include_removed: bool = False
) -> tuple[CoastOutRecord, ...]:
    """Return the coast-outs of a car, latest first."""
    rows = _of_car(session, CoastOutRow, car_id, include_removed=include_removed)
    return tuple(_coast_out(row) for row in rows)


def coast_outs_for(
    session: Session, car_ids: Collection[int], track_version_id: int
) -> tuple[CoastOutRecord, ...]:
    """Return coast-outs of some cars on flat surfaces or one version of a track, earliest first."""
    row = CoastOutRow
    here = or_(row.track_version_id.is_(None), row.track_version_id == track_version_id)
    query = select(row).where(row.car_id.in_(tuple(car_ids)), here, row.removed_at.is_(None))
    found = session.scalars(query.order_by(row.at, row.id))
    return tuple(_coast_out(one) for one in found)


def list_rub_checks(
    session: Session, car_id: int, *, include_removed: bool = False
) -> tuple[RubCheckRecord, ...]:
    """Return the rub checks of a car, latest first."""
    rows = _of_car(session, RubCheckRow, car_id, include_removed=include_removed)
    return tuple(_rub_check(row) for row in rows)


def list_tests(session: Session, car_id: int) -> tuple[BenchTestRecord, ...]:
    """Return all tests of a car that are in use, each kind latest first."""
    return (
        *list_spin_downs(session, car_id),
        *list_roll_tests(session, car_id),
        *list_coast_outs(session, car_id),
        *list_rub_checks(session, car_id),
    )


def _of_car(
    session: Session, row_type: type[RowT], car_id: int, *, include_removed: bool
) -> list[RowT]:
    query = (
        select(row_type)
        .where(row_type.car_id == car_id)
        .order_by(row_type.at.desc(), row_type.id.desc())
    )
    return list(session.scalars(in_use(query, row_type, include_removed=include_removed)))


def _added(session: Session, row: RowT) -> RowT:
    session.add(row)
    session.flush()
    return row


def _kept(
    test: SpinDownTest | RollTestRecord | CoastOutRecord | RubCheckRecord,
) -> dict[str, object]:
    return {"car_id": test.car_id, "at": test.at, "note": test.note}


def _plain(part: object) -> object:
    return part if isinstance(part, float) else str(part)


def _spin_down(row: SpinDownRow) -> SpinDownTest:
    return SpinDownTest(
        id=row.id,
        car_id=row.car_id,
        at=row.at,
        wheel=Wheel(row.wheel),
        lubricant=row.lubricant,
        round_number=row.round_number,
        stop_times_s=tuple(row.stop_times_s),
        start_turns_per_s=tuple(row.start_turns_per_s),
        start_uncertainty_turns_per_s=row.start_uncertainty_turns_per_s,
        turns=tuple(row.turns),
        timed_by=SpinTimedBy(row.timed_by),
        note=row.note,
        removed_at=row.removed_at,
    )


def _roll_test(row: RollTestRow) -> RollTestRecord:
    return RollTestRecord(
        id=row.id,
        car_id=row.car_id,
        at=row.at,
        rolls=tuple(
            FloorRoll(
                float(roll["length_m"]),
                float(roll["drift_mm"]),
                Travel(roll["travel"]),
                Way(roll["way"]),
                Turned(roll["turned"]),
            )
            for roll in row.rolls
        ),
        drift_uncertainty_mm=row.drift_uncertainty_mm,
        aim_uncertainty_deg=row.aim_uncertainty_deg,
        straightened=row.straightened,
        note=row.note,
        removed_at=row.removed_at,
    )


def _coast_out(row: CoastOutRow) -> CoastOutRecord:
    return CoastOutRecord(
        id=row.id,
        car_id=row.car_id,
        at=row.at,
        surface=row.surface,
        track_version_id=row.track_version_id,
        track_id=row.track_id,
        distances_m=tuple(row.distances_m),
        entry_speed_m_s=row.entry_speed_m_s,
        entry_speed_uncertainty_m_s=row.entry_speed_uncertainty_m_s,
        level_uncertainty_deg=row.level_uncertainty_deg,
        note=row.note,
        removed_at=row.removed_at,
    )


def _rub_check(row: RubCheckRow) -> RubCheckRecord:
    return RubCheckRecord(
        id=row.id,
        car_id=row.car_id,
        at=row.at,
        answers={name: RubAnswer(answer) for name, answer in row.answers.items()},
        note=row.note,
        removed_at=row.removed_at,
    )
