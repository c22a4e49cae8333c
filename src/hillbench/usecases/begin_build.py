"""Begin a build: from a plan, or from a template."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import asdict, replace
from datetime import datetime
from typing import Any, Final

from hillbench.building.guard_band import OtherScale
from hillbench.building.step import Draw, Step
from hillbench.errors import InvalidInput, Problem
from hillbench.records import build_store, build_template_store, car_store, drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildRecord
from hillbench.records.names import clean_name, clean_note
from hillbench.records.quantities import check_range
from hillbench.usecases.build_entry import BuildEntry, BuildTerms
from hillbench.usecases.plan_build import plan_in

_LIMIT_G: Final = (1.0, 1000.0, "g")
_STEP_G: Final = (0.0, 10.0, "g")
_DAY: Final = 24 * 60


def begin_build(
    book: BenchBook, car_id: int, entry: BuildEntry, terms: BuildTerms, now: datetime
) -> BuildRecord:
    """Begin a build with the steps that its plan asks for.

    Parameters
    ----------
    entry
        What is to be done.
    terms
        What it is called and held to.

    Raises
    ------
    InvalidInput
        With every entry that cannot be used.
    NotFound
        If there is no such car.
    """
    values = check_terms(terms, now)
    with book.write() as session:
        car_store.touch_car(session, car_id, now)
        planned = plan_in(session, car_id, entry, terms.limit_g)
        values["plan"] = entry.to_plain()
        return build_store.add_build(
            session, car_id, values.pop("name"), planned.steps, now, values
        )


def begin_from_template(
    book: BenchBook, car_id: int, template_id: int, terms: BuildTerms, now: datetime
) -> BuildRecord:
    """Begin a build with the steps of a template.

    Parameters
    ----------
    terms
        What it is called and held to.

    Raises
    ------
    InvalidInput
        If a term cannot be used.
    NotFound
        If there is no such car or template.
    """
    values = check_terms(terms, now)
    with book.write() as session:
        car_store.touch_car(session, car_id, now)
        template = build_template_store.find_template(session, template_id)
        known = {item.id for item in drawer_store.list_items(session)}
        steps = [_with_known_draws(step, known) for step in template.steps]
        return build_store.add_build(session, car_id, values.pop("name"), steps, now, values)


def change_terms(book: BenchBook, build_id: int, terms: BuildTerms, now: datetime) -> BuildRecord:
    """Give a build another name, note, limit, date or time at the bench.

    Parameters
    ----------
    terms
        What it is called and held to from now on.

    Raises
    ------
    InvalidInput
        If a term cannot be used.
    """
    with book.write() as session:
        known = build_store.find_build(session, build_id)
        values = check_terms(terms, now, kept_meet_at=known.meet_at)
        return build_store.change_build(session, build_id, {**values, "changed_at": now})


def check_terms(
    terms: BuildTerms, now: datetime, *, kept_meet_at: datetime | None = None
) -> dict[str, Any]:
    """Return the terms of a build as its columns, or raise `InvalidInput`.

    Parameters
    ----------
    terms
        As entered.
    kept_meet_at
        The day it had to be ready until now; it may be past and stay.
    """
    problems = list(_term_problems(terms, now))
    if terms.meet_at is not None and terms.meet_at == kept_meet_at:
        problems = [problem for problem in problems if problem.where != "meet_at"]
    values = asdict(terms)
    for where, clean in (("name", clean_name), ("note", clean_note)):
        try:
            values[where] = clean(values[where], where)
        except InvalidInput as wrong:
            problems += wrong.problems
    if problems:
        raise InvalidInput(problems)
    return values


def other_scale(build: BuildRecord) -> OtherScale:
    """Return the scale that decides on a build's mass.

    Parameters
    ----------
    build
        The build.

    Notes
    -----
    Its calibration is taken as good to half of its step, all of that range equally likely: what
    a check with a known weight would still let pass. Common practice, no source.
    """
    step_g = build.other_scale_step_g
    return OtherScale(step_g, step_g / 2.0 / 3.0**0.5)


def _term_problems(terms: BuildTerms, now: datetime) -> Iterator[Problem]:
    if terms.limit_g is not None:
        yield from check_range("limit_g", terms.limit_g, _LIMIT_G)
    yield from check_range("other_scale_step_g", terms.other_scale_step_g, _STEP_G)
    begin, end = terms.bench_from_minute, terms.bench_to_minute
    if not 0 <= begin < end <= _DAY:
        seen = f"{clock_words(begin)} to {clock_words(end)}"
        yield Problem("bench_hours", seen, "a time of the day and a later one")
    if terms.meet_at is not None and terms.meet_at <= now:
        seen = f"{terms.meet_at.astimezone():%Y-%m-%d %H:%M}, which is past"
        yield Problem("meet_at", seen, "a moment to come")


def clock_words(minute: int) -> str:
    """Return a time of the day as HH:MM.

    Parameters
    ----------
    minute
        Minutes after midnight.
    """
    return f"{minute // 60:02d}:{minute % 60:02d}"


def _with_known_draws(step: Step, known: Iterable[int]) -> Step:
    kept: tuple[Draw, ...] = tuple(draw for draw in step.draws if draw.item_id in known)
    return replace(step, draws=kept)
