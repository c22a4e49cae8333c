"""Race day in the exported bench. Invitations stay on this computer: they are keys."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import AwareDatetime, Field

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.class_rules import rules_from
from hillbench.racing.meet_event import Event, EventKind
from hillbench.racing.meet_fold import fold
from hillbench.racing.season import Absence, SeasonScore
from hillbench.records.document import Document, Id, Named

Day = Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$")]


class ClassLimit(Document):
    """Least and most of one quantity."""

    quantity: str
    """Name with its unit, such as mass_g."""
    least: float | None = None
    """In that unit; null for none."""
    most: float | None = None
    """In that unit; null for none."""


class Rules(Document):
    """What a car of a class must be."""

    limits: list[ClassLimit]
    """On what is measured."""
    questions: list[str]
    """Each answered yes by a car that is in order."""
    scale_guard_g: float
    """Doubt of the scale on each side of a limit, g."""
    caliper_guard_mm: float
    """Doubt of the caliper on each side of a limit, mm."""


class RaceClass(Named):
    """The rules cars are built to."""

    rules: Rules
    """Limits and questions."""
    from_on: Day | None = None
    """First day they hold."""
    until_on: Day | None = None
    """Last day they hold."""
    copied_from_id: Id | None = None
    """The class it began as a copy of."""


class SeasonScoring(Document):
    """How a season is scored."""

    score: SeasonScore
    """Points for places, or the gap to the median car."""
    points: list[float]
    """For places at a meet, from the first."""
    taking_part: float
    """Points for a car that got none for its place."""
    drop: int
    """Meets dropped, the worst ones."""
    absence: Absence
    """What a meet counts at which a car was absent."""
    least_meets: int
    """Meets a car must have run to be placed."""


class Season(Named):
    """Meets that count together."""

    rule: SeasonScoring
    """How it is scored."""


class Meet(Named):
    """A race day."""

    held_on: Day
    """Its day."""
    track_id: Id | None = None
    """The track."""
    race_class_id: Id | None = None
    """The rules."""
    season_id: Id | None = None
    """The season."""


class MeetEvent(Document):
    """One line of the journal of a meet; the meet is what its journal adds up to."""

    id: Id
    """Its number among all."""
    meet_id: Id
    """The meet."""
    seq: Annotated[int, Field(ge=1)]
    """Its number in the meet, from 1, without gaps."""
    batch: Annotated[int, Field(ge=1)]
    """Number of the first line written in the same go."""
    kind: EventKind
    """What happened."""
    payload: dict[str, Any]
    """Its particulars."""
    at: AwareDatetime
    """When it was written."""
    by: str
    """Who wrote it."""
    entry_key: str | None = None
    """Key given by the device that wrote it."""


class ScrutinyPhoto(Document):
    """A photo taken at scrutiny; the file is photos/SHA256 in the zip."""

    id: Id
    """Its number."""
    meet_id: Id
    """The meet."""
    car: Annotated[int, Field(ge=1)]
    """Number of the car at the meet."""
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    """Checksum and name of the file."""
    media_type: Literal["image/jpeg", "image/png", "image/webp"]
    """Type of the file."""
    width_px: Annotated[int, Field(ge=1)]
    """Width of the upright picture, px."""
    height_px: Annotated[int, Field(ge=1)]
    """Height of the upright picture, px."""
    at: AwareDatetime
    """When it was taken."""


def check_meets(
    classes: Sequence[RaceClass], meets: Sequence[Meet], events: Sequence[MeetEvent]
) -> Iterator[Problem]:
    """Yield rules that cannot be, and journals that do not add up to a meet.

    Parameters
    ----------
    classes
        Rules.
    meets
        Meets.
    events
        Their journals.
    """
    for index, one in enumerate(classes):
        try:
            rules_from(one.rules.model_dump())
        except InvalidInput as wrong:
            for problem in wrong.problems:
                yield Problem(
                    f"race_classes[{index}].{problem.where}", problem.seen, problem.allowed
                )
    journals: dict[int, list[MeetEvent]] = {meet.id: [] for meet in meets}
    for event in events:
        if event.meet_id not in journals:
            yield Problem("meet_events", f"meet {event.meet_id}", "a meet of this file")
            return
        journals[event.meet_id].append(event)
    for index, meet in enumerate(meets):
        yield from _check_meet(f"meets[{index}]", meet, journals[meet.id])


def _check_meet(where: str, meet: Meet, journal: list[MeetEvent]) -> Iterator[Problem]:
    try:
        date.fromisoformat(meet.held_on)
    except ValueError:
        yield Problem(f"{where}.held_on", meet.held_on, "a day of the calendar")
    ordered = sorted(journal, key=lambda event: event.seq)
    if [event.seq for event in ordered] != list(range(1, len(ordered) + 1)):
        yield Problem(f"{where}", "a journal with gaps", "lines numbered from 1 without gaps")
        return
    try:
        fold([Event(one.seq, one.kind, one.payload, one.at.timestamp()) for one in ordered])
    except (KeyError, TypeError, ValueError, AttributeError, InvalidInput):
        yield Problem(f"{where}", "a journal that contradicts itself", "one written by the app")
