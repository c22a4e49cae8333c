"""The forms of heats: what each lane did, as typed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.racing.meet_state import NOT_STARTED
from hillbench.racing.officiate import OTHER_NOTES, Told
from hillbench.records.bench_book import BenchBook
from hillbench.timing.line_rule import read_line
from hillbench.timing.time_text import parse_time, says_unfinished
from hillbench.usecases.take_line import find_rule
from hillbench.web.form_rows import Pairs
from hillbench.web.heat_cards import HeatCard
from hillbench.web.typed import Answers, Typed

NOTE_OPTIONS: Final = (
    ("clean", "clean"),
    ("snag", "snag"),
    ("off track", "off track"),
    ("no finish", "no finish"),
    (NOT_STARTED, "not there"),
)
"""How a run went, as choices."""

LABELS: Final = {
    "reason": "Reason",
    "protest": "Protest",
    "ruling": "Ruling",
    "line": "The timer's line",
    "car": "Car",
    "heat": "Heat",
    **{f"lane_{lane}": f"Lane {lane}" for lane in range(1, 9)},
}


def read_told(answers: Answers, lanes: Sequence[int], *, timed: bool) -> list[Told]:
    """Return what was typed of the lanes of a heat; a lane left empty is not told yet.

    Where two cars race for places, one button that names the winner tells both.

    Parameters
    ----------
    answers
        The form.
    lanes
        Lanes with a car.
    timed
        Whether times are taken.
    """
    winner = answers.text("winner")
    if not timed and len(lanes) == 2 and winner in {str(lane) for lane in lanes}:
        return [Told(lane, place=1 if str(lane) == winner else 2) for lane in lanes]
    found = []
    for lane in lanes:
        text, note = answers.text(f"lane_{lane}").strip(), answers.text(f"note_{lane}") or "clean"
        if says_unfinished(text):
            text, note = "", note if note in OTHER_NOTES else "no finish"
        if note in OTHER_NOTES:
            found.append(Told(lane, note=note))
        elif text:
            told = _told(answers, lane, text, note, timed=timed)
            if told is not None:
                found.append(told)
    answers.require()
    return found


def with_lines(book: BenchBook, answers: Answers, lanes: Sequence[int]) -> Answers:
    """Return the form with the times that a timer's line gives put into its lanes.

    Parameters
    ----------
    book
        Knows how the timer writes.
    answers
        The form.
    lanes
        Lanes with a car; a line that names no lane goes to the first that is empty.
    """
    text = answers.text("line").strip()
    if not text:
        return answers
    pairs = list(answers.as_typed.pairs)
    filled = {lane for lane in lanes if answers.text(f"lane_{lane}").strip()}
    try:
        rule = find_rule(book)
    except NotFound as error:
        raise InvalidInput([Problem("line", text, "a timer that was learned")]) from error
    count = 0
    for line in text.splitlines()[:50]:
        for time in read_line(rule, line) or ():
            free = [lane for lane in lanes if lane not in filled]
            lane = int(time.lane) if time.lane and time.lane.isdecimal() else (free or [0])[0]
            if lane not in lanes:
                continue
            filled.add(lane)
            count += 1
            if time.time_s is None:
                pairs.append((f"note_{lane}", "no finish"))
            else:
                pairs.append((f"lane_{lane}", f"{time.time_s:.4f}".rstrip("0")))
    if not count:
        allowed = "lines with a time, as the timer was learned in the Clock"
        answers.problems.append(Problem("line", text[:60], allowed))
    return replace_pairs(answers, tuple(pairs))


def replace_pairs(answers: Answers, pairs: Pairs) -> Answers:
    """Return the same form with other fields."""
    answers.as_typed = replace(answers.as_typed, pairs=tuple(pairs))
    return answers


def beside_lanes(wrong: InvalidInput) -> InvalidInput:
    """Return the problems with the names that the fields of the lanes have."""
    return InvalidInput(
        [replace(one, where=one.where.replace("lane ", "lane_")) for one in wrong.problems]
    )


def is_doubtful(wrong: InvalidInput) -> bool:
    """Return whether all that is wrong are times that can be kept once they are confirmed."""
    return all("confirm it" in problem.remedy for problem in wrong.problems)


def told_form(card: HeatCard, typed: Typed | None, key: str) -> Typed:
    """Return the form of a heat: as typed, or fresh."""
    return typed or Typed.holding("told", {"entry_key": key, "heat": str(card.number)})


def _told(answers: Answers, lane: int, text: str, note: str, *, timed: bool) -> Told | None:
    where = f"lane_{lane}"
    if not timed:
        if text.isdecimal() and len(text) < 3:
            return Told(lane, place=int(text), note=note)
        answers.problems.append(Problem(where, repr(text), "a place, 1, 2, 3 …"))
        return None
    try:
        return Told(lane, parse_time(text, where), note=note)
    except InvalidInput as wrong:
        answers.problems.extend(wrong.problems)
        return None
