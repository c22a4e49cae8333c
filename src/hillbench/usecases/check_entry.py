"""What is wrong with an entry at the clock, and what was probably meant."""

from __future__ import annotations

import math
import statistics
from collections.abc import Iterator, Sequence
from typing import Final

from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records import track_store
from hillbench.records.entities import TimedBy
from hillbench.records.gate_times import check_gate_times
from hillbench.records.names import clean_name
from hillbench.records.quantities import check_range
from hillbench.timing.reading import FAR_FROM_OTHERS
from hillbench.timing.time_text import GREATEST_S, LEAST_S
from hillbench.usecases.note_run import check_note

TIME_RANGE_S: Final = (LEAST_S, GREATEST_S, "s")
"""A run that a person or a timer can time on a hill."""

PHONE_UNCERTAINTY_S: Final = 0.10
"""Standard uncertainty of a time started and stopped by hand: the reaction at the start and at
the stop are alike in the mean, and their scatter stays (Faux and Godolphin, American Journal of
Physics 87, 110, 2019: N(0, 0.10²) s for a start and a stop of a seen event)."""

LONGEST_LANE: Final = 20
LONGEST_KEY: Final = 200
MOST_UNCERTAINTY_S: Final = 10.0
_SHIFTS: Final = (0.001, 0.01, 0.1, 10.0, 100.0, 1000.0)
_USUAL_SPEED_M_S: Final = 1.5
_FAR_FROM_GUESS: Final = 8.0


def require_entry(
    finish_time_s: float | None,
    note: str,
    lane: str | None,
    entry_key: str | None,
    time_source: str,
    time_uncertainty_s: float | None,
) -> None:
    """Raise `InvalidInput` with all that is wrong with an entry by itself."""
    problems = [
        *check_note(finish_time_s, note, TIME_RANGE_S),
        *_text_problems("lane", lane, LONGEST_LANE),
        *_text_problems("entry_key", entry_key, LONGEST_KEY),
    ]
    if time_source not in set(TimedBy):
        problems.append(Problem("time_source", repr(time_source), "one of: " + ", ".join(TimedBy)))
    if time_uncertainty_s is not None:
        allowed = (0.0, MOST_UNCERTAINTY_S, "s")
        problems += check_range("time_uncertainty_s", time_uncertainty_s, allowed)
    if problems:
        raise InvalidInput(problems)


def require_gate_times(
    session: Session,
    track_version_id: int,
    gate_times_s: Sequence[float | None],
    finish_time_s: float | None,
) -> tuple[float | None, ...]:
    """Return the gate times of a run, none where every one is missing.

    Raises
    ------
    InvalidInput
        If they are not one for each gate of that version of the track, do not rise from gate
        to gate, or are not before the finish.
    """
    if all(time_s is None for time_s in gate_times_s):
        return ()
    gates_at_m = track_store.gates_of_version(session, track_version_id)
    problems = list(check_gate_times(gate_times_s, gates_at_m, finish_time_s))
    if problems:
        raise InvalidInput(problems)
    return tuple(gate_times_s)


def require_plausible(
    finish_time_s: float | None, others_s: Sequence[float], length_m: float
) -> None:
    """Raise `InvalidInput` for a time far from all others on the track, with what was meant.

    Parameters
    ----------
    finish_time_s
        The time entered, s; None needs no check.
    others_s
        Other times on the track, s; may be empty.
    length_m
        Length of the track, from which a time is guessed where there are no others.
    """
    if finish_time_s is None:
        return
    if others_s:
        middle_s, far = statistics.median(others_s), FAR_FROM_OTHERS
        allowed = f"near the other times here, about {middle_s:.2f} s"
    else:
        # A hill is run at a metre or two a second (common practice, no source).
        middle_s, far = length_m / _USUAL_SPEED_M_S, _FAR_FROM_GUESS
        allowed = f"a time for {length_m:g} m, such as {middle_s:.1f} s"
    ratio = finish_time_s / middle_s
    if 1.0 / far < ratio < far:
        return
    remedy = _meant(finish_time_s, middle_s, 1.5 if others_s else 2.5)
    raise InvalidInput([Problem("finish_time_s", f"{finish_time_s:g} s", allowed, remedy)])


def reading_uncertainty_s(time_source: str, given_s: float | None) -> float | None:
    """Return the standard uncertainty of a time: as given, else the hand's for a phone."""
    if given_s is None and time_source == TimedBy.PHONE:
        return PHONE_UNCERTAINTY_S
    return given_s


def _meant(time_s: float, middle_s: float, near: float) -> str:
    shifted = [time_s * shift for shift in _SHIFTS]
    best = min(shifted, key=lambda time: abs(math.log(time / middle_s)))
    if 1.0 / near < best / middle_s < near:
        return f"was {best:.2f} s meant? If it truly took so long, confirm it"
    return "type it again, or confirm it"


def _text_problems(where: str, text: str | None, longest: int) -> Iterator[Problem]:
    if text is None:
        return
    if len(text) > longest:
        seen, allowed = f"{len(text)} characters long", f"1 to {longest} characters"
        yield Problem(where, seen, allowed, "shorten it")
        return
    try:
        clean_name(text, where)
    except InvalidInput as error:
        yield from error.problems
