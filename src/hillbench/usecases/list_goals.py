"""What a build can be built to: the classes with a limit of mass, and the meets to come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy.orm import Session

from hillbench.records import meet_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import RaceClass


@dataclass(frozen=True, slots=True)
class ClassGoal:
    """A class that limits the mass.

    Attributes
    ----------
    limit_g
        Most mass, g.
    """

    id: int
    name: str
    limit_g: float


@dataclass(frozen=True, slots=True)
class MeetGoal:
    """A meet to come.

    Attributes
    ----------
    held_on
        Its day.
    limit_g
        Most mass of its class, g; None where it limits none.
    """

    id: int
    name: str
    held_on: date
    limit_g: float | None


@dataclass(frozen=True, slots=True)
class Goals:
    """All that a build can be built to.

    Attributes
    ----------
    classes
        By name.
    meets
        The next first.
    """

    classes: tuple[ClassGoal, ...]
    meets: tuple[MeetGoal, ...]


def list_goals(book: BenchBook, now: datetime) -> Goals:
    """Return the classes that limit the mass today, and the meets from today on."""
    today = now.astimezone().date()
    with book.read() as session:
        known = [one for one in meet_store.list_classes(session) if one.holds_on(today)]
        classes = tuple(
            ClassGoal(one.id, one.name, limit_g)
            for one in known
            if (limit_g := most_mass_g(one)) is not None
        )
        meets = [
            MeetGoal(one.id, one.name, one.held_on, _limit_g(session, one.race_class_id))
            for one in meet_store.list_meets(session)
            if one.held_on >= today
        ]
    return Goals(classes, tuple(sorted(meets, key=lambda one: (one.held_on, one.id))))


def most_mass_g(race_class: RaceClass) -> float | None:
    """Return the most that a car of a class may weigh, g; None where it limits none.

    Parameters
    ----------
    race_class
        The class.
    """
    limits = (limit for limit in race_class.rules.limits if limit.quantity == "mass_g")
    return next((limit.most for limit in limits), None)


def _limit_g(session: Session, class_id: int | None) -> float | None:
    return None if class_id is None else most_mass_g(meet_store.find_class(session, class_id))
