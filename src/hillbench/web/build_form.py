"""The form that plans a build: read into an entry, and shown again."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, datetime, time
from typing import Final

from hillbench import units
from hillbench.building.plan import Fixing
from hillbench.errors import Problem
from hillbench.records.build_entities import BuildRecord
from hillbench.usecases.begin_build import clock_words
from hillbench.usecases.build_entry import BuildEntry, BuildTerms, PieceEntry
from hillbench.usecases.list_goals import Goals
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again
from hillbench.web.typed import Answers, default_unit

LABELS: Final = {
    "name": "The name",
    "note": "The note",
    "limit_g": "The limit",
    "other_scale_step_g": "The step of the scale that decides",
    "meet_at": "The day it must be ready",
    "bench_from": "The time the bench opens",
    "bench_to": "The time the bench closes",
    "material": "The material",
    "rivets": "The number of rivets",
    "rivet_head_mm": "The diameter of a rivet’s head",
    "rivet_head_height_mm": "The height of a rivet’s head",
    "screws": "The number of screws",
    "thread": "The thread",
    "drill": "The drill",
    "screw_length_mm": "The length of the screw",
    "base_thickness_mm": "The thickness of the base",
    "post_height_mm": "The height of the post",
    "trim_g": "What is trimmed",
    "trim_text": "What is trimmed",
    "use_ballast_plan": "The ballast plan",
    "wheel_amount": "The number of wheels",
    "wheel_change_g": "The change of mass by the wheels",
    "decals": "The number of decals",
    "graphite_rounds": "The number of graphite rounds",
}
"""What each field is called in sentences."""

_LENGTHS: Final = (
    *("rivet_head_mm", "rivet_head_height_mm"),
    *("screw_length_mm", "base_thickness_mm", "post_height_mm"),
)
_COUNTS: Final = ("rivets", "screws", "decals", "graphite_rounds")
_CHOSEN: Final = ("screw_item_id", "wheel_item_id", "film_item_id", "lubricant_item_id")
_MORNING: Final = time(8, 0)
"""When a car must be ready on the day of its meet."""

_TIME: Final = re.compile(r"([01]?\d|2[0-4]):([0-5]\d)")


def read_entry(answers: Answers) -> BuildEntry:
    """Return what a build is to do as a form holds it; problems stay with the answers.

    Parameters
    ----------
    answers
        The form.
    """
    lengths = {name: _length(answers, name) for name in _LENGTHS}
    counts = {name: _count(answers, name) for name in _COUNTS}
    chosen = {name: _number(answers.text(name)) for name in _CHOSEN}
    trim_g = answers.quantity("trim_g", units.MASS, required=False) or 0.0
    change_g = answers.quantity("wheel_change_g", units.MASS, required=False) or 0.0
    wheels = answers.quantity("wheel_amount", units.NUMBER, required=False)
    return BuildEntry(
        material=answers.text("material") or "zinc",
        thread=answers.text("thread").strip(),
        drill=answers.text("drill").strip(),
        formed=answers.text("formed") == "on",
        screw_head=answers.text("screw_head") or "pan",
        trim_g=trim_g,
        trim_text=answers.text("trim_text"),
        use_ballast_plan=answers.text("use_ballast_plan") == "on",
        pieces=tuple(_pieces(answers)),
        fixing=Fixing(answers.choice("fixing", [str(one) for one in Fixing])),
        wheel_amount=4.0 if wheels is None else wheels,
        wheel_change_g=change_g,
        decals_sealed=answers.text("decals_sealed") == "on",
        rivet_head_mm=lengths["rivet_head_mm"],
        rivet_head_height_mm=lengths["rivet_head_height_mm"],
        screw_length_mm=lengths["screw_length_mm"],
        base_thickness_mm=lengths["base_thickness_mm"],
        post_height_mm=lengths["post_height_mm"],
        rivets=counts["rivets"],
        screws=counts["screws"],
        decals=counts["decals"],
        graphite_rounds=counts["graphite_rounds"],
        screw_item_id=chosen["screw_item_id"],
        wheel_item_id=chosen["wheel_item_id"],
        film_item_id=chosen["film_item_id"],
        lubricant_item_id=chosen["lubricant_item_id"],
    )


def read_terms(answers: Answers, goals: Goals) -> BuildTerms:
    """Return what a build is called and held to; problems stay with the answers.

    Parameters
    ----------
    answers
        The form.
    goals
        Classes and meets, which give limit and day where those are left empty.
    """
    step_g = answers.quantity("other_scale_step_g", units.MASS, required=False)
    limit_g = answers.quantity("limit_g", units.MASS, required=False)
    meet_at = _moment(answers, "meet_at")
    race_class = next((o for o in goals.classes if str(o.id) == answers.text("class_id")), None)
    meet = next((one for one in goals.meets if str(one.id) == answers.text("meet_id")), None)
    if limit_g is None and race_class is not None:
        limit_g = race_class.limit_g
    if limit_g is None and meet is not None:
        limit_g = meet.limit_g
    if meet_at is None and meet is not None:
        morning = datetime.combine(meet.held_on, _MORNING)  # by the clock on the wall
        meet_at = morning.astimezone(UTC)
    return BuildTerms(
        name=answers.text("name"),
        note=answers.text("note"),
        limit_g=limit_g,
        other_scale_step_g=0.1 if step_g is None else step_g,
        meet_at=meet_at,
        bench_from_minute=_minute(answers, "bench_from", 19 * 60),
        bench_to_minute=_minute(answers, "bench_to", 21 * 60 + 30),
    )


def held_entry(entry: BuildEntry, preferences: Preferences) -> dict[str, str]:
    """Return the texts of a form that shows an entry.

    Parameters
    ----------
    entry
        The entry.
    preferences
        Units of the reader.
    """
    length = default_unit(units.LENGTH, preferences)
    mass = default_unit(units.MASS, preferences)
    held = {
        name: "" if value is None else typed_again(value, units.LENGTH, length)
        for name in _LENGTHS
        for value in [getattr(entry, name)]
    }
    held |= {name: str(getattr(entry, name) or "") for name in (*_COUNTS, *_CHOSEN)}
    held |= {name: getattr(entry, name) for name in ("material", "thread", "drill", "trim_text")}
    held |= {"screw_head": entry.screw_head, "fixing": str(entry.fixing)}
    held["trim_g"] = typed_again(entry.trim_g, units.MASS, mass) if entry.trim_g else ""
    change = entry.wheel_change_g
    held["wheel_change_g"] = typed_again(change, units.MASS, mass) if change else ""
    held["wheel_amount"] = f"{entry.wheel_amount:g}"
    for name in ("formed", "use_ballast_plan", "decals_sealed"):
        held[name] = "on" if getattr(entry, name) else ""
    held |= {f"piece-{one.item_id}": str(one.count) for one in entry.pieces}
    return held


def held_terms(build: BuildRecord, preferences: Preferences) -> dict[str, str]:
    """Return the texts of a form that shows the terms of a build.

    Parameters
    ----------
    build
        The build.
    preferences
        Units of the reader.
    """
    mass = default_unit(units.MASS, preferences)
    limit = build.limit_g
    meet = build.meet_at
    return {
        "name": build.name,
        "note": build.note,
        "limit_g": "" if limit is None else typed_again(limit, units.MASS, mass),
        "other_scale_step_g": typed_again(build.other_scale_step_g, units.MASS, mass),
        "meet_at": "" if meet is None else f"{meet.astimezone():%Y-%m-%dT%H:%M}",
        "bench_from": clock_words(build.bench_from_minute),
        "bench_to": clock_words(build.bench_to_minute),
    }


def _length(answers: Answers, name: str) -> float | None:
    length_mm = answers.quantity(name, units.LENGTH, required=False)
    return None if length_mm is None else round(length_mm, 6)


def _count(answers: Answers, name: str) -> int:
    number = answers.quantity(name, units.NUMBER, required=False)
    if number is None:
        return 0
    if number != int(number):
        answers.problems.append(Problem(name, f"{number:g}", "a whole number"))
    return int(number)


def _number(text: str) -> int | None:
    return int(text) if text.isdecimal() and len(text) < 16 else None


def _pieces(answers: Answers) -> Sequence[PieceEntry]:
    found = []
    for name, text in answers.as_typed.pairs:
        item_id = _number(name.removeprefix("piece-"))
        if not name.startswith("piece-") or item_id is None or not text.strip():
            continue
        count = _number(text.strip())
        if count is None:
            answers.problems.append(Problem(name, repr(text), "a whole number of pieces"))
        elif count:
            found.append(PieceEntry(item_id, count))
    return found


def _moment(answers: Answers, name: str) -> datetime | None:
    text = answers.text(name).strip()
    if not text:
        return None
    try:
        return datetime.fromisoformat(text).astimezone(UTC)
    except (ValueError, OverflowError):
        allowed = "a day and time such as 2026-12-05 10:00"
        answers.problems.append(Problem(name, repr(text), allowed))
        return None


def _minute(answers: Answers, name: str, usual: int) -> int:
    text = answers.text(name).strip()
    if not text:
        return usual
    match = _TIME.fullmatch(text)
    if match is None:
        answers.problems.append(Problem(name, repr(text), "a time of the day such as 19:00"))
        return usual
    return int(match[1]) * 60 + int(match[2])
