"""The rules of a class as data: limits on what is measured, and questions for the rest."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final

from hillbench.errors import InvalidInput, Problem

MEASURED: Final[Mapping[str, tuple[str, float]]] = {
    "mass_g": ("g", 1000.0),
    "length_mm": ("mm", 300.0),
    "width_mm": ("mm", 150.0),
    "height_mm": ("mm", 150.0),
    "wheelbase_mm": ("mm", 200.0),
    "wheel_diameter_mm": ("mm", 60.0),
    "axle_diameter_mm": ("mm", 6.0),
}
"""What a class may limit, with its unit and the most that makes sense."""

LONGEST_QUESTION: Final = 300
MOST_QUESTIONS: Final = 40


@dataclass(frozen=True, slots=True)
class Limit:
    """Least and most of one quantity.

    Attributes
    ----------
    quantity
        Name with its unit, one of `MEASURED`.
    least, most
        In that unit; None for no limit on that side.
    """

    quantity: str
    least: float | None = None
    most: float | None = None


@dataclass(frozen=True, slots=True)
class ClassRules:
    """What a car of a class must be.

    Attributes
    ----------
    limits
        On what is measured.
    questions
        Each is answered yes by a car that is in order: wheels, axles, lubricant, materials,
        no moving or loose weight, anything else.
    scale_guard_g
        Doubt of the scale on each side of a limit, g.
    caliper_guard_mm
        Doubt of the caliper on each side of a limit, mm.
    """

    limits: tuple[Limit, ...] = ()
    questions: tuple[str, ...] = ()
    scale_guard_g: float = 0.05
    caliper_guard_mm: float = 0.1

    def __post_init__(self) -> None:
        problems = tuple(_problems(self))
        if problems:
            raise InvalidInput(problems)

    def guard(self, quantity: str) -> float:
        """Return the doubt of the instrument that measures a quantity, in its unit."""
        return self.scale_guard_g if MEASURED[quantity][0] == "g" else self.caliper_guard_mm


def rules_from(stored: Mapping[str, Any]) -> ClassRules:
    """Return rules that were kept as JSON; raise `InvalidInput` for what cannot be."""
    return ClassRules(
        tuple(Limit(one["quantity"], one["least"], one["most"]) for one in stored["limits"]),
        tuple(stored["questions"]),
        stored["scale_guard_g"],
        stored["caliper_guard_mm"],
    )


def _problems(rules: ClassRules) -> Iterator[Problem]:
    seen = set()
    for limit in rules.limits:
        if limit.quantity not in MEASURED or limit.quantity in seen:
            yield Problem("limits", repr(limit.quantity), "each once, of: " + ", ".join(MEASURED))
            continue
        seen.add(limit.quantity)
        yield from _limit_problems(limit)
    for name in ("scale_guard_g", "caliper_guard_mm"):
        value = getattr(rules, name)
        if not 0.0 <= value <= 5.0:
            yield Problem(name, f"{value:g}", "0 to 5", "say how far the reading may be off")
    if len(rules.questions) > MOST_QUESTIONS:
        yield Problem("questions", f"{len(rules.questions)} of them", f"at most {MOST_QUESTIONS}")
    for question in rules.questions:
        if not 1 <= len(question.strip()) <= LONGEST_QUESTION:
            allowed = f"1 to {LONGEST_QUESTION} characters each"
            yield Problem("questions", f"{len(question)} characters long", allowed)
    if len(set(rules.questions)) != len(rules.questions):
        yield Problem("questions", "the same twice", "each once", "take one out")


def _limit_problems(limit: Limit) -> Iterator[Problem]:
    unit, greatest = MEASURED[limit.quantity]
    for bound in (limit.least, limit.most):
        if bound is not None and not (math.isfinite(bound) and 0.0 < bound <= greatest):
            allowed = f"more than 0, at most {greatest:g} {unit}"
            yield Problem(limit.quantity, f"{bound:g} {unit}", allowed, "check the unit")
    if limit.least is not None and limit.most is not None and limit.least > limit.most:
        seen = f"{limit.least:g} to {limit.most:g} {unit}"
        yield Problem(limit.quantity, seen, "the least first", "change the two")
    if limit.least is None and limit.most is None:
        yield Problem(limit.quantity, "without a limit", "a least, a most or both")
