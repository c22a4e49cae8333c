"""Show a build: its steps, what can be done now, its ledger, dates, supplies and cost."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy.orm import Session

from hillbench.building.order import ready
from hillbench.records import build_store, car_store, drawer_store, photo_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildRecord, BuildState, StepRecord
from hillbench.records.entities import Kind
from hillbench.records.photo_store import Subject
from hillbench.usecases.build_order import places_of
from hillbench.usecases.build_shown import BuildSummary, ShownBuild, ShownStep, StepState, Supply
from hillbench.usecases.cost_of_car import cost_of_builds
from hillbench.usecases.date_build import date_build
from hillbench.usecases.find_bit import find_bit
from hillbench.usecases.ledger_of_build import ledger_of


def show_build(book: BenchBook, build_id: int, now: datetime) -> ShownBuild:
    """Return a build, removed or not, with everything about it.

    Raises
    ------
    NotFound
        If there is no such build.
    """
    with book.read() as session:
        return shown_in(session, build_id, now)


def shown_in(session: Session, build_id: int, now: datetime) -> ShownBuild:
    """Return the same, read in a session that is open already.

    Parameters
    ----------
    session
        An open session.
    """
    build = build_store.find_build(session, build_id)
    records = build_store.list_steps(session, build_id)
    ledger = ledger_of(session, build, records)
    dates = date_build(build, records, now) if build.state is BuildState.IN_HAND else None
    photos = photo_store.list_photos(session, Subject(Kind.CAR, build.car_id))
    by_id = {photo.id: photo for photo in photos}
    short = _short_items(session, records)
    items = drawer_store.list_items(session)
    states = _states(records, now)
    titles = {one.step.key: one.step.title for one in records}
    steps = tuple(
        ShownStep(
            record=one,
            state=states[one.step.key],
            waits_for=_still_waits_for(one, records, titles, now),
            rest_ends_at=_rest_ends_at(one, records, now),
            line=ledger.line(one.step.key),
            supplies=_supplies(session, one, short),
            bit=None if one.done_at is not None else find_bit(one.step, items),
            date=None if dates is None else dates.by_key.get(one.step.key),
            photo=None if one.photo_id is None else by_id.get(one.photo_id),
        )
        for one in records
    )
    current = _current(steps, build)
    meanwhile = tuple(one for one in steps if one.state is StepState.READY and one is not current)
    cost = cost_of_builds(session, [build_id])
    car = car_store.find_car(session, build.car_id)
    return ShownBuild(build, car, steps, current, meanwhile, ledger, dates, cost)


def list_builds(book: BenchBook, *, car_id: int | None = None) -> tuple[BuildSummary, ...]:
    """Return the builds in use, last changed first: of one car or of all."""
    with book.read() as session:
        progress = build_store.progress(session)
        return tuple(
            BuildSummary(
                build,
                car_store.find_car(session, build.car_id),
                *progress.get(build.id, (0, 0)),
            )
            for build in build_store.list_builds(session, car_id=car_id)
        )


def _states(records: Sequence[StepRecord], now: datetime) -> dict[str, StepState]:
    done = [one.step.key for one in records if one.done_at is not None]
    resting = {one.step.key for one in records if _rests(one, now)}
    free = {*ready(places_of(records), done, resting)}
    states = {}
    for one in records:
        key = one.step.key
        if key in resting:
            states[key] = StepState.RESTING
        elif one.done_at is not None:
            states[key] = StepState.DONE
        else:
            states[key] = StepState.READY if key in free else StepState.WAITING
    return states


def _rests(one: StepRecord, now: datetime) -> bool:
    return one.done_at is not None and one.wait_ends_at is not None and one.wait_ends_at > now


def _still_waits_for(
    one: StepRecord, records: Sequence[StepRecord], titles: dict[str, str], now: datetime
) -> tuple[str, ...]:
    if one.done_at is not None:
        return ()
    open_ = {other.step.key for other in records if other.done_at is None or _rests(other, now)}
    return tuple(titles[key] for key in one.step.waits_for if key in open_)


def _rest_ends_at(one: StepRecord, records: Sequence[StepRecord], now: datetime) -> datetime | None:
    rests = [
        other.wait_ends_at
        for other in records
        if (other.id == one.id or (one.done_at is None and other.step.key in one.step.waits_for))
        and _rests(other, now)
        and other.wait_ends_at is not None
    ]
    return max(rests, default=None)


def _short_items(session: Session, records: Sequence[StepRecord]) -> set[int]:
    """Return the items of which the drawer holds less than what is left of the build takes."""
    needed: dict[int, float] = {}
    for one in records:
        if one.done_at is None:
            for draw in one.step.draws:
                needed[draw.item_id] = needed.get(draw.item_id, 0.0) + draw.amount
    stock = drawer_store.stock_of(session, needed)
    return {item_id for item_id, amount in needed.items() if stock[item_id] < amount - 1e-9}


def _supplies(session: Session, one: StepRecord, short: set[int]) -> tuple[Supply, ...]:
    return tuple(
        Supply(
            drawer_store.find_item(session, draw.item_id),
            draw.amount,
            one.done_at is None and draw.item_id in short,
        )
        for draw in one.step.draws
    )


def _current(steps: Sequence[ShownStep], build: BuildRecord) -> ShownStep | None:
    chosen = next((one for one in steps if one.step.key == build.current_key), None)
    if chosen is not None:
        return chosen
    free = (one for one in steps if one.state is StepState.READY)
    left = (one for one in steps if one.record.done_at is None)
    return next(free, None) or next(left, None)
