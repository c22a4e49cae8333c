"""Whether a car is in order: readings against limits, with the doubt of the instrument."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.class_rules import MEASURED, ClassRules, Limit

READINGS_TO_DECIDE: Final = 3
"""Readings after which their mean decides, without a guard band. Common practice, no source."""


class Verdict(StrEnum):
    """What scrutiny says."""

    PASS = "pass"  # noqa: S105 (no password)
    FAIL = "fail"
    REMEASURE = "measure again"
    OPEN = "not measured yet"


@dataclass(frozen=True, slots=True)
class Finding:
    """What scrutiny says about one limit or question.

    Attributes
    ----------
    about
        Quantity, or the question as it stands.
    verdict
        The verdict.
    reason
        Why, in one sentence; empty for a pass.
    """

    about: str
    verdict: Verdict
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Judged:
    """What scrutiny says about a car.

    Attributes
    ----------
    verdict
        The worst of all findings.
    findings
        Limits in the order of the class, then questions.
    """

    verdict: Verdict
    findings: tuple[Finding, ...]

    def reasons(self) -> tuple[str, ...]:
        """Return why it is not passed, each one sentence."""
        return tuple(one.reason for one in self.findings if one.verdict is not Verdict.PASS)


def judge(
    rules: ClassRules,
    readings: Mapping[str, Sequence[float]],
    answers: Mapping[str, bool],
) -> Judged:
    """Return what scrutiny says about a car.

    Parameters
    ----------
    rules
        Of its class.
    readings
        Readings of each quantity in the order taken, in its unit.
    answers
        Answer to each question; one that is missing is open.

    Raises
    ------
    InvalidInput
        If a reading is no length or mass a car can have.

    Notes
    -----
    Guarded acceptance and guarded rejection: a reading clear of the limit by the guard band
    passes or fails, one within the band is taken again (JCGM 106:2012, Evaluation of
    measurement data: the role of measurement uncertainty in conformity assessment, 8.3.2 and
    8.3.3; with a band of twice the standard uncertainty a car accepted at its edge conforms
    with 97.7 % probability). After three readings their mean decides against the limit itself,
    which is the simple acceptance of 8.2.
    """
    _check(readings)
    findings = [_on_limit(rules, limit, readings.get(limit.quantity, ())) for limit in rules.limits]
    findings += [_on_question(question, answers.get(question)) for question in rules.questions]
    for worst in (Verdict.FAIL, Verdict.REMEASURE, Verdict.OPEN):
        if any(one.verdict is worst for one in findings):
            return Judged(worst, tuple(findings))
    return Judged(Verdict.PASS, tuple(findings))


def _on_limit(rules: ClassRules, limit: Limit, readings: Sequence[float]) -> Finding:
    name, unit = limit.quantity, MEASURED[limit.quantity][0]
    word = name.rsplit("_", 1)[0].replace("_", " ").capitalize()
    if not readings:
        return Finding(name, Verdict.OPEN, f"{word} is not measured yet.")
    value = math.fsum(readings) / len(readings)
    guard = 0.0 if len(readings) >= READINGS_TO_DECIDE else rules.guard(name)
    over = -math.inf if limit.most is None else value - limit.most
    under = -math.inf if limit.least is None else limit.least - value
    excess, bound = (over, limit.most) if over >= under else (under, limit.least)
    told = f"{word} is {value:.2f} {unit}"
    side = "most" if over >= under else "least"
    # A hair of rounding in the sum must not turn a car away.
    if excess <= -guard + 1e-9:
        return Finding(name, Verdict.PASS)
    if excess > guard + 1e-9:
        direction = "over" if side == "most" else "under"
        reason = f"{told}, {excess:.2f} {unit} {direction} the {side} of {bound:g} {unit}."
        return Finding(name, Verdict.FAIL, reason)
    reason = f"{told}, within {guard:g} {unit} of the {side} of {bound:g} {unit}: measure again."
    return Finding(name, Verdict.REMEASURE, reason)


def _on_question(question: str, answer: bool | None) -> Finding:
    if answer is None:
        return Finding(question, Verdict.OPEN, f"“{question}” is not answered yet.")
    if answer:
        return Finding(question, Verdict.PASS)
    return Finding(question, Verdict.FAIL, f"“{question}” was answered no.")


def _check(readings: Mapping[str, Sequence[float]]) -> None:
    problems = []
    for name, values in readings.items():
        if name not in MEASURED:
            problems.append(Problem(name, "a reading", "one of: " + ", ".join(MEASURED)))
            continue
        unit, greatest = MEASURED[name]
        problems += [
            Problem(name, f"{value:g} {unit}", f"more than 0, at most {greatest:g} {unit}")
            for value in values
            if not 0.0 < value <= greatest
        ]
    if problems:
        raise InvalidInput(problems)
