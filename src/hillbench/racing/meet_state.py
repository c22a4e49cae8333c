"""A meet as it stands: what its journal adds up to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from hillbench.errors import InvalidInput, Problem
from hillbench.racing.counts import EMPTY, Heat
from hillbench.racing.format import OF_TWO, Format
from hillbench.racing.scrutiny import Verdict

STAGE_HEATS = "heats"
STAGE_FINAL = "final"
STAGE_LADDER = "ladder"

NOT_STARTED = "did not start"
"""Note of a car that was not there: it has not run and gets its run later."""


@dataclass(frozen=True, slots=True)
class MeetSettings:
    """How a meet is run and ranked.

    Attributes
    ----------
    format
        The format.
    lanes
        Lanes of the track, or cars side by side where there are none.
    rounds
        Runs of each car on each lane, in heats.
    timed
        Whether times are taken; otherwise places.
    open_track
        Whether there are no lanes.
    meet_equally
        Whether equal meetings go before rest.
    finalists, final_rounds
        Cars of a timed final, and rounds of it.
    score, drop, points, ties
        The club's own rule; see `hillbench.racing.official.Rule`.
    must_pass
        Whether only cars that passed scrutiny are drawn.
    """

    format: Format = Format.TIMED_HEATS_FINAL
    lanes: int = 4
    rounds: int = 1
    timed: bool = True
    open_track: bool = False
    meet_equally: bool = False
    finalists: int = 4
    final_rounds: int = 1
    score: str = "mean"
    drop: int = 0
    points: tuple[float, ...] = (4.0, 3.0, 2.0, 1.0)
    ties: tuple[str, ...] = ("best time", "second best time")
    must_pass: bool = False

    def __post_init__(self) -> None:
        limits = {"lanes": (1, 8), "rounds": (1, 12), "finalists": (2, 8), "final_rounds": (1, 4)}
        problems = [
            Problem(name, str(getattr(self, name)), f"{low} to {high}")
            for name, (low, high) in limits.items()
            if not low <= getattr(self, name) <= high
        ]
        if self.format in OF_TWO and self.lanes < 2:
            problems.append(Problem("lanes", "1", "2 or more, for cars that run side by side"))
        if self.open_track and self.format not in OF_TWO:
            allowed = "one of: " + ", ".join(sorted(OF_TWO))
            problems.append(Problem("format", f"{self.format}, without lanes", allowed))
        if not 0 <= self.drop <= 20:
            problems.append(Problem("drop", str(self.drop), "0 to 20"))
        if problems:
            raise InvalidInput(problems)

    @classmethod
    def stored(cls, payload: Mapping[str, Any]) -> MeetSettings:
        """Return settings that were kept as JSON."""
        fields = dict(payload)
        fields["format"] = Format(fields["format"])
        fields["points"] = tuple(fields["points"])
        fields["ties"] = tuple(fields["ties"])
        return cls(**fields)


@dataclass(slots=True)
class Sheet:
    """One scrutiny of a car, signed.

    Attributes
    ----------
    seq, at_s, by
        Line of the journal, when, and by whom.
    verdict, reasons
        What it said and why.
    readings, answers
        What was measured and ticked.
    photo_sha256
        The photo taken; empty for none.
    """

    seq: int
    at_s: float
    by: str
    verdict: Verdict
    reasons: tuple[str, ...]
    readings: dict[str, list[float]]
    answers: dict[str, bool]
    photo_sha256: str = ""


@dataclass(slots=True)
class Entry:
    """A car entered.

    Attributes
    ----------
    car
        Its number at the meet, from 1.
    name, owner
        Of the car; the owner may be empty.
    car_id
        The car on the bench; None for a guest.
    late, withdrawn, absent
        Entered after the draw; out; not here just now.
    posted, received, sent_back
        Sent by post, arrived, on its way back.
    sheets
        Its scrutinies, latest last.
    """

    car: int
    name: str
    owner: str = ""
    car_id: int | None = None
    late: bool = False
    withdrawn: bool = False
    absent: bool = False
    posted: bool = False
    received: bool = False
    sent_back: bool = False
    sheets: list[Sheet] = field(default_factory=list)

    @property
    def verdict(self) -> Verdict:
        """What scrutiny said last."""
        return self.sheets[-1].verdict if self.sheets else Verdict.OPEN


@dataclass(slots=True)
class Row:
    """What one car did in a heat.

    Attributes
    ----------
    car, lane
        The car and its lane.
    time_s
        Time, s; None without a finish, or where places are taken.
    place
        Place across the line; None where times are taken, or without a finish.
    note
        clean, snag, off track, no finish or did not start.
    seq
        Line of the journal that says so.
    edits
        What it said before, and why it was changed, earliest first.
    """

    car: int
    lane: int
    time_s: float | None
    place: int | None
    note: str
    seq: int
    edits: list[tuple[str, str]] = field(default_factory=list)

    @property
    def finished(self) -> bool:
        """Whether it has a time or a place."""
        return self.time_s is not None or self.place is not None

    def told(self) -> str:
        """Return it in words."""
        if self.time_s is not None:
            return f"{self.time_s:.3f} s" + (f", {self.note}" if self.note != "clean" else "")
        return f"place {self.place}" if self.place is not None else self.note


@dataclass(slots=True)
class MeetHeat:
    """A heat that was started, or is to be run again.

    Attributes
    ----------
    number
        Its number, kept when it is run again.
    stage
        heats, final or ladder.
    cars
        Car numbers by lane, 0 for an empty lane.
    match, race
        Of the ladder; None elsewhere.
    rows
        What each lane did, by lane.
    started_at_s
        When it was let go; None while it is to be run again.
    false_starts
        How often the start was called back.
    void
        Rows of earlier runs of it, with the reason why they do not count.
    """

    number: int
    stage: str
    cars: Heat
    match: int | None = None
    race: int = 0
    rows: dict[int, Row] = field(default_factory=dict)
    started_at_s: float | None = None
    false_starts: int = 0
    void: list[tuple[dict[int, Row], str]] = field(default_factory=list)

    @property
    def missing(self) -> tuple[int, ...]:
        """Lanes from which nothing has come yet."""
        lanes = enumerate(self.cars, start=1)
        return tuple(lane for lane, car in lanes if car != EMPTY and lane not in self.rows)

    @property
    def done(self) -> bool:
        """Whether every lane has told."""
        return not self.missing

    @property
    def running(self) -> bool:
        """Whether it was let go and some lane has yet to tell."""
        return self.started_at_s is not None and not self.done


@dataclass(frozen=True, slots=True)
class Planned:
    """A heat to come.

    Attributes
    ----------
    number, stage, cars, match, race
        As in `MeetHeat`.
    again
        Whether it was run already and does not count.
    """

    number: int
    stage: str
    cars: Heat
    match: int | None = None
    race: int = 0
    again: bool = False


@dataclass(slots=True)
class Protest:
    """A protest and what was decided.

    Attributes
    ----------
    seq, at_s
        Line of the journal and when.
    car, heat
        The car that is protested against and the heat; 0 for no heat.
    by, text
        Who protests, and why.
    ruling
        What was decided; empty while it is open.
    """

    seq: int
    at_s: float
    car: int
    heat: int
    by: str
    text: str
    ruling: str = ""


@dataclass(slots=True)
class MeetState:
    """A meet as it stands after some line of its journal.

    Attributes
    ----------
    seq
        The last line read.
    settings
        How it is run.
    entries
        Cars by number.
    closed_lanes
        Lanes out of order.
    heats
        Heats started, by number.
    plan
        Heats drawn and not started.
    seeds
        Cars of the ladder in the order of their seeding; empty before it is drawn.
    finalists
        Cars of the final; empty before it is drawn.
    protests
        In the order made.
    drawn
        Whether heats were drawn.
    closed
        Whether the meet is over.
    """

    seq: int = 0
    settings: MeetSettings = field(default_factory=MeetSettings)
    entries: dict[int, Entry] = field(default_factory=dict)
    closed_lanes: set[int] = field(default_factory=set)
    heats: dict[int, MeetHeat] = field(default_factory=dict)
    plan: list[Planned] = field(default_factory=list)
    seeds: tuple[int, ...] = ()
    finalists: tuple[int, ...] = ()
    protests: list[Protest] = field(default_factory=list)
    drawn: bool = False
    closed: bool = False

    @property
    def running(self) -> MeetHeat | None:
        """The heat on the track; None between heats."""
        return next((heat for heat in self.heats.values() if heat.running), None)

    def active(self) -> tuple[int, ...]:
        """Return the numbers of the cars that go on."""
        return tuple(car for car, entry in self.entries.items() if not entry.withdrawn)
