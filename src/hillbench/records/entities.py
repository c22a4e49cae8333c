"""Plain values that the stores return: what the bench book knows about each thing."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from hillbench.coasting.track import Track
from hillbench.timing.run import RunNote as RunNote  # noqa: PLC0414 (kept with a run here too)
from hillbench.uncertainty import Estimate, repeated_reading


class Kind(StrEnum):
    """Every kind of thing that can be removed and restored."""

    TRACK = "track"
    CASTING = "casting"
    CAR = "car"
    WEIGHING = "weighing"
    READING = "reading"
    PHOTO = "photo"
    TIMED_RUN = "timed_run"
    OUTING = "outing"
    IMPORT_RULE = "import_rule"
    FORECAST = "forecast"
    SPIN_DOWN = "spin_down"
    ROLL_TEST = "roll_test"
    COAST_OUT = "coast_out"
    RUB_CHECK = "rub_check"
    DRAWER_ITEM = "drawer_item"
    BUILD = "build"
    BUILD_STEP = "build_step"
    BUILD_TEMPLATE = "build_template"
    CAVITY = "cavity"
    BALLAST_PLAN = "ballast_plan"
    DECAL_PANEL = "decal_panel"
    DECAL_ART = "decal_art"
    LIVERY = "livery"
    RACE_CLASS = "race_class"
    SEASON = "season"
    MEET = "meet"

    @property
    def word(self) -> str:
        """The kind as it is said in a sentence."""
        words = {
            Kind.TIMED_RUN: "run",
            Kind.IMPORT_RULE: "rule for reading times",
            Kind.SPIN_DOWN: "spin-down",
            Kind.ROLL_TEST: "roll test",
            Kind.COAST_OUT: "coast-out",
            Kind.RUB_CHECK: "rub check",
            Kind.BALLAST_PLAN: "ballast plan",
            Kind.DECAL_PANEL: "panel",
            Kind.DECAL_ART: "art",
            Kind.RACE_CLASS: "class",
            Kind.DRAWER_ITEM: "drawer item",
            Kind.BUILD_STEP: "step",
            Kind.BUILD_TEMPLATE: "template",
        }
        return words.get(self, str(self))


class TimedBy(StrEnum):
    """What a finish time was taken with."""

    TIMER = "timer"
    TYPED = "typed"
    PHONE = "phone"


@dataclass(frozen=True, slots=True)
class TrackRecord:
    """A track in its newest version, or in an older one where that was asked for.

    Attributes
    ----------
    id, version_id
        Of the track, and of this version of it.
    number
        Number of this version, from 1.
    rolling_resistance, wall_friction
        Of the track's surface and walls; see `hillbench.coasting.losses.Losses`.
    latitude_deg, altitude_m, temperature_c
        Where it stands and how warm it is there; None where not known.
    created_at, changed_at, removed_at
        UTC; `removed_at` is None while the track is in use.
    version_at
        When it became what it is in this version, UTC.
    """

    id: int
    version_id: int
    name: str
    note: str
    number: int
    track: Track
    rolling_resistance: float
    wall_friction: float
    latitude_deg: float | None
    altitude_m: float | None
    temperature_c: float | None
    created_at: datetime
    changed_at: datetime
    version_at: datetime
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class CastingRecord:
    """A casting: a model of car."""

    id: int
    name: str
    note: str
    created_at: datetime
    changed_at: datetime
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class CarRecord:
    """A car: one physical sample of a casting."""

    id: int
    casting_id: int
    casting_name: str
    name: str
    note: str
    created_at: datetime
    changed_at: datetime
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Weighing:
    """One weighing of a car: every reading of the scale, as read.

    Attributes
    ----------
    scale_resolution_g
        Smallest step of the scale, g.
    readings_g
        In the order read, g.
    """

    id: int
    car_id: int
    at: datetime
    scale_resolution_g: float
    readings_g: tuple[float, ...]
    note: str
    removed_at: datetime | None = None

    def estimate(self) -> Estimate:
        """Return the mass with its standard uncertainty, g."""
        return repeated_reading(self.readings_g, self.scale_resolution_g)


@dataclass(frozen=True, slots=True)
class Reading:
    """One quantity of a car, as read.

    Attributes
    ----------
    quantity
        Name of the quantity with its unit, as in `hillbench.records.quantities`.
    value
        In that unit.
    resolution
        Smallest step of the instrument, same unit; None where not known.
    """

    id: int
    car_id: int
    quantity: str
    value: float
    resolution: float | None
    at: datetime
    note: str
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo of a car, a track or a casting; the file is found by its `sha256`.

    Attributes
    ----------
    sha256
        Of the file as it was given, 64 hexadecimal digits.
    media_type
        ``image/jpeg``, ``image/png`` or ``image/webp``.
    width_px, height_px
        Size of the upright picture.
    """

    id: int
    car_id: int | None
    track_id: int | None
    casting_id: int | None
    sha256: str
    media_type: str
    width_px: int
    height_px: int
    caption: str
    at: datetime
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class TimedRun:
    """One descent of one car, timed.

    Attributes
    ----------
    finish_time_s
        Time from start to finish, s; None where it did not finish.
    at
        When it was run, or entered where nothing better is known.
    outing_id, number
        The outing it belongs to and its number in it, from 1, in the order entered; None for
        a run noted by itself.
    lane
        Lane it ran on; None where there is only one, or it was not noted.
    entry_key
        Given by the device that entered it, so that the same entry is kept once.
    time_source
        What the time was taken with.
    time_uncertainty_s
        Standard uncertainty of the time, s; None where not known.
    gate_times_s
        Time at each gate of the track as it was then, s, None where it was not taken; empty
        where no gate was read.
    """

    id: int
    track_version_id: int
    track_id: int
    car_id: int
    finish_time_s: float | None
    note: RunNote
    at: datetime
    removed_at: datetime | None = None
    outing_id: int | None = None
    number: int | None = None
    lane: str | None = None
    entry_key: str | None = None
    time_source: TimedBy = TimedBy.TYPED
    time_uncertainty_s: float | None = None
    gate_times_s: tuple[float | None, ...] = ()


@dataclass(frozen=True, slots=True)
class RemovedThing:
    """Something that was removed and can be brought back.

    Attributes
    ----------
    title
        What it is, in words: its name, or what it says about which car.
    """

    kind: Kind
    id: int
    title: str
    removed_at: datetime
