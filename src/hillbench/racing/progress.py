"""How far a meet has come, in words."""

from __future__ import annotations

from hillbench.racing.meet_ranking import next_stage
from hillbench.racing.meet_state import MeetState
from hillbench.racing.staging import upcoming


def told_draw(state: MeetState) -> str:
    """Return how far a meet has come, as a clause."""
    if not state.drawn:
        return "nothing is drawn yet"
    done = sum(heat.done for heat in state.heats.values())
    stage = next_stage(state)
    if stage:
        return f"{done} heats run, the {stage} is to be drawn"
    left = len(upcoming(state)) + (state.running is not None)
    if not left:
        return f"all {done} heats are run"
    more = "at least " if state.seeds else ""
    return f"{done} heats run, {more}{left} to come"
