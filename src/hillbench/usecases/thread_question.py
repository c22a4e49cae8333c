"""A question about a thread: what is typed, read into a case that can be computed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Final, TypeVar

from hillbench.errors import InvalidInput, Problem
from hillbench.fastening.bow import Base, check_base
from hillbench.fastening.depth import Depths, Stack, check_stack, find_depths, tap_kinds
from hillbench.fastening.designation import parse_drill, parse_length_mm, parse_thread
from hillbench.fastening.drill import (
    Drill,
    Method,
    drill_for_formed_percent,
    drill_for_percent,
    nearest_drill,
    thread_percent,
)
from hillbench.fastening.limits import usual_fit
from hillbench.fastening.material import find_material
from hillbench.fastening.options import Option, Setting
from hillbench.fastening.rivet import HeadRemoval, head_removal
from hillbench.fastening.thread import Thread
from hillbench.fastening.torque import SAFETY_FACTOR, frictions

USUAL_ENGAGEMENT: Final = 1.5
"""Length of engagement taken where none is given, in major diameters."""

HEADS: Final = ("pan", "socket cap", "countersunk")
"""Kinds of head that the tables know."""

_LONGEST_MM: Final = 100.0
_LENGTHS: Final = (
    *("engagement_mm", "screw_length_mm", "base_thickness_mm", "post_height_mm"),
    *("post_diameter_mm", "gap_mm", "base_span_mm", "base_width_mm"),
    *("rivet_head_diameter_mm", "rivet_head_height_mm"),
)
_Value = TypeVar("_Value")


@dataclass(frozen=True, slots=True)
class ThreadQuestion:
    """What is asked about a screw in a post, as typed.

    Attributes
    ----------
    designation
        The thread: ``2-56``, ``M2x0.4``.
    drill
        The drill at hand: ``5/64``, ``#50``, ``1.75mm``; the one nearest to the percent wanted
        where None.
    method
        ``tapped`` or ``formed``.
    post_material, screw_material
        Names of materials.
    friction
        ``dry`` or ``oiled``.
    head
        ``pan``, ``socket cap`` or ``countersunk``.
    tap
        ``taper``, ``plug`` or ``bottoming``.
    percent
        Percent of a full thread wanted.
    safety_factor
        Between giving way and what is allowed.
    engagement_mm
        Length of engagement.
    screw_length_mm, base_thickness_mm, post_height_mm, post_diameter_mm, gap_mm
        Screw under its head, base, post, and how far the post ends short of the base.
    base_span_mm, base_width_mm
        The part of the base that may bow.
    rivet_head_diameter_mm, rivet_head_height_mm
        Head of the rivet that closes the post now.
    """

    designation: str
    drill: str | None = None
    method: str = "tapped"
    post_material: str = "zinc"
    screw_material: str = "stainless"
    friction: str = "dry"
    head: str = "pan"
    tap: str = "plug"
    percent: float = 65.0
    safety_factor: float = SAFETY_FACTOR
    engagement_mm: str | None = None
    screw_length_mm: str | None = None
    base_thickness_mm: str | None = None
    post_height_mm: str | None = None
    post_diameter_mm: str | None = None
    gap_mm: str | None = None
    base_span_mm: str | None = None
    base_width_mm: str | None = None
    rivet_head_diameter_mm: str | None = None
    rivet_head_height_mm: str | None = None


@dataclass(frozen=True, slots=True)
class ThreadCase:
    """A question read: everything known and checked.

    Attributes
    ----------
    option
        Thread, drill and method.
    setting
        What it is done in and with.
    engagement_from
        Where the engagement is from: ``asked``, ``lengths`` or ``assumed``.
    wanted_percent, wanted_drill
        Percent of thread wanted, and the drill nearest to it.
    stack, depths
        What the screw goes through and into, and how deep; None where lengths are missing.
    base, gap_mm
        The part of the base that may bow, and how far the post ends short of it, mm.
    rivet
        How the head of the rivet comes off; None where it is not measured.
    """

    option: Option
    setting: Setting
    engagement_from: str
    wanted_percent: float
    wanted_drill: Drill
    stack: Stack | None
    depths: Depths | None
    base: Base | None
    gap_mm: float
    rivet: HeadRemoval | None


def read_thread_question(question: ThreadQuestion) -> ThreadCase:
    """Return the case a question describes.

    Raises
    ------
    InvalidInput
        With every problem of the question.
    """
    return _Reading(question).case()


class _Reading:
    """Reads a question and gathers what is wrong with it."""

    def __init__(self, question: ThreadQuestion) -> None:
        self._ask = question
        self._problems: list[Problem] = []
        self._mm = {name: self._length(name) for name in _LENGTHS}

    def case(self) -> ThreadCase:
        ask = self._ask
        thread = self._try(lambda: parse_thread(ask.designation))
        size = ask.drill
        drill = self._try(lambda: parse_drill(size)) if size is not None else None
        post = self._try(lambda: find_material(ask.post_material, "post", "post_material"))
        screw = self._try(lambda: find_material(ask.screw_material, "screw", "screw_material"))
        self._check_choices()
        self._check_numbers()
        if thread is None or post is None or screw is None or self._problems:
            raise InvalidInput(self._problems)
        method = Method(ask.method)
        wanted = _wanted_drill(thread, ask.percent, method)
        drill = drill or wanted
        self._problems += _check_hole(thread, drill, method)
        stack, base, rivet = self._stack(thread, drill), self._base(), self._rivet(drill)
        if self._problems:
            raise InvalidInput(self._problems)
        depths = find_depths(thread, drill.diameter_mm, stack, method, ask.tap) if stack else None
        engagement_mm, found_in = self._engagement(thread, depths)
        if self._problems:
            raise InvalidInput(self._problems)
        setting = Setting(
            post,
            screw,
            engagement_mm,
            frictions()[ask.friction],
            ask.safety_factor,
            self._mm["post_diameter_mm"],
            ask.head,
        )
        option = Option(thread, drill, method)
        gap_mm = self._mm["gap_mm"] or 0.0
        return ThreadCase(
            option, setting, found_in, ask.percent, wanted, stack, depths, base, gap_mm, rivet
        )

    def _try(self, read: Callable[[], _Value]) -> _Value | None:
        try:
            return read()
        except InvalidInput as error:
            self._problems += error.problems
            return None

    def _length(self, name: str) -> float | None:
        text = getattr(self._ask, name)
        if text is None:
            return None
        value = self._try(lambda: parse_length_mm(text, name))
        least = 0.0 if name == "gap_mm" else 1e-9
        if value is not None and not least <= value <= _LONGEST_MM:
            allowed = f"{'0' if least == 0.0 else 'more than 0'} and at most {_LONGEST_MM:g} mm"
            self._problems.append(Problem(name, f"{value:g} mm", allowed, "measure it"))
        return value

    def _check_choices(self) -> None:
        choices = {
            "method": tuple(Method),
            "friction": tuple(frictions()),
            "head": HEADS,
            "tap": tap_kinds(),
        }
        for name, known in choices.items():
            value = getattr(self._ask, name)
            if value not in known:
                self._problems.append(Problem(name, repr(value), f"one of {', '.join(known)}"))

    def _check_numbers(self) -> None:
        if not 10.0 <= self._ask.percent <= 83.0:
            seen = f"{self._ask.percent:g} %"
            self._problems.append(Problem("percent", seen, "between 10 and 83 %", "65 is usual"))
        factor = self._ask.safety_factor
        if not (math.isfinite(factor) and 1.0 <= factor <= 20.0):
            self._problems.append(Problem("safety_factor", f"{factor:g}", "between 1 and 20"))

    def _stack(self, thread: Thread, drill: Drill) -> Stack | None:
        names = ("screw_length_mm", "base_thickness_mm", "post_height_mm")
        screw, base, post = (self._mm[name] for name in names)
        diameter, gap = self._mm["post_diameter_mm"], self._mm["gap_mm"] or 0.0
        if diameter is not None and diameter <= max(drill.diameter_mm, thread.major_mm):
            self._problems.append(_thin_post(thread, drill, diameter))
        elif screw is not None and base is not None and post is not None:
            stack = Stack(screw, base, post, diameter, gap)
            self._problems += check_stack(thread, drill.diameter_mm, stack)
            return stack
        elif screw is not None:
            self._problems += [
                Problem(name, "missing", "a length in mm", "give all three")
                for name in names
                if self._mm[name] is None
            ]
        return None

    def _base(self) -> Base | None:
        span, thickness = self._mm["base_span_mm"], self._mm["base_thickness_mm"]
        if span is None:
            return None
        if thickness is None:
            where, remedy = "base_thickness_mm", "a bow needs the thickness of the base"
            self._problems.append(Problem(where, "missing", "a length in mm", remedy))
            return None
        width = self._mm["base_width_mm"]
        base = Base(span, span / 2.0 if width is None else width, thickness)
        self._problems += check_base(base)
        return base

    def _rivet(self, drill: Drill) -> HeadRemoval | None:
        names = ("rivet_head_diameter_mm", "rivet_head_height_mm")
        diameter, height = (self._mm[name] for name in names)
        if diameter is None and height is None:
            return None
        if diameter is None or height is None:
            missing = names[0] if diameter is None else names[1]
            self._problems.append(Problem(missing, "missing", "a length in mm", "give both"))
            return None
        return self._try(lambda: head_removal(diameter, height, drill.diameter_mm))

    def _engagement(self, thread: Thread, depths: Depths | None) -> tuple[float, str]:
        asked, post = self._mm["engagement_mm"], self._mm["post_height_mm"]
        if asked is not None:
            if post is not None and asked > post:
                allowed = f"at most the height of the post ({post:g} mm)"
                self._problems.append(Problem("engagement_mm", f"{asked:g} mm", allowed))
            return asked, "asked"
        if depths is None:
            return USUAL_ENGAGEMENT * thread.major_mm, "assumed"
        if depths.engagement_mm <= 0.0:
            seen = f"{self._mm['screw_length_mm']:g} mm"
            allowed = "a screw that leaves full threads in the post"
            remedy = "take another length, or a tap with a shorter lead"
            self._problems.append(Problem("screw_length_mm", seen, allowed, remedy))
        return depths.engagement_mm, "lengths"


def _wanted_drill(thread: Thread, percent: float, method: Method) -> Drill:
    if method is Method.FORMED:
        return nearest_drill(drill_for_formed_percent(thread, percent))
    return nearest_drill(drill_for_percent(thread, percent))


def _check_hole(thread: Thread, drill: Drill, method: Method) -> Iterator[Problem]:
    """Yield what keeps a hole from carrying a thread at all."""
    most = usual_fit(thread).external.major_mm.least_mm
    remedy = f"{_wanted_drill(thread, 65.0, method).name} leaves 65 % of a full thread"
    seen = f"{drill.name} ({drill.diameter_mm:.3f} mm)"
    if drill.diameter_mm >= most:
        allowed = f"less than the smallest {thread.designation} screw, {most:.3f} mm"
        yield Problem("drill", seen, allowed, remedy)
    elif thread_percent(thread, drill.diameter_mm) > 100.0:
        least = drill_for_percent(thread, 100.0)
        allowed = f"at least {least:.3f} mm, or no tap of {thread.designation} goes in"
        yield Problem("drill", seen, allowed, remedy)


def _thin_post(thread: Thread, drill: Drill, diameter_mm: float) -> Problem:
    most = max(drill.diameter_mm, thread.major_mm)
    allowed = f"more than the hole and its thread, {most:.2f} mm"
    return Problem("post_diameter_mm", f"{diameter_mm:g} mm", allowed, "take a smaller thread")
