"""Three builds of the invented club: one finished, one in hand, one that the scale doubts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Final

from sqlalchemy.orm import Session

from hillbench.building.plan import Fixing
from hillbench.demo.stock import fill_drawer
from hillbench.records import build_store, build_template_store, drawer_store
from hillbench.records.build_entities import BuildRecord, BuildState, StepRecord
from hillbench.usecases.build_entry import BuildEntry, PieceEntry
from hillbench.usecases.plan_build import plan_in

_SCALE_STEP_G: Final = 0.01
_STEP_TAKES: Final = timedelta(minutes=11)


@dataclass(frozen=True, slots=True)
class Worked:
    """How far a build has come.

    Attributes
    ----------
    car, name
        The car and what the build is called.
    begun
        How long ago it was begun.
    done
        Keys of the steps that are done, in order.
    weighed_g
        What the scale said, by key.
    notes
        What was noted, by key.
    limit_g
        Most mass of the class, g.
    ready_in_days
        Days until it must be ready; None where nothing presses.
    pieces
        Pieces of weight by name, where no ballast plan is used.
    more
        What else is entered.
    """

    car: str
    name: str
    begun: timedelta
    done: tuple[str, ...]
    weighed_g: Mapping[str, tuple[float, ...]]
    notes: Mapping[str, str]
    limit_g: float
    ready_in_days: int | None = None
    pieces: Mapping[str, int] = field(default_factory=dict)
    more: Mapping[str, Any] = field(default_factory=dict)


_OPEN: Final = ("choose", "weigh bare", "pilot", "head", "lift", "thread hole", "tap", "deburr")
_ROUNDS: Final = ("graphite 1", "graphite 2")

_BUILDS: Final = (
    Worked(
        car="Rhubarb",
        name="Weight on the base",
        begun=timedelta(days=23),
        done=(
            *(*_OPEN, "weigh open", "fit 1", "fit 2", "rub check", "close", *_ROUNDS),
            *("roll test", "weigh", "prove"),
        ),
        weighed_g={
            "weigh bare": (34.18, 34.17),
            "weigh open": (33.81,),
            "weigh": (46.05, 46.06, 46.05),
        },
        notes={
            "deburr": "A chip in the front axle: washed out with soap.",
            "roll test": "Drifts 3 mm left on a metre either way round.",
        },
        limit_g=57.0,
        pieces={"lead quarter ounce": 1, "tungsten cube 5 mm": 2},
    ),
    Worked(
        car="Second Helping",
        name="Up to sixty",
        begun=timedelta(days=6),
        done=(*_OPEN, "trim", "weigh open", "fit 1"),
        weighed_g={
            "weigh bare": (34.61, 34.60),
            "weigh open": (32.62, 32.62),
            "fit 1": (46.81,),
        },
        notes={"fit 1": "All under the cabin."},
        limit_g=60.0,
        pieces={"lead quarter ounce": 3, "steel bar": 1},
        more={"trim_g": 1.7, "trim_text": "the seats"},
    ),
    Worked(
        car="Late Edition",
        name="Opened for the first time",
        begun=timedelta(hours=4),
        done=(*_OPEN, "weigh open", "decals"),
        weighed_g={"weigh bare": (30.95, 30.95, 30.96), "weigh open": (30.57,)},
        notes={"thread hole": "Tape ring on the drill at the depth; rear post first."},
        limit_g=57.0,
        ready_in_days=4,
        more={
            "use_ballast_plan": True,
            "decals": 6,
            "fixing": Fixing.CYANOACRYLATE,
        },
    ),
)
"""The last of them is the one in hand; its decals are drying."""


def fill_builds(session: Session, car_ids: Mapping[str, int], now: datetime) -> None:
    """Add the drawer, the builds and a template.

    Parameters
    ----------
    session
        A session that writes.
    car_ids
        Number of each car by its name.
    now
        Present moment, UTC.
    """
    items = fill_drawer(session, now)
    for worked in _BUILDS:
        build = _begin(session, car_ids[worked.car], worked, items, now)
        _work(session, build, worked, now)
    usual = build_store.list_steps(session, build.id)
    build_template_store.add_template(
        session, "A first opening", "With decals and graphite.", [one.step for one in usual], now
    )


def _begin(
    session: Session, car_id: int, worked: Worked, items: Mapping[str, int], now: datetime
) -> BuildRecord:
    values: dict[str, Any] = {
        "rivets": 2,
        "rivet_head_mm": 4.2,
        "rivet_head_height_mm": 1.1,
        "screws": 2,
        "thread": "2-56",
        "screw_length_mm": 6.35,
        "base_thickness_mm": 1.1,
        "post_height_mm": 7.5,
        "screw_item_id": items["2-56 × 1/4 in pan"],
        "pieces": tuple(PieceEntry(items[name], count) for name, count in worked.pieces.items()),
        "film_item_id": items["clear decal film A5"],
        "graphite_rounds": 2,
        "lubricant_item_id": items["dry graphite"],
        **worked.more,
    }
    entry = BuildEntry(**values)
    begun_at = now - worked.begun
    ready_at = None
    if worked.ready_in_days is not None:
        day = now + timedelta(days=worked.ready_in_days)
        ready_at = day.replace(hour=10, minute=0, second=0, microsecond=0)
    terms = {"plan": entry.to_plain(), "limit_g": worked.limit_g, "meet_at": ready_at}
    steps = plan_in(session, car_id, entry, worked.limit_g).steps
    return build_store.add_build(session, car_id, worked.name, steps, begun_at, terms)


def _work(session: Session, build: BuildRecord, worked: Worked, now: datetime) -> None:
    at = build.created_at
    by_key = {one.step.key: one for one in build_store.list_steps(session, build.id)}
    for key in worked.done:
        at += _STEP_TAKES
        _do(session, build, by_key[key], worked, at)
    finished = len(worked.done) == len(by_key)
    values: dict[str, Any] = {"changed_at": at, "clock_seen_at": at}
    if finished:
        values |= {"state": BuildState.FINISHED, "ended_at": at}
    else:
        values["current_key"] = next(key for key in by_key if key not in worked.done)
    build_store.change_build(session, build.id, values)
    if at > now:
        raise RuntimeError(f"{build.name} is worked on in the future")


def _do(
    session: Session, build: BuildRecord, record: StepRecord, worked: Worked, at: datetime
) -> None:
    step = record.step
    note = f"{build.name}: {step.title}"
    for draw in step.draws:
        drawer_store.draw(
            session, draw.item_id, draw.amount, at, note=note, build_step_id=record.id
        )
    readings = list(worked.weighed_g.get(step.key, ()))
    wait = timedelta(minutes=step.wait_minutes)
    values = {
        "done_at": at,
        "wait_ends_at": at + wait if wait else None,
        "note": worked.notes.get(step.key, ""),
        "readings_g": readings,
        "scale_resolution_g": _SCALE_STEP_G if readings else None,
    }
    build_store.change_step(session, record.id, values)
