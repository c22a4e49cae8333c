"""A rule that reads a timer's lines, learned from lines with lane, place and time marked."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.timing.time_text import parse_time

LONGEST_LINE: Final = 500
"""Characters of a line beyond which it is no line of a timer."""

_TIME: Final = r"\d+(?:[.,:]\d+)*"
_TOKEN: Final = re.compile(r"\d+|[^\W\d_]+|\s+|.", re.DOTALL)


class Field(StrEnum):
    """What a part of a line means."""

    LANE = "lane"
    PLACE = "place"
    TIME = "time"
    GATE = "gate"


@dataclass(frozen=True, slots=True)
class Mark:
    """One part of a line marked by the user.

    Attributes
    ----------
    field
        What it means.
    begin, end
        Its characters, from 0, the end not included.
    """

    field: Field
    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class LineRule:
    """How a timer writes.

    Attributes
    ----------
    pattern
        Regular expression that a whole line fits, without blanks around it.
    fields
        What each group of it means, in order.
    time_unit
        Unit of a bare number: ``s`` or ``ms``.
    """

    pattern: str
    fields: tuple[Field, ...]
    time_unit: str = "s"


@dataclass(frozen=True, slots=True)
class LineTime:
    """One time on a line.

    Attributes
    ----------
    time_s
        Finish time, s; None where the timer writes zero, as many do for a car that did not come.
    lane
        Lane as the timer names it; None where it does not.
    place
        Place as the timer tells it; None where it does not.
    gate_times_s
        Times of the gates on the way, from the start, s; None for one where it writes zero.
    """

    time_s: float | None
    lane: str | None = None
    place: str | None = None
    gate_times_s: tuple[float | None, ...] = ()


def learn_line_rule(lines: Sequence[str], marks: Sequence[Mark], time_unit: str = "s") -> LineRule:
    """Return the rule by which a marked line was written.

    Parameters
    ----------
    lines
        Lines of the timer; the first is the one with the marks. The others tell which words
        change from line to line.
    marks
        One time or several, with lane, place and gate times where the timer writes them; a
        line with several times has equally many gates for each, in the same order.
    time_unit
        Unit of a bare number: ``s`` or ``ms``.

    Raises
    ------
    InvalidInput
        If no time is marked, marks overlap or lie outside, what is marked as a time is none,
        or times, lanes and places are not equally many.
    """
    marked = lines[0].rstrip("\r\n") if lines else ""
    ordered = sorted(marks, key=lambda mark: mark.begin)
    _check(marked, ordered)
    fields = tuple(mark.field for mark in ordered)
    exact = LineRule(_pattern(marked, ordered, free_words=False), fields, time_unit)
    for mark in ordered:
        if mark.field in {Field.TIME, Field.GATE}:  # what is marked must be one
            parse_time(marked[mark.begin : mark.end], "time", unit=time_unit)
    rest = [line.strip() for line in lines[1:] if line.strip()]
    if all(re.fullmatch(exact.pattern, line) for line in rest):
        return exact
    free = LineRule(_pattern(marked, ordered, free_words=True), fields, time_unit)
    more = sum(re.fullmatch(free.pattern, line) is not None for line in rest)
    fewer = sum(re.fullmatch(exact.pattern, line) is not None for line in rest)
    return free if more > fewer else exact


def mark_text(line: str, field: Field, text: str) -> Mark:
    """Return the mark of a part of a line given by what it says.

    Raises
    ------
    InvalidInput
        If the line does not say that, or says it more than once.
    """
    found = [match.start() for match in re.finditer(re.escape(text), line)] if text else []
    if len(found) != 1:
        seen = f"{text!r}, which stands there {len(found)} times"
        allowed = f"a part that stands once in {line!r}"
        raise InvalidInput([Problem(str(field), seen, allowed, "give more of it")])
    return Mark(field, found[0], found[0] + len(text))


def read_line(rule: LineRule, line: str) -> tuple[LineTime, ...] | None:
    """Return the times on a line; None where the line does not fit the rule.

    Raises
    ------
    InvalidInput
        If it fits and a time on it is none that a run can take.
    """
    text = line.strip()
    match = re.fullmatch(rule.pattern, text) if len(text) <= LONGEST_LINE else None
    if match is None:
        return None
    found: dict[Field, list[str]] = {field: [] for field in Field}
    for field, part in zip(rule.fields, match.groups(), strict=True):
        found[field].append(part)
    times = [_time_s(part, rule.time_unit) for part in found[Field.TIME]]
    lanes: Sequence[str | None] = found[Field.LANE] or [None] * len(times)
    places: Sequence[str | None] = found[Field.PLACE] or [None] * len(times)
    gates = [_time_s(part, rule.time_unit) for part in found[Field.GATE]]
    each = len(gates) // len(times)
    return tuple(
        LineTime(time_s, lane, place, tuple(gates[number * each : (number + 1) * each]))
        for number, (time_s, lane, place) in enumerate(zip(times, lanes, places, strict=True))
    )


def rule_from(stored: dict[str, object]) -> LineRule:
    """Return a rule as it was kept; the reverse of `dataclasses.asdict`."""
    fields = stored["fields"]
    if not isinstance(fields, list):
        raise TypeError("fields of a rule are a list")
    return LineRule(
        pattern=str(stored["pattern"]),
        fields=tuple(Field(field) for field in fields),
        time_unit=str(stored["time_unit"]),
    )


def _check(line: str, marks: Sequence[Mark]) -> None:
    problems = []
    counts = {field: sum(mark.field is field for mark in marks) for field in Field}
    if not counts[Field.TIME]:
        problems.append(Problem("time", "not marked", "one time or more", "mark it"))
    for field in (Field.LANE, Field.PLACE):
        if counts[field] not in (0, counts[Field.TIME]):
            seen = f"marked {counts[field]} times"
            problems.append(Problem(str(field), seen, "one for each time, or none"))
    if counts[Field.TIME] and counts[Field.GATE] % counts[Field.TIME]:
        seen = f"marked {counts[Field.GATE]} times"
        problems.append(Problem("gate", seen, "equally many gates for each time"))
    end = 0
    for mark in marks:
        if not end <= mark.begin < mark.end <= len(line):
            allowed = "a part of the first line that no other mark covers"
            seen = f"marked from {mark.begin} to {mark.end}"
            problems.append(Problem(str(mark.field), seen, allowed, "mark it again"))
        end = mark.end
    if problems:
        raise InvalidInput(problems)


def _pattern(line: str, marks: Sequence[Mark], *, free_words: bool) -> str:
    """Return the line as an expression: marks are groups, numbers are any, blanks stretch."""
    parts: list[str] = []
    end = 0
    for mark in marks:
        parts += _loose(line[end : mark.begin], free_words=free_words)
        parts.append(f"({_kind_of(mark, line)})")
        end = mark.end
    parts += _loose(line[end:], free_words=free_words)
    return "".join(parts).removeprefix(r"\s+").removesuffix(r"\s+")


def _kind_of(mark: Mark, line: str) -> str:
    """Return an expression for all that a marked part may say, by what it says there."""
    text = line[mark.begin : mark.end]
    if mark.field in {Field.TIME, Field.GATE}:
        return _TIME
    if text.isdigit():
        return r"\d+"
    return r"[^\W\d_]+" if text.isalpha() else r"\S+"


def _time_s(text: str, unit: str) -> float | None:
    return parse_time(text, "time", unit=unit) if re.search(r"[1-9]", text) else None


def _loose(text: str, *, free_words: bool) -> Iterator[str]:
    for token in _TOKEN.findall(text):
        if token.isspace():
            yield r"\s+"
        elif token.isdigit():
            yield r"\d+"
        elif token.isalpha() and free_words:
            yield r"[^\W\d_]+"
        else:
            yield re.escape(token)
