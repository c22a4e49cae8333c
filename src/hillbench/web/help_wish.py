"""What the builder is after, as typed: target, limit, minutes of work and what ranks first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final
from urllib.parse import urlencode

from hillbench import units
from hillbench.coasting.car import CAR_RANGES
from hillbench.fitting.advice import Rank
from hillbench.fitting.cost import Work
from hillbench.records.meet_entities import RaceClass
from hillbench.records.quantities import check_range
from hillbench.usecases.advice_question import MOST_MINUTES, WorkMinutes
from hillbench.usecases.advise_car import Wish
from hillbench.usecases.note_run import TIME_RANGE_S
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Answers, Typed

WORK_LABELS: Final = {
    Work.WEIGHT: "Add weight",
    Work.BALANCE: "Move weight",
    Work.LUBRICATION: "Lubricate",
    Work.AXLES: "Straighten axles",
    Work.WHEELS: "Change wheels",
    Work.AIR: "Trim for the air",
}
"""Each kind of work as the form names it."""

_MINUTES: Final = units.Dimension("time", {"min": 1.0, "minutes": 1.0, "h": 60.0, "s": 1.0 / 60.0})
_FIELDS: Final = {
    "target_time_s": "Target time",
    "mass_limit_g": "Most mass allowed",
    **{f"{work}_min": label for work, label in WORK_LABELS.items()},
}


def read_wish(
    typed: Sequence[tuple[str, str]], preferences: Preferences, classes: Sequence[RaceClass]
) -> tuple[Answers, Wish]:
    """Return what was typed and what it says; problems are in the answers.

    `classes` are those that the builder may choose from.
    """
    answers = Answers("wish", tuple(typed), preferences, _FIELDS)
    target_s = answers.quantity("target_time_s", units.TIME, required=False)
    limit_g = answers.quantity("mass_limit_g", units.MASS, required=False)
    if target_s is not None:
        answers.problems += check_range("target_time_s", target_s, TIME_RANGE_S)
    if limit_g is not None:
        answers.problems += check_range("mass_limit_g", limit_g, CAR_RANGES["mass_g"])
    minutes = {}
    for work in Work:
        taken = answers.quantity(f"{work}_min", _MINUTES, unit="min", required=False)
        if taken is not None:
            allowed = (0.0, MOST_MINUTES, "min")
            answers.problems += check_range(f"{work}_min", taken, allowed)
            minutes[work.value] = taken
    rank = Rank.GAIN_PER_MINUTE if answers.text("rank") == Rank.GAIN_PER_MINUTE else Rank.GAIN
    wish = Wish(target_s, limit_g, minutes=WorkMinutes(**minutes), rank=rank)
    chosen = [one for one in classes if str(one.id) == answers.text("race_class")]
    return answers, wish.in_class(chosen[0].rules) if chosen else wish


def wish_fields(typed: Typed) -> tuple[tuple[str, str], ...]:
    """Return each field that was filled in, to be sent along."""
    names = (*_FIELDS, "race_class", "rank")
    return tuple((name, typed.value(name)) for name in names if typed.value(name).strip())


def wish_query(typed: Typed, **other: str) -> str:
    """Return the wish as the query of an address; empty for no wish."""
    given = dict(wish_fields(typed)) | other
    filled = {name: text for name, text in given.items() if text}
    return f"?{urlencode(filled)}" if filled else ""
