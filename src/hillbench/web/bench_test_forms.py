"""The forms of the tests at the bench: what is typed about spins, rolls and coast-outs."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from hillbench import units
from hillbench.errors import InvalidInput, Problem
from hillbench.records.bench_test_entities import (
    FloorRoll,
    SpinTimedBy,
    Travel,
    Turned,
    Way,
    Wheel,
)
from hillbench.usecases.keep_spin_downs import WheelSpins
from hillbench.usecases.rub_places import PLACES
from hillbench.web.scale_readings import split_readings
from hillbench.web.typed import Answers, default_unit

SPIN_READINGS: Final = ("stop_times_s", "turns", "start_turns_per_s")
"""What is read of a wheel, each with as many figures as there were spins."""

ROLL_WAYS: Final = tuple((travel, way) for travel in Travel for way in Way)
"""Ways to roll a car, in the order they are rolled."""

_WORDS: Final = {
    "stop_times_s": "stop times",
    "turns": "turns",
    "start_turns_per_s": "start speed",
}
SPIN_LABELS: Final = {
    **{
        f"{wheel.replace(' ', '_')}__{name}": f"{wheel.capitalize()}, {words}"
        for wheel in Wheel
        for name, words in _WORDS.items()
    },
    "lubricant": "What the bearings run in",
    "round_number": "The number of rounds",
    "start_uncertainty_turns_per_s": "How far off the start speed may be",
    "wheels": "The table of wheels",
    "note": "The note",
}
ROLL_LABELS: Final = {
    "length_m": "The length rolled",
    **{
        f"drift_{place}": f"{travel.capitalize()}, {way}"
        for place, (travel, way) in enumerate(ROLL_WAYS)
    },
    "drift_mm": "A drift",
    "drift_uncertainty_mm": "How far off a drift may be",
    "aim_uncertainty_deg": "How far off the aim may be",
    "note": "The note",
}
COAST_LABELS: Final = {
    "surface": "The surface",
    "distances_m": "A distance",
    "entry_speed_m_s": "The entry speed",
    "entry_speed_uncertainty_m_s": "How far off the entry speed may be",
    "level_uncertainty_deg": "How far off level the surface may be",
    "note": "The note",
}
RUB_LABELS: Final = {
    **{place.name: place.question for place in PLACES},
    "note": "The note",
}
_TURNING: Final = units.Dimension("speed of turning", {"turns/s": 1.0, "hz": 1.0, "rpm": 1 / 60})
_DIMENSIONS: Final = {
    "stop_times_s": (units.TIME, "s"),
    "start_turns_per_s": (_TURNING, "turns/s"),
    "turns": (units.NUMBER, ""),
}
_TURNS_A_SECOND: Final = re.compile(r"\bturns?\s*(?:/\s*s|a second)\b", re.IGNORECASE)
_BREAK: Final = re.compile(r"[;\n]|,\s")
_SIDE: Final = re.compile(r"\s*\b(left|right|l|r)\b\.?\s*$", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class SpinsAsked:
    """Spins as typed; as in `hillbench.usecases.keep_spin_downs`."""

    lubricant: str
    round_number: float
    wheels: Mapping[str, WheelSpins]
    start_uncertainty_turns_per_s: float | None
    timed_by: str
    note: str


@dataclass(frozen=True, slots=True)
class RollsAsked:
    """Rolls as typed; as in `hillbench.usecases.keep_roll_test`."""

    rolls: tuple[FloorRoll, ...]
    drift_uncertainty_mm: float
    aim_uncertainty_deg: float
    straightened: bool
    note: str


def wheel_field(wheel: str, name: str) -> str:
    """Return the name of the field of one reading of one wheel."""
    return f"{wheel.replace(' ', '_')}__{name}"


def read_spins(answers: Answers) -> SpinsAsked:
    """Return spins as typed; raise `InvalidInput` with all that is wrong."""
    wheels = {}
    for wheel in Wheel:
        typed = {name: _numbers(answers, wheel_field(wheel, name), name) for name in SPIN_READINGS}
        if any(typed.values()):
            wheels[str(wheel)] = WheelSpins(
                typed["stop_times_s"], typed["start_turns_per_s"], typed["turns"]
            )
    round_number = answers.quantity("round_number", units.NUMBER, required=False)
    uncertainty = answers.quantity("start_uncertainty_turns_per_s", units.NUMBER, required=False)
    timed_by = answers.choice("timed_by", [str(one) for one in SpinTimedBy])
    answers.require()
    return SpinsAsked(
        answers.text("lubricant"),
        round_number or 0.0,
        wheels,
        uncertainty,
        timed_by,
        answers.text("note"),
    )


def at_wheels(wrong: InvalidInput) -> InvalidInput:
    """Return the problems with each wheel's at the fields of that wheel."""
    problems = []
    for problem in wrong.problems:
        wheel, _, name = problem.where.partition(".")
        where = wheel_field(wheel, name) if name else problem.where
        problems.append(Problem(where, problem.seen, problem.allowed, problem.remedy))
    return InvalidInput(problems)


def read_rolls(answers: Answers) -> RollsAsked:
    """Return rolls as typed; raise `InvalidInput` with all that is wrong."""
    length_m = answers.quantity("length_m", units.DISTANCE)
    turned = Turned(answers.choice("turned", [str(one) for one in Turned]))
    rolls = []
    for place, (travel, way) in enumerate(ROLL_WAYS):
        drifts = _drifts(answers, f"drift_{place}")
        rolls += [FloorRoll(length_m or 0.0, drift, travel, way, turned) for drift in drifts]
    drift_mm_off = answers.quantity("drift_uncertainty_mm", units.LENGTH)
    aim_off = answers.quantity("aim_uncertainty_deg", units.ANGLE)
    answers.require()
    return RollsAsked(
        tuple(rolls),
        drift_mm_off or 0.0,
        aim_off or 0.0,
        answers.text("straightened") == "yes",
        answers.text("note"),
    )


def read_distances(answers: Answers) -> tuple[float, ...]:
    """Return the distances of a coast-out as typed, m."""
    unit = default_unit(units.DISTANCE, answers.preferences)
    found = (
        answers.parse("distances_m", text, units.DISTANCE, unit)
        for text in split_readings(answers.text("distances_m"))
    )
    return tuple(value for value in found if value is not None)


def _numbers(answers: Answers, field: str, name: str) -> tuple[float, ...]:
    dimension, unit = _DIMENSIONS[name]
    typed = _TURNS_A_SECOND.sub(" ", answers.text(field))
    found = (answers.parse(field, text, dimension, unit) for text in split_readings(typed))
    return tuple(value for value in found if value is not None)


def _drifts(answers: Answers, field: str) -> list[float]:
    """Return drifts as typed, mm; 12 R is 12 to the right, so is −12."""
    unit = default_unit(units.LENGTH, answers.preferences)
    found = []
    for text in _parted(answers.text(field)):
        side = _SIDE.search(text)
        plain = text[: side.start()] if side else text
        value = answers.parse(field, plain, units.LENGTH, unit)
        if value is None:
            continue
        if side and value < 0.0:
            seen, allowed = repr(text), "a side or a sign"
            answers.problems.append(Problem(field, seen, allowed, "leave one of them out"))
        right = side is not None and side[1][0].lower() == "r"
        found.append(-value if right else value)
    return found


def _parted(text: str) -> list[str]:
    """Return the drifts in a line: parted by semicolons, commas with a blank, else by blanks."""
    if _BREAK.search(text):
        return [part.strip() for part in _BREAK.split(text) if part.strip()]
    parts: list[str] = []
    for word in text.split():
        if parts and not re.match(r"[+\-−.,]?\d", word):
            parts[-1] += f" {word}"
        else:
            parts.append(word)
    return parts
