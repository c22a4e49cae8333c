"""Take the times of a timer's line into an outing, and remember how a timer writes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Final

from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records import import_rule_store, outing_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import RunNote, TimedBy, TimedRun
from hillbench.records.names import clean_name
from hillbench.records.outing_entities import Outing, PlannedTurn, RuleKind
from hillbench.timing.line_rule import Field, LineRule, LineTime, Mark, learn_line_rule, rule_from
from hillbench.usecases.enter_run import enter_run
from hillbench.usecases.plan_outing import next_turns

PLAIN_RULE: Final = LineRule(r"(?:.*[^\d.,:])?(\d+[.,]\d{2,6})(?:[^\d.,:].*)?", (Field.TIME,))
"""Reads lines with one time and anything around it, where no rule was learned."""


def learn_rule(
    book: BenchBook,
    name: str,
    lines: Sequence[str],
    marks: Sequence[Mark],
    now: datetime,
    *,
    time_unit: str = "s",
) -> LineRule:
    """Learn how a timer writes from marked lines and remember it under a name.

    Parameters
    ----------
    lines
        Lines of the timer, the first of them marked.
    marks
        Where lane, place, time and gate times stand in it.
    time_unit
        Unit of a bare number: ``s`` or ``ms``.

    Raises
    ------
    InvalidInput
        If the marks make no rule, or the name is not allowed.
    """
    rule = learn_line_rule(lines, marks, time_unit)
    cleaned = clean_name(name)
    with book.write() as session:
        import_rule_store.keep_rule(session, RuleKind.LINES, cleaned, asdict(rule), now)
    return rule


def find_rule(book: BenchBook, name: str | None = None) -> LineRule:
    """Return the remembered rule of a name; the latest, else the plain one, where None.

    Raises
    ------
    NotFound
        If there is no rule of that name.
    """
    with book.read() as session:
        if name is None:
            known = import_rule_store.list_rules(session, RuleKind.LINES)[:1]
        else:
            found = import_rule_store.find_rule_named(session, RuleKind.LINES, name)
            known = () if found is None else (found,)
    if known:
        return rule_from(known[0].rule)
    if name is not None:
        raise NotFound("rule for a timer", name)
    return PLAIN_RULE


def take_times(
    book: BenchBook,
    outing_id: int,
    times: Sequence[LineTime],
    now: datetime,
    *,
    entry_key: str,
    time_uncertainty_s: float | None = None,
) -> tuple[TimedRun, ...]:
    """Enter the times of one line for the cars whose turn it is.

    Parameters
    ----------
    times
        Times as read; one without a time is a car that did not finish.
    entry_key
        Key of the line; sent again, nothing is entered twice.
    time_uncertainty_s
        Standard uncertainty of the timer, s; None where not known.

    Raises
    ------
    InvalidInput
        If it is nobody's turn on a lane, or a time cannot be; what was entered before it stays.
    NotFound
        If there is no such outing.
    """
    kept = []
    for number, time in enumerate(times):
        key = f"{entry_key}:{number}"
        with book.read() as session:
            outing = outing_store.find_outing(session, outing_id)
            runs = outing_store.list_outing_runs(session, [outing_id])
        turn = _turn_of(outing, runs, time)
        kept.append(
            enter_run(
                book,
                outing_id,
                turn.car_id,
                time.time_s,
                RunNote.NO_FINISH if time.time_s is None else RunNote.CLEAN,
                now,
                lane=time.lane if outing.plan.lanes > 1 else None,
                entry_key=key,
                time_source=TimedBy.TIMER,
                time_uncertainty_s=time_uncertainty_s,
                gate_times_s=time.gate_times_s,
            )
        )
    return tuple(kept)


def _turn_of(outing: Outing, runs: Sequence[TimedRun], time: LineTime) -> PlannedTurn:
    turns = next_turns(outing.plan, runs)
    if not turns:
        seen = f"{outing.id}, which has no plan"
        raise InvalidInput([Problem("outing", seen, "an outing with cars to run")])
    if not outing.plan.together or time.lane is None:
        return turns[0]
    for turn in turns:
        if turn.lane == time.lane:
            return turn
    lanes = ", ".join(turn.lane or "" for turn in turns)
    raise InvalidInput([Problem("lane", time.lane, f"a lane whose turn it is ({lanes})")])
