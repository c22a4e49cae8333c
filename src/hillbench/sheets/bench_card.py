"""The bench card: the steps of a build to work through with dirty hands, to tick with a pencil."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from hillbench.sheets import path
from hillbench.sheets.drawing import Drawing, Mark, Shape, Stroke, Words
from hillbench.sheets.flow import (
    ACCENT,
    INK,
    LEADING,
    MUTED,
    RULE,
    WARNING,
    Block,
)
from hillbench.sheets.font import wrap
from hillbench.sheets.page import PageSize
from hillbench.sheets.page_frame import Link, frame, paged

_SIZE_MM: Final = 3.5
_SMALL_MM: Final = 3.0
_BOX_MM: Final = 5.0
_TEXT_MM: Final = 17.0
_SIDE_MM: Final = 46.0


@dataclass(frozen=True, slots=True)
class CardStep:
    """One step as it is printed.

    Attributes
    ----------
    title
        What to do.
    tool
        With what, and its size; may be empty.
    detail
        How, how deep, how tight; may be empty.
    cautions
        What can hurt and why.
    takes
        How long it takes and what must rest after it; may be empty.
    expected
        What the scale should read after it; may be empty.
    done
        Whether it is done already.
    """

    title: str
    tool: str = ""
    detail: str = ""
    cautions: tuple[str, ...] = ()
    takes: str = ""
    expected: str = ""
    done: bool = False


@dataclass(frozen=True, slots=True)
class CardContent:
    """Everything a bench card says.

    Attributes
    ----------
    title
        Name of the build.
    lines
        The car, the class, the day it is to be ready.
    steps
        In working order.
    link
        The page of the build.
    foot
        Who made the card and when.
    """

    title: str
    lines: tuple[str, ...]
    steps: tuple[CardStep, ...]
    link: Link
    foot: str


def bench_card(content: CardContent, size: PageSize) -> Drawing:
    """Return the card, on as many pages as the steps need.

    Parameters
    ----------
    content
        What it says.
    size
        The paper.
    """
    around = frame(size, "Bench card", content.title, content.lines, content.link, content.foot)
    blocks = [
        _step(number, step, around.width_mm) for number, step in enumerate(content.steps, start=1)
    ]
    pages = paged(around, size, blocks)
    return Drawing(f"Bench card: {content.title}", pages)


def _step(number: int, step: CardStep, room: float) -> Block:
    column = room - _TEXT_MM - _SIDE_MM
    text = list(_lines(step, column))
    side = list(_side(step))
    marks: list[Mark] = [
        Shape(path.rectangle(0.0, 1.2, _BOX_MM, _BOX_MM, 0.8), stroke=Stroke(INK, 0.4)),
        Words(_BOX_MM + 9.0, 5.2, f"{number}", 4.6, "bold", ACCENT, "end"),
    ]
    if step.done:
        tick = [(1.1, 3.8), (2.2, 5.0), (4.1, 2.2)]
        marks.append(Shape(path.polyline(tick), stroke=Stroke(ACCENT, 0.7, cap="round")))
    for lines, left in ((text, _TEXT_MM), (side, room - _SIDE_MM + 4.0)):
        y = 1.0
        for line in lines:
            y += LEADING * line.size_mm
            marks.append(Words(left, y, line.text, line.size_mm, line.font, line.colour))
    height = max(_height(text), _height(side), _BOX_MM) + 3.6
    marks.append(Shape(path.polyline([(0.0, height), (room, height)]), stroke=Stroke(RULE, 0.2)))
    return Block(height + 0.8, tuple(marks))


def _lines(step: CardStep, room: float) -> Iterator[Words]:
    for line in wrap(step.title, room, _SIZE_MM + 0.4, "bold"):
        yield Words(0.0, 0.0, line, _SIZE_MM + 0.4, "bold", INK)
    for text in (step.tool, step.detail):
        for line in wrap(text, room, _SIZE_MM) if text else ():
            yield Words(0.0, 0.0, line, _SIZE_MM, "regular", INK if text == step.tool else MUTED)
    for caution in step.cautions:
        for line in wrap(f"Care: {caution}", room, _SMALL_MM):
            yield Words(0.0, 0.0, line, _SMALL_MM, "regular", WARNING)


def _side(step: CardStep) -> Iterator[Words]:
    room = _SIDE_MM - 4.0
    if step.expected:
        for line in wrap(f"Scale after: {step.expected}", room, _SIZE_MM, "bold"):
            yield Words(0.0, 0.0, line, _SIZE_MM, "bold", INK)
        yield Words(0.0, 0.0, "Weighed: ______________ g", _SIZE_MM, "regular", INK)
    for line in wrap(step.takes, room, _SMALL_MM) if step.takes else ():
        yield Words(0.0, 0.0, line, _SMALL_MM, "regular", MUTED)


def _height(lines: Sequence[Words]) -> float:
    return 1.0 + sum(LEADING * line.size_mm for line in lines)
