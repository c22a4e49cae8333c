"""The forms of the Clock: what an outing is like, and one run."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from hillbench import units
from hillbench.errors import InvalidInput, Problem
from hillbench.records.entities import RunNote, TimedBy, TimedRun
from hillbench.records.outing_entities import Conditions, Outing
from hillbench.timing.time_text import parse_time
from hillbench.web.form_rows import Pairs
from hillbench.web.preferences import Preferences
from hillbench.web.track_fields import TEMPERATURE
from hillbench.web.typed import Answers

OUTING_LABELS: Final = {
    "track_id": "Track",
    "cars": "Cars",
    "lanes": "Lanes",
    "matters_s": "What matters",
    "temperature_c": "Temperature",
    "humidity_percent": "Humidity",
    "lubricant_note": "Lubricant",
    "note": "Note",
}
ENTRY_LABELS: Final = {
    "finish_time_s": "Time",
    "car_id": "Car",
    "lane": "Lane",
    "note": "How it went",
    "gate_times_s": "A gate time",
}
_GATE: Final = "gate_"
_CLEANED: Final = {"yes": True, "no": False, "": None}
_LONGEST_WAIT: Final = timedelta(days=60)


@dataclass(frozen=True, slots=True)
class OutingAsked:
    """What an outing is to be like; as in `hillbench.usecases.begin_outing`."""

    car_ids: tuple[int, ...]
    lanes: int
    together: bool
    conditions: Conditions
    matters_s: float | None
    note: str


@dataclass(frozen=True, slots=True)
class RunAsked:
    """One run as typed; as in `hillbench.usecases.enter_run`.

    Attributes
    ----------
    gate_times_s
        None where the form had no gates.
    """

    car_id: int
    finish_time_s: float | None
    note: str
    lane: str | None
    confirmed: bool
    gate_times_s: tuple[float | None, ...] | None = None


def outing_answers(form: str, typed: Pairs, preferences: Preferences) -> Answers:
    """Return a reader of the form of an outing."""
    return Answers(form, typed, preferences, OUTING_LABELS)


def read_outing(answers: Answers) -> OutingAsked:
    """Return what was typed about an outing; raise `InvalidInput` with all that is wrong."""
    lanes = answers.quantity("lanes", units.NUMBER, required=False)
    if lanes is not None and lanes != round(lanes):
        answers.problems.append(Problem("lanes", answers.text("lanes"), "a whole number"))
    humidity = answers.quantity("humidity_percent", units.NUMBER, unit="%", required=False)
    conditions = Conditions(
        temperature_c=answers.quantity("temperature_c", TEMPERATURE, required=False),
        humidity_percent=None if humidity is None else 100.0 * humidity,
        surface_cleaned=_CLEANED.get(answers.text("surface_cleaned")),
        lubricant_note=answers.text("lubricant_note").strip(),
    )
    matters_s = answers.quantity("matters_s", units.TIME, required=False)
    car_ids = tuple(int(text) for text in answers.as_typed.values("car_id") if text.isdecimal())
    if not car_ids:
        answers.problems.append(Problem("cars", "empty", "one car or more", "choose some"))
    answers.require()
    return OutingAsked(
        car_ids=car_ids,
        lanes=round(lanes or 1.0),
        together=answers.text("together") == "yes",
        conditions=conditions,
        matters_s=matters_s,
        note=answers.text("note"),
    )


def outing_fields(outing: Outing) -> Pairs:
    """Return an outing as it would be typed."""
    conditions, plan = outing.conditions, outing.plan
    cleaned = {wanted: text for text, wanted in _CLEANED.items()}
    return (
        *(("car_id", str(car_id)) for car_id in plan.car_ids),
        ("lanes", str(plan.lanes)),
        ("together", "yes" if plan.together else ""),
        ("matters_s", _number(outing.matters_s)),
        ("temperature_c", _number(conditions.temperature_c)),
        ("humidity_percent", _number(conditions.humidity_percent)),
        ("surface_cleaned", cleaned[conditions.surface_cleaned]),
        ("lubricant_note", conditions.lubricant_note),
        ("note", outing.note),
    )


def read_run(answers: Answers) -> RunAsked:
    """Return one run as typed; raise `InvalidInput` with all that is wrong."""
    confirmed = answers.text("confirmed")
    note = answers.text("note") or confirmed or str(RunNote.CLEAN)
    finished = note in (RunNote.CLEAN, RunNote.SNAG)
    time_s = None
    # A few figures typed before the car left the track mean nothing.
    if finished:
        try:
            time_s = parse_time(answers.text("finish_time_s"), "finish_time_s")
        except InvalidInput as wrong:
            answers.problems.extend(wrong.problems)
    car = answers.text("car_id")
    if not car.isdecimal():
        answers.problems.append(Problem("car_id", repr(car), "a car", "choose one"))
    gates = _read_gates(answers)
    answers.require()
    lane = answers.text("lane").strip() or None
    return RunAsked(int(car), time_s, note, lane, bool(confirmed), gates)


def _read_gates(answers: Answers) -> tuple[float | None, ...] | None:
    """Return the gate times as typed, in the order of the gates; None where there are no gates."""
    typed: dict[int, str] = {}
    for name, text in answers.as_typed.pairs:
        number = name.removeprefix(_GATE)
        if number != name and number.isdecimal() and len(number) < 3:
            typed[int(number)] = text
    if not typed:
        return None
    times: list[float | None] = []
    for place in range(max(typed)):
        text = typed.get(place + 1, "").strip()
        try:
            times.append(parse_time(text, f"gate_times_s[{place}]") if text else None)
        except InvalidInput as wrong:
            answers.problems.extend(wrong.problems)
            times.append(None)
    return tuple(times)


def run_fields(run: TimedRun) -> Pairs:
    """Return a run as it would be typed."""
    return (
        ("finish_time_s", _number(run.finish_time_s)),
        ("car_id", str(run.car_id)),
        ("lane", run.lane or ""),
        ("note", str(run.note)),
        *(
            (f"{_GATE}{number}", _number(time_s))
            for number, time_s in enumerate(run.gate_times_s, start=1)
        ),
    )


def is_doubtful(wrong: InvalidInput) -> bool:
    """Return whether all that is wrong is a time that can be kept once it is confirmed."""
    return all(
        problem.where == "finish_time_s" and "confirm it" in problem.remedy
        for problem in wrong.problems
    )


def time_source(answers: Answers) -> str:
    """Return what the time was taken with; typed where the form does not say."""
    said = answers.text("how")
    return said if said in set(TimedBy) else str(TimedBy.TYPED)


def moment_of(answers: Answers, now: datetime) -> datetime:
    """Return when an entry was made that may have waited on the phone.

    The phone says how long it waited, not when it was, so that its clock may be wrong.
    """
    try:
        waited_s = float(answers.text("waited_s") or 0.0)
    except ValueError:
        return now
    if not (math.isfinite(waited_s) and 0.0 <= waited_s <= _LONGEST_WAIT.total_seconds()):
        return now
    return now - timedelta(seconds=waited_s)


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.10g}"
