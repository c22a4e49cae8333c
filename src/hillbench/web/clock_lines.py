"""Lines that a timer writes: a rule learned once from marked lines, then lines taken in."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, Problem
from hillbench.records import import_rule_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.outing_entities import ImportRule, RuleKind
from hillbench.timing.line_rule import (
    Field,
    LineRule,
    LineTime,
    Mark,
    learn_line_rule,
    read_line,
)
from hillbench.usecases.take_line import learn_rule
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_PIECE: Final = re.compile(r"\d+(?:[.,:]\d+)*|[^\W\d_]+|[^\w\s]+|_+")
_MOST_PIECES: Final = 40
_MOST_LINES: Final = 200
_MEANINGS: Final = (
    ("", "nothing"),
    ("time", "the time"),
    ("lane", "the lane"),
    ("place", "place"),
    ("gate", "a gate, from the start"),
)
LABELS: Final = {"lines": "Lines", "name": "Name", "time": "The time", "rule": "Timer"}
"""What fields of lines are called on screen."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of the first line.

    Attributes
    ----------
    text
        What it says.
    begin, end
        Its characters.
    meaning
        What it was marked as; empty for nothing.
    """

    text: str
    begin: int
    end: int
    meaning: str


@dataclass(frozen=True)
class LinesPage(Page):
    """How a timer writes: three lines, the first of them marked.

    Attributes
    ----------
    lines
        The form, as typed.
    pieces
        The first line in pieces; empty before any line was pasted.
    meanings
        What a piece may be.
    read
        Each line with what the rule reads from it; empty before there is a rule.
    rules
        Rules known already.
    """

    template: ClassVar[str] = "clock/lines.html"
    place: ClassVar[str] = "clock"

    lines: Typed
    pieces: tuple[Piece, ...]
    meanings: tuple[tuple[str, str], ...]
    read: tuple[tuple[str, str], ...]
    rules: tuple[ImportRule, ...]


@router.get("/clock/lines")
def show_lines(request: Request, book: Book) -> Response:
    """Show where three lines of a timer are pasted."""
    return show(request, _lines_page(book, Typed("lines")))


@router.post("/clock/lines")
def mark_lines(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Show what a rule reads, or keep it under a name."""
    answers = Answers("lines", pairs(form), preferences, LABELS)
    typed = answers.as_typed
    lines = pasted_lines(typed.value("lines"))
    marks = [
        Mark(Field(piece.meaning), piece.begin, piece.end)
        for piece in _pieces(typed, lines)
        if piece.meaning
    ]
    unit = "ms" if typed.value("time_unit") == "ms" else "s"
    try:
        if not lines:
            remedy = "paste what the timer wrote"
            raise InvalidInput([Problem("lines", "empty", "three lines of the timer", remedy)])
        if typed.value("action") == "keep":
            learn_rule(book, typed.value("name"), lines, marks, now, time_unit=unit)
            flash = Flash(f"The timer is remembered as {typed.value('name').strip()}.")
            return done(request, "/clock/lines", flash)
        rule = learn_line_rule(lines, marks, unit) if marks else None
    except InvalidInput as wrong:
        shown = _lines_page(book, answers.refused(wrong), _rule_of(lines, marks, unit))
        return refuse(request, shown)
    return show(request, _lines_page(book, typed, rule))


def _rule_of(lines: list[str], marks: list[Mark], unit: str) -> LineRule | None:
    """Return the rule of marked lines, None where the marks make none."""
    try:
        return learn_line_rule(lines, marks, unit)
    except InvalidInput:
        return None


def pasted_lines(text: str) -> list[str]:
    """Return the lines that were pasted, without empty ones."""
    return [line.rstrip() for line in text.splitlines() if line.strip()][:_MOST_LINES]


def _pieces(typed: Typed, lines: list[str]) -> tuple[Piece, ...]:
    if not lines:
        return ()
    marked = any(name.startswith("piece_") for name, _ in typed.pairs)
    return tuple(
        Piece(
            found[0],
            found.start(),
            found.end(),
            _meaning(typed.value(f"piece_{place}")) if marked else _likely(found[0]),
        )
        for place, found in enumerate(_PIECE.finditer(lines[0]))
        if place < _MOST_PIECES
    )


def _meaning(value: str) -> str:
    return value if value in set(Field) else ""


def _likely(text: str) -> str:
    """Return what a piece most likely is, before anybody said: a time has decimals."""
    return str(Field.TIME) if re.fullmatch(r"\d+[.,]\d{2,}", text) else ""


def _lines_page(book: BenchBook, typed: Typed, rule: LineRule | None = None) -> LinesPage:
    lines = pasted_lines(typed.value("lines"))
    with book.read() as session:
        rules = import_rule_store.list_rules(session, RuleKind.LINES)
    return LinesPage(
        lines=typed,
        pieces=_pieces(typed, lines),
        meanings=_MEANINGS,
        read=tuple((line, _told(rule, line)) for line in lines) if rule else (),
        rules=rules,
    )


def _told(rule: LineRule, line: str) -> str:
    try:
        times = read_line(rule, line)
    except InvalidInput as wrong:
        return " ".join(problem.sentence() for problem in wrong.problems)
    if times is None:
        return "left out"
    return "; ".join(_time_told(time) for time in times)


def _time_told(time: LineTime) -> str:
    told = "no finish" if time.time_s is None else f"{time.time_s:g} s"
    lane = f"lane {time.lane}: " if time.lane else ""
    gates = ", ".join("–" if gate is None else f"{gate:g} s" for gate in time.gate_times_s)
    place = f", place {time.place}" if time.place else ""
    return f"{lane}{told}{place}" + (f", gates {gates}" if gates else "")
