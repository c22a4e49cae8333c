"""Lines of a timer pasted into an outing."""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, Problem
from hillbench.records import import_rule_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.outing_entities import RuleKind
from hillbench.timing.line_rule import read_line
from hillbench.timing.reading import without_repeats
from hillbench.usecases.take_line import find_rule, take_times
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.clock_lines import LABELS, pasted_lines
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()


@dataclass(frozen=True)
class TakeLinesPage(Page):
    """Where lines of a timer are pasted into an outing.

    Attributes
    ----------
    outing_id
        The outing.
    take
        The form, as typed.
    rule_options
        Timers known, as choices of the form.
    """

    template: ClassVar[str] = "clock/take_lines.html"
    place: ClassVar[str] = "clock"

    outing_id: int
    take: Typed
    rule_options: tuple[tuple[str, str], ...]


@router.get("/clock/{outing_id}/lines")
def show_take(request: Request, book: Book, outing_id: Number) -> Response:
    """Show where lines of a timer are pasted into an outing."""
    return show(request, TakeLinesPage(outing_id, Typed("take"), _rule_options(book)))


@router.post("/clock/{outing_id}/lines")
def take_lines(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, outing_id: Number
) -> Response:
    """Enter what the lines say for the cars whose turn it is; each line once."""
    answers = Answers("take", pairs(form), preferences, LABELS)
    lines, _ = without_repeats(pasted_lines(answers.text("lines")))
    name = answers.text("rule")
    count = 0
    try:
        if not lines:
            raise InvalidInput([Problem("lines", "empty", "lines of the timer", "paste them")])
        rule = find_rule(book, name or None)
        # All are read before the first is kept.
        found = [read_line(rule, line) for line in lines]
        if not any(found):
            seen = "none that this timer writes"
            raise InvalidInput([Problem("lines", seen, "lines of it", "choose another timer")])
        for key, times in zip(_keys(outing_id, lines), found, strict=True):
            if times:
                count += len(take_times(book, outing_id, times, now, entry_key=key))
    except InvalidInput as wrong:
        page = TakeLinesPage(outing_id, answers.refused(wrong), _rule_options(book))
        return refuse(request, page)
    left_out = sum(times is None for times in found)
    told = f" {left_out} other lines were left out." if left_out else ""
    return done(request, f"/clock/{outing_id}", Flash(f"{count} times taken.{told}"))


def _keys(outing_id: int, lines: list[str]) -> list[str]:
    """Return a key for each line: its own, and the same when all is pasted again."""
    seen: Counter[str] = Counter()
    keys = []
    for line in lines:
        seen[line] += 1
        told = f"{outing_id}\n{line}\n{seen[line]}"
        keys.append(f"line:{hashlib.sha256(told.encode()).hexdigest()[:32]}")
    return keys


def _rule_options(book: BenchBook) -> tuple[tuple[str, str], ...]:
    with book.read() as session:
        rules = import_rule_store.list_rules(session, RuleKind.LINES)
    return (*((rule.name, rule.name) for rule in rules), ("", "one time in each line"))
