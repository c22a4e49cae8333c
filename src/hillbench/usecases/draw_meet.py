"""Choose how a meet is run, and draw its heats, its final or its ladder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

import numpy as np

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.meet_event import Draft, Event, EventKind
from hillbench.racing.meet_ranking import next_stage, rule_of
from hillbench.racing.meet_state import MeetSettings, MeetState
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.write_journal import Writer, Written, write_journal


def set_meet(book: BenchBook, meet_id: int, writer: Writer, settings: MeetSettings) -> Written:
    """Keep how a meet is run; once heats have run only the rule of ranking may change.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes.
    settings
        How it is to be run.
    """

    def plan(state: MeetState, _events: Sequence[Event]) -> Sequence[Draft]:
        if state.settings == settings and state.seq:
            return ()
        if state.heats:
            _require_same_course(state.settings, settings)
        rule_of(MeetState(settings=settings))
        return (Draft(EventKind.SETTINGS, asdict(settings)),)

    return write_journal(book, meet_id, writer, plan)


def draw_meet(book: BenchBook, meet_id: int, writer: Writer, seed: int) -> Written:
    """Draw what is to be drawn next: the heats, the rest of them, the final or the ladder.

    Parameters
    ----------
    meet_id
        The meet.
    writer
        Who writes.
    seed
        Of the draw; the same seed gives the same heats.

    Raises
    ------
    InvalidInput
        With too few cars, or when nothing is to be drawn.
    """

    def plan(state: MeetState, _events: Sequence[Event]) -> Sequence[Draft]:
        from hillbench.racing.redraw import draw_next_stage, draw_rest, first_draw

        if state.closed:
            raise InvalidInput([Problem("meet", "ended", "an open one", "open it again first")])
        rng = np.random.default_rng(seed)
        if not state.heats:
            return (first_draw(state, rng),)
        if next_stage(state):
            return (draw_next_stage(state, rng),)
        rest = draw_rest(state, rng)
        if rest is None:
            raise InvalidInput([Problem("draw", "a ladder under way", "nothing to draw")])
        return (rest,)

    return write_journal(book, meet_id, writer, plan)


def _require_same_course(old: MeetSettings, new: MeetSettings) -> None:
    fixed = ("format", "lanes", "rounds", "timed", "open_track", "finalists", "final_rounds")
    problems = [
        Problem(name, str(getattr(new, name)), f"{getattr(old, name)}, since heats have run")
        for name in fixed
        if getattr(new, name) != getattr(old, name)
    ]
    if problems:
        raise InvalidInput(problems)
