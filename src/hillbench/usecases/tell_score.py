"""Tell the official score of a car in words."""

from __future__ import annotations

from hillbench.racing.meet_ranking import rule_of
from hillbench.racing.meet_state import MeetState
from hillbench.racing.official import Score


def told_score(state: MeetState, score: float | None, missing: int) -> str:
    """Return the score of a car in words; empty where there is none.

    Parameters
    ----------
    state
        The meet, whose rule says what a score is.
    score, missing
        As in `hillbench.racing.meet_ranking.MeetPlace`.
    """
    if missing:
        return f"lacks {missing} run" + ("s" if missing > 1 else "")
    if score is None:
        return ""
    if rule_of(state).score is Score.POINTS:
        word = "win" if rule_of(state).points == (1.0,) else "point"
        return f"{score:g} {word}" + ("" if score == 1.0 else "s")
    return f"{score:.3f} s"
