"""Look at the clock during a build, so that one that is set back is noticed."""

from __future__ import annotations

from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from hillbench.building.wait import SLACK_S, wait_now
from hillbench.records import build_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildRecord

_KEPT_EVERY_S = 20.0


def watch_clock(book: BenchBook, build_id: int, now: datetime) -> float:
    """Note that the clock was looked at; return how far it was set back, s.

    Notes
    -----
    Waits that were running go on from what had been waited when the clock was last looked at,
    and the step says so. Nothing is written more often than every 20 s.

    Raises
    ------
    NotFound
        If there is no such build.
    """
    with book.read() as session:
        build = build_store.find_build(session, build_id)
    ahead_s = (now - build.clock_seen_at).total_seconds()
    if book.read_only or -SLACK_S <= ahead_s < _KEPT_EVERY_S:
        return 0.0
    with book.write() as session:
        return watch_clock_in(session, build_store.find_build(session, build_id), now)


def watch_clock_in(session: Session, build: BuildRecord, now: datetime) -> float:
    """Do the same in a session that is open already.

    Parameters
    ----------
    session
        An open session.
    build
        The build, as it is.
    """
    set_back_s = (build.clock_seen_at - now).total_seconds()
    if set_back_s <= SLACK_S:
        seen = max(now, build.clock_seen_at)
        build_store.change_build(session, build.id, {"clock_seen_at": seen})
        return 0.0
    for record in build_store.list_steps(session, build.id):
        if record.done_at is None or record.wait_ends_at is None:
            continue
        began, ends, seen_s = (
            moment.timestamp()
            for moment in (record.done_at, record.wait_ends_at, build.clock_seen_at)
        )
        left_s = wait_now(began, ends, seen_s, now.timestamp()).left_s
        if left_s <= 0.0:
            continue
        note = f"{record.note}\n{_words(set_back_s)}".strip()
        ends_at = now + timedelta(seconds=left_s)
        build_store.change_step(session, record.id, {"wait_ends_at": ends_at, "note": note})
    build_store.change_build(session, build.id, {"clock_seen_at": now})
    return set_back_s


def _words(set_back_s: float) -> str:
    minutes = set_back_s / 60.0
    told = f"{minutes:.0f} min" if minutes < 90 else f"{minutes / 60.0:.1f} h"
    return (
        f"The computer's clock was set back by at least {told} during this wait; it goes on from "
        "what had been waited by then."
    )
