"""The invented season: a class, two meets that are over and one that is under way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from typing import Any, Final

import numpy as np
from sqlalchemy.orm import Session

from hillbench.racing.class_rules import ClassRules, Limit
from hillbench.racing.format import Format
from hillbench.racing.meet_event import Draft, Event, EventKind
from hillbench.racing.meet_fold import fold
from hillbench.racing.meet_ranking import rank_officially
from hillbench.racing.meet_state import STAGE_FINAL, STAGE_HEATS, MeetSettings, MeetState
from hillbench.racing.officiate import Told, run_again, start, tell
from hillbench.racing.scrutiny import judge
from hillbench.racing.season import SeasonRule
from hillbench.racing.staging import upcoming
from hillbench.records import meet_journal_store, meet_store

RULES: Final = ClassRules(
    (
        Limit("mass_g", most=60.0),
        Limit("length_mm", most=85.0),
        Limit("width_mm", most=36.0),
        Limit("height_mm", most=40.0),
    ),
    (
        "Body and base are those of one casting of die-cast metal.",
        "Wheels and axles came from a 1:64 car; no bearings were added.",
        "Only dry lubricant.",
        "All weight is fixed; nothing moves or rattles.",
        "No motor, spring, magnet or battery.",
    ),
)

GUESTS: Final = (
    ("Cold Supper", "Wenna"),
    ("Ninth Wave", "Osric"),
    ("Tin Whistle", "Wenna"),
)
"""Cars of visitors, with their owners."""

_SPREAD: Final = 0.007
_RUN: Final = 0.004
_LANES: Final = (0.0, 0.0008, 0.0034, -0.0006)
"""Spreads of cars and runs, and what each lane takes longer, as shares of the time."""

_HEAT_EVERY_S: Final = 130.0
_FIRST_STEPS: Final = {2: (0, 1), 4: (0, 1, 3, 7)}


@dataclass(frozen=True, slots=True)
class MeetPlan:
    """An invented meet.

    Attributes
    ----------
    days_ago
        Days before the present.
    hill
        Its track; empty for one that is not on the bench.
    lanes
        Lanes in use.
    time_s
        What a typical car takes there, s.
    heats
        Heats run before the present; all where None.
    """

    name: str
    note: str
    days_ago: int
    hill: str
    lanes: int
    format: Format
    time_s: float
    heats: int | None = None


MEETS: Final = (
    MeetPlan(
        "Granary meet",
        "Two lanes, a long evening.",
        41,
        "Granary Drop",
        2,
        Format.TIMED_HEATS,
        2.36,
    ),
    MeetPlan(
        "Market hall meet",
        "Four lanes lent by the neighbours.",
        13,
        "",
        4,
        Format.TIMED_HEATS_FINAL,
        6.92,
    ),
    MeetPlan(
        "Harvest hall meet",
        "Under way: the kettle is in the side room.",
        0,
        "",
        4,
        Format.TIMED_HEATS_FINAL,
        6.90,
        heats=7,
    ),
)
"""Earliest first."""


def fill_meets(
    session: Session,
    car_ids: Mapping[str, int],
    track_ids: Mapping[str, int],
    now: datetime,
    rng: np.random.Generator,
) -> None:
    """Add the season to a bench that has its cars and tracks.

    Parameters
    ----------
    session
        A writing session.
    car_ids, track_ids
        Numbers by name.
    now
        The present moment, UTC.
    rng
        Source of the scatter.
    """
    begun = now - timedelta(days=60)
    race_class = meet_store.keep_class(
        session,
        None,
        "Club sixty",
        "At most 60 g, one casting.",
        RULES,
        begun,
        from_on=begun.date(),
    )
    season = meet_store.keep_season(session, None, "Lantern season", "", SeasonRule(drop=1), begun)
    pace = {name: float(rng.normal(0.0, _SPREAD)) for name, _ in GUESTS}
    pace |= {name: float(rng.normal(0.0, _SPREAD)) for name in car_ids}
    for plan in MEETS:
        day = now - timedelta(days=plan.days_ago)
        at = day - timedelta(minutes=50) if plan.heats else day.replace(hour=17)
        meet = meet_store.keep_meet(
            session,
            None,
            plan.name,
            plan.note,
            at.date(),
            at,
            track_id=track_ids.get(plan.hill),
            race_class_id=race_class.id,
            season_id=season.id,
        )
        journal = _Journal(at)
        _run_meet(journal, plan, car_ids, pace, rng)
        for drafts, moment in journal.actions:
            meet_journal_store.append(session, meet.id, drafts, moment, "Ilse, clock", None)


class _Journal:
    """A journal under construction."""

    def __init__(self, begun_at: datetime) -> None:
        self.at = begun_at
        self.actions: list[tuple[tuple[Draft, ...], datetime]] = []
        self._events: list[Event] = []

    def write(self, *drafts: Draft) -> None:
        """Write something at the present moment of the story."""
        self.actions.append((drafts, self.at))
        for draft in drafts:
            seq = len(self._events) + 1
            at_s = self.at.timestamp()
            self._events.append(Event(seq, draft.kind, draft.payload, at_s))

    def wait(self, seconds: float) -> None:
        """Let time go by."""
        self.at += timedelta(seconds=seconds)

    def state(self) -> MeetState:
        """Return the meet so far."""
        return fold(self._events)


def _run_meet(
    journal: _Journal,
    plan: MeetPlan,
    car_ids: Mapping[str, int],
    pace: Mapping[str, float],
    rng: np.random.Generator,
) -> None:
    settings = MeetSettings(plan.format, plan.lanes, score="mean")
    journal.write(Draft(EventKind.SETTINGS, asdict(settings)))
    names = [*((name, "") for name in car_ids), *GUESTS]
    for number, (name, owner) in enumerate(names, start=1):
        journal.write(_entered(number, name, owner, car_ids.get(name)))
    for number, (name, _) in enumerate(names, start=1):
        _scrutinise(journal, number, name, rng)
    cars = list(range(1, len(names) + 1))
    journal.write(_drawn(STAGE_HEATS, 1, _balanced(cars, plan.lanes)))
    journal.wait(600.0)
    by_number = {number: pace[name] for number, (name, _) in enumerate(names, start=1)}
    _run_heats(journal, plan, by_number, rng, plan.heats)
    if plan.heats is not None:
        journal.write(*start(journal.state(), upcoming(journal.state())[0].number))
        return
    if plan.format is Format.TIMED_HEATS_FINAL:
        best = [one.car for one in rank_officially(journal.state())[:4]]
        heats = [best[turn:] + best[:turn] for turn in range(4)]
        first = max(journal.state().heats) + 1
        drawn = _drawn(STAGE_FINAL, first, heats)
        journal.write(Draft(drawn.kind, {**drawn.payload, "finalists": best}))
        _run_heats(journal, plan, by_number, rng, None)
    journal.write(Draft(EventKind.CLOSED))


def _run_heats(
    journal: _Journal,
    plan: MeetPlan,
    pace: Mapping[int, float],
    rng: np.random.Generator,
    most: int | None,
) -> None:
    count = 0
    while (coming := upcoming(journal.state())) and (most is None or count < most):
        heat = coming[0]
        journal.write(*start(journal.state(), heat.number))
        journal.wait(25.0)
        told = [
            _told(lane, plan.time_s, pace[car], rng)
            for lane, car in enumerate(heat.cars, start=1)
            if car
        ]
        journal.write(*tell(journal.state(), heat.number, told))
        journal.wait(_HEAT_EVERY_S + float(rng.normal(0.0, 15.0)))
        count += 1
        if count == 3 and not heat.again:
            reason = "A car from the crowd rolled onto lane 2."
            journal.write(*run_again(journal.state(), heat.number, reason))


def _told(lane: int, typical_s: float, pace: float, rng: np.random.Generator) -> Told:
    fate = rng.random()
    share = 1.0 + pace + _LANES[lane - 1] + float(rng.normal(0.0, _RUN))
    time_s = share * typical_s
    if fate < 0.03:
        return Told(lane, note="off track")
    if fate < 0.08:
        return Told(lane, round(time_s + float(rng.exponential(0.25)), 3), note="snag")
    return Told(lane, round(time_s, 3))


def _scrutinise(journal: _Journal, car: int, name: str, rng: np.random.Generator) -> None:
    heavy = name == "Ninth Wave" and len(journal.state().entries[car].sheets) == 0
    mass_g = 60.31 if heavy else round(float(rng.uniform(52.0, 59.8)), 2)
    readings = {
        "mass_g": [mass_g],
        "length_mm": [round(float(rng.uniform(68.0, 80.0)), 1)],
        "width_mm": [round(float(rng.uniform(28.0, 34.0)), 1)],
        "height_mm": [round(float(rng.uniform(18.0, 32.0)), 1)],
    }
    answers = dict.fromkeys(RULES.questions, True)
    judged = judge(RULES, readings, answers)
    payload: dict[str, Any] = {
        "car": car,
        "signed_by": "Bertram",
        "verdict": str(judged.verdict),
        "reasons": list(judged.reasons()),
        "readings": readings,
        "answers": answers,
        "photo_sha256": "",
    }
    journal.wait(40.0)
    journal.write(Draft(EventKind.SCRUTINY, payload))
    if heavy:
        _scrutinise(journal, car, name, rng)


def _entered(number: int, name: str, owner: str, car_id: int | None) -> Draft:
    payload = {"car": number, "name": name, "owner": owner, "car_id": car_id, "posted": False}
    return Draft(EventKind.ENTERED, payload)


def _drawn(stage: str, first: int, heats: Sequence[Sequence[int]]) -> Draft:
    return Draft(
        EventKind.DRAWN, {"stage": stage, "first": first, "heats": [list(heat) for heat in heats]}
    )


def _balanced(cars: Sequence[int], lanes: int) -> list[list[int]]:
    """Return heats in which every car runs once on every lane: one block, turned round."""
    steps = _FIRST_STEPS[lanes]
    return [
        [cars[(turn + step) % len(cars)] for step in steps] for turn in range(0, len(cars) * 5, 5)
    ]
