"""Results of fits, kept so that nobody waits twice for the same one."""

from __future__ import annotations

from datetime import datetime
from typing import Any, Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from hillbench.records.tables import FitResultRow

MOST_KEPT: Final = 4
"""Results kept of one version of a track, or of one car on it; older ones go."""


def find_result(session: Session, fit_key: str) -> dict[str, Any] | None:
    """Return the result under a key, None where there is none."""
    row = session.scalars(select(FitResultRow).where(FitResultRow.fit_key == fit_key)).first()
    return None if row is None else row.result


def keep_result(
    session: Session,
    track_version_id: int,
    car_id: int | None,
    fit_key: str,
    result: dict[str, Any],
    now: datetime,
) -> None:
    """Keep a result under its key and throw away the oldest of the same track and car."""
    session.execute(delete(FitResultRow).where(FitResultRow.fit_key == fit_key))
    session.add(
        FitResultRow(
            track_version_id=track_version_id,
            car_id=car_id,
            fit_key=fit_key,
            made_at=now,
            result=result,
        )
    )
    session.flush()
    same = select(FitResultRow.id).where(
        FitResultRow.track_version_id == track_version_id, FitResultRow.car_id.is_(car_id)
        if car_id is None
        else FitResultRow.car_id == car_id,
    )  # fmt: skip
    newest = same.order_by(FitResultRow.made_at.desc(), FitResultRow.id.desc()).offset(MOST_KEPT)
    old = tuple(session.scalars(newest))
    session.execute(delete(FitResultRow).where(FitResultRow.id.in_(old)))
