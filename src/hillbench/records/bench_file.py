"""The exported bench as a JSON document: every part of it with its meaning and unit."""

from __future__ import annotations

from typing import Annotated, Any, Final, Literal

from pydantic import AwareDatetime, Field

from hillbench.records.document import Document, Id, Named, Removable
from hillbench.records.entities import RunNote, TimedBy
from hillbench.records.file_bench_tests import CoastOut, RollTest, RubCheck, SpinDown
from hillbench.records.file_build import Build, BuildStep, BuildTemplate
from hillbench.records.file_cavity import BallastPlan, Cavity
from hillbench.records.file_decals import DecalArt, DecalPanel, Livery
from hillbench.records.file_drawer import DrawerItem, StockMove
from hillbench.records.file_meet import Meet, MeetEvent, RaceClass, ScrutinyPhoto, Season
from hillbench.records.outing_entities import RuleKind

FORMAT: Final = "hillbench bench"
FILE_SCHEMA: Final = 4
"""Number of this format; it grows when a reader of the old one would misread the new one."""


class Casting(Named):
    """A model of car."""


class Car(Named):
    """One physical sample of a casting."""

    casting_id: Id
    """Its casting."""


class Track(Named):
    """A hill; what a run depends on is in its versions."""


class SlopePoint(Document):
    """Slope at one place."""

    at_m: float
    """Distance along the track from the start line, m."""
    slope_deg: float
    """Degrees, positive downhill."""


class HeightPoint(Document):
    """Height at one place."""

    at_m: float
    """Distance along the track from the start line, m."""
    height_m: float
    """Height above any fixed level, m."""


class Bend(Document):
    """A bend whose turn is spread evenly along its length."""

    from_m: float
    """Where it begins, m."""
    to_m: float
    """Where it ends, m."""
    turn_deg: float
    """Turn, degrees, positive to the left."""
    bank_deg: float = 0.0
    """Bank, degrees, positive where the outer side is raised."""


class Geometry(Document):
    """Shape of a track, as in the file of `hillbench coast`."""

    finish_at_m: float
    """Distance of the finish line from the start line, m."""
    slope_points: list[SlopePoint] = []
    """Slopes; empty where heights are given."""
    height_points: list[HeightPoint] = []
    """Heights; empty where slopes are given."""
    bends: list[Bend] = []
    """Bends in any order."""
    gates_at_m: list[float] = []
    """Where time is taken on the way, m."""


class TrackVersion(Document):
    """A track as it was from one change to the next."""

    id: Id
    """Its number; timed runs refer to it."""
    track_id: Id
    """Its track."""
    number: Annotated[int, Field(ge=1)]
    """Number of the version, from 1; the highest is the track as it is now."""
    geometry: Geometry
    """Its shape."""
    rolling_resistance: float
    """Rolling resistance over load."""
    wall_friction: float
    """Coefficient of friction between car and wall."""
    latitude_deg: float | None = None
    """Latitude, degrees."""
    altitude_m: float | None = None
    """Height above the sea, m."""
    temperature_c: float | None = None
    """Air temperature, °C."""
    created_at: AwareDatetime
    """When it became so."""


class Weighing(Removable):
    """One weighing of a car with every reading of the scale."""

    car_id: Id
    """The car."""
    at: AwareDatetime
    """When it was weighed."""
    scale_resolution_g: float
    """Smallest step of the scale, g."""
    readings_g: Annotated[list[float], Field(min_length=1)]
    """Readings in the order read, g."""
    note: str
    """May be empty."""


class Reading(Removable):
    """One quantity of a car, as read."""

    car_id: Id
    """The car."""
    quantity: str
    """Name of the quantity with its unit, such as wheelbase_mm."""
    value: float
    """In that unit."""
    resolution: float | None = None
    """Smallest step of the instrument, same unit."""
    at: AwareDatetime
    """When it was read."""
    note: str
    """May be empty."""


class Photo(Removable):
    """A photo of exactly one car, track or casting; the file is photos/SHA256 in the zip."""

    car_id: Id | None = None
    """The car it shows."""
    track_id: Id | None = None
    """The track it shows."""
    casting_id: Id | None = None
    """The casting it shows."""
    sha256: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
    """Checksum and name of the file."""
    media_type: Literal["image/jpeg", "image/png", "image/webp"]
    """Type of the file."""
    width_px: Annotated[int, Field(ge=1)]
    """Width of the upright picture, px."""
    height_px: Annotated[int, Field(ge=1)]
    """Height of the upright picture, px."""
    caption: str
    """May be empty."""
    at: AwareDatetime
    """When it was taken or kept."""


class TimedRun(Removable):
    """One descent of one car."""

    track_version_id: Id
    """The track as it was then."""
    track_id: Id
    """The track."""
    car_id: Id
    """The car."""
    finish_time_s: float | None = None
    """Time from start to finish, s; null without a finish."""
    note: RunNote
    """How it went."""
    at: AwareDatetime
    """When it was run."""
    outing_id: Id | None = None
    """The outing it belongs to."""
    number: Annotated[int, Field(ge=1)] | None = None
    """Its number in the outing, in the order entered."""
    lane: str | None = None
    """Lane it ran on."""
    entry_key: str | None = None
    """Key given by the device that entered it; no two runs share one."""
    time_source: TimedBy = TimedBy.TYPED
    """What the time was taken with."""
    time_uncertainty_s: float | None = None
    """Standard uncertainty of the time, s."""
    gate_times_s: list[float | None] | None = None
    """Time at each gate of the track as it was then, s, null for one not taken."""


class PlannedTurn(Document):
    """One turn of an outing as planned."""

    start: Annotated[int, Field(ge=1)]
    """Number of the start; cars that run side by side share it."""
    car_id: Id
    """The car."""
    lane: str | None = None
    """The lane it runs on; null where there is only one."""


class Plan(Document):
    """Which cars run, on how many lanes, and in which order."""

    car_ids: list[Id]
    """Cars in the order chosen."""
    lanes: Annotated[int, Field(ge=1)]
    """Lanes in use."""
    together: bool
    """Whether cars start side by side."""
    turns: list[PlannedTurn]
    """The turns to follow; when all are done they begin again."""


class Outing(Removable):
    """Runs made in one go on one track as it was then."""

    track_version_id: Id
    """The track as it was then."""
    track_id: Id
    """The track."""
    begun_at: AwareDatetime
    """When it began."""
    matters_s: float | None = None
    """Gap below which nobody cares, s."""
    temperature_c: float | None = None
    """Air temperature, °C."""
    humidity_percent: float | None = None
    """Relative humidity, %."""
    surface_cleaned: bool | None = None
    """Whether the track was cleaned before."""
    lubricant_note: str = ""
    """What the bearings were lubricated with, and how long ago."""
    note: str = ""
    """May be empty."""
    plan: Plan
    """Which cars run in which order."""


class RunEdit(Document):
    """What a timed run said until it was edited."""

    id: Id
    """Its number; edits of a run stand in the order made."""
    run_id: Id
    """The run."""
    at: AwareDatetime
    """When it was edited."""
    finish_time_s: float | None = None
    """Time until then, s."""
    note: RunNote
    """Note until then."""
    lane: str | None = None
    """Lane until then."""
    car_id: Id
    """Car until then."""
    gate_times_s: list[float | None] | None = None
    """Gate times until then, s."""


class ImportRule(Removable):
    """How times of one origin are read."""

    kind: RuleKind
    """Columns of a table, or lines of a timer."""
    name: str
    """The headings of the table, or what the user called the timer."""
    rule: dict[str, Any]
    """The rule itself."""
    created_at: AwareDatetime
    """When it was first kept."""


class Forecast(Removable):
    """What a change was forecast to gain, kept to be held against the clock."""

    track_version_id: Id
    """The track as it was then."""
    track_id: Id
    """The track."""
    car_id: Id
    """The car."""
    made_at: AwareDatetime
    """When the forecast was made."""
    done_at: AwareDatetime | None = None
    """When the change was made; runs from then on count as after it. Null while it is not."""
    change_name: str
    """The change in words."""
    change: dict[str, Any]
    """The change as in the file of `hillbench advise`."""
    verdict: str
    """What was advised of it."""
    time_s: float
    """Typical time afterwards, s."""
    gain_s: float
    """Time gained, median, s."""
    gain_low_s: float
    """5 % point of the gain, s."""
    gain_high_s: float
    """95 % point of the gain, s."""
    target_time_s: float | None = None
    """Time to be reached, s; null for none."""
    probability_target: Annotated[float, Field(ge=0.0, le=1.0)] | None = None
    """Chance that the typical time reaches it."""


class BenchFile(Document):
    """A whole bench. Every moment is UTC, every number in the unit of its name."""

    format: Literal["hillbench bench"] = FORMAT
    """Says what this file is."""
    file_schema: Annotated[int, Field(ge=1, le=FILE_SCHEMA)] = FILE_SCHEMA
    """Number of this format."""
    program: str
    """Program and version that wrote it."""
    made_at: AwareDatetime
    """When it was written."""
    invented: bool
    """Whether everything in it is invented, as in the demo."""
    castings: list[Casting] = []
    """Castings."""
    cars: list[Car] = []
    """Cars."""
    tracks: list[Track] = []
    """Tracks."""
    track_versions: list[TrackVersion] = []
    """Every version of every track; each track has one or more."""
    weighings: list[Weighing] = []
    """Weighings; the latest of a car counts."""
    readings: list[Reading] = []
    """Readings; the latest of a quantity of a car counts."""
    photos: list[Photo] = []
    """Photos."""
    outings: list[Outing] = []
    """Outings; runs refer to them."""
    timed_runs: list[TimedRun] = []
    """Timed runs."""
    run_edits: list[RunEdit] = []
    """What runs said before they were edited."""
    import_rules: list[ImportRule] = []
    """Remembered rules for reading times."""
    forecasts: list[Forecast] = []
    """Kept forecasts; results of fits are computed again."""
    spin_downs: list[SpinDown] = []
    """Spin-downs of wheels."""
    roll_tests: list[RollTest] = []
    """Rolls of cars over a flat floor."""
    coast_outs: list[CoastOut] = []
    """Coast-outs of cars."""
    rub_checks: list[RubCheck] = []
    """What was looked at for rubbing."""
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")] = "EUR"
    """Currency of every price, by its code of ISO 4217."""
    builds: list[Build] = []
    """Rounds of work on cars."""
    build_steps: list[BuildStep] = []
    """Their steps."""
    build_templates: list[BuildTemplate] = []
    """Steps to begin other builds from."""
    drawer_items: list[DrawerItem] = []
    """What is in the drawer."""
    stock_moves: list[StockMove] = []
    """What came into the drawer and went out; the stock of an item is the sum of its moves."""
    cavities: list[Cavity] = []
    """Insides of castings; the latest of a casting counts."""
    ballast_plans: list[BallastPlan] = []
    """Ballast plans of cars."""
    decal_panels: list[DecalPanel] = []
    """Panels of castings that decals lie on."""
    decal_art: list[DecalArt] = []
    """Art for decals."""
    liveries: list[Livery] = []
    """Schemes of decals."""
    race_classes: list[RaceClass] = []
    """Rules cars are built to."""
    seasons: list[Season] = []
    """Meets that count together."""
    meets: list[Meet] = []
    """Race days."""
    meet_events: list[MeetEvent] = []
    """Journals of the meets; a meet is what its journal adds up to."""
    scrutiny_photos: list[ScrutinyPhoto] = []
    """Photos taken at scrutiny."""

    def photo_checksums(self) -> set[str]:
        """Return the checksums of all photo files that belong to it."""
        taken = {photo.sha256 for photo in self.scrutiny_photos}
        return {photo.sha256 for photo in self.photos} | taken
