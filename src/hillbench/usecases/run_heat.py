"""Run a heat: let it go, enter what lanes did, call it back, run it again, correct it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from hillbench.errors import InvalidInput, Problem
from hillbench.racing import officiate
from hillbench.racing.meet_event import Draft, Event
from hillbench.racing.meet_state import MeetState
from hillbench.racing.officiate import Told
from hillbench.records.bench_book import BenchBook
from hillbench.records.names import clean_note
from hillbench.usecases.check_entry import require_plausible
from hillbench.usecases.write_journal import Plan, Writer, Written, write_journal

_FAR_AWAY_M = 15.0


def start_heat(book: BenchBook, meet_id: int, writer: Writer, heat: int) -> Written:
    """Let a heat go; see `hillbench.racing.officiate.start`."""
    return write_journal(book, meet_id, writer, lambda state, _: officiate.start(state, heat))


def enter_heat(
    book: BenchBook,
    meet_id: int,
    writer: Writer,
    heat: int,
    told: Sequence[Told],
    *,
    confirmed: bool = False,
) -> Written:
    """Enter what lanes of a heat did.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes.
    heat
        Number of the heat.
    told
        One or more lanes.
    confirmed
        Whether times far from all others are meant.
    """

    def plan(state: MeetState, _events: Sequence[Event]) -> Sequence[Draft]:
        drafts = officiate.tell(state, heat, told)
        if not confirmed:
            _require_plausible(state, told)
        return drafts

    return write_journal(book, meet_id, writer, plan)


def call_back(book: BenchBook, meet_id: int, writer: Writer, heat: int) -> Written:
    """Note a false start; see `hillbench.racing.officiate.call_back`."""
    return write_journal(book, meet_id, writer, lambda state, _: officiate.call_back(state, heat))


def run_again(book: BenchBook, meet_id: int, writer: Writer, heat: int, reason: str) -> Written:
    """Let a heat be run again; see `hillbench.racing.officiate.run_again`."""
    why = clean_note(reason, "reason")
    plan: Plan = lambda state, _: officiate.run_again(state, heat, why)  # noqa: E731 (one call)
    return write_journal(book, meet_id, writer, plan)


def correct_heat(
    book: BenchBook, meet_id: int, writer: Writer, heat: int, told: Told, reason: str
) -> Written:
    """Give a row another value; see `hillbench.racing.officiate.correct`."""
    why = clean_note(reason, "reason")
    plan: Plan = lambda state, _: officiate.correct(state, heat, told, why)  # noqa: E731 (one call)
    return write_journal(book, meet_id, writer, plan)


def take_back(book: BenchBook, meet_id: int, writer: Writer) -> Written:
    """Take back the last thing done; see `hillbench.racing.officiate.take_back`."""
    return write_journal(book, meet_id, writer, lambda _, events: officiate.take_back(events))


def note_protest(
    book: BenchBook, meet_id: int, writer: Writer, car: int, heat: int, text: str
) -> Written:
    """Note a protest; see `hillbench.racing.officiate.protest`."""
    words = clean_note(text, "protest")
    plan: Plan = lambda state, _: officiate.protest(  # noqa: E731 (one call)
        state, car, heat, writer.by, words
    )
    return write_journal(book, meet_id, writer, plan)


def rule_on(book: BenchBook, meet_id: int, writer: Writer, protest: int, text: str) -> Written:
    """Note what was decided; see `hillbench.racing.officiate.rule_on`."""
    words = clean_note(text, "ruling")
    plan: Plan = lambda state, _: officiate.rule_on(state, protest, words)  # noqa: E731 (one call)
    return write_journal(book, meet_id, writer, plan)


def end_meet(book: BenchBook, meet_id: int, writer: Writer, *, closed: bool) -> Written:
    """End a meet, or open it again.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes.
    closed
        Whether it ends.
    """

    def plan(state: MeetState, _events: Sequence[Event]) -> Sequence[Draft]:
        return officiate.close(state) if closed else officiate.reopen(state)

    return write_journal(book, meet_id, writer, plan)


def _require_plausible(state: MeetState, told: Sequence[Told]) -> None:
    others = [
        row.time_s
        for heat in state.heats.values()
        for row in heat.rows.values()
        if row.time_s is not None
    ]
    timed = [(one.lane, one.time_s) for one in told if one.time_s is not None]
    problems: list[Problem] = []
    for lane, time_s in timed:
        beside = [*others, *(other_s for other, other_s in timed if other != lane)]
        if not beside:
            continue
        try:
            require_plausible(time_s, beside, _FAR_AWAY_M)
        except InvalidInput as wrong:
            problems += [replace(one, where=f"lane {lane}") for one in wrong.problems]
    if problems:
        raise InvalidInput(problems)
