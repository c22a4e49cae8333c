"""The page of one car, put together from what the bench book knows about it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final

from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import CarRecord, Photo, Reading, RunNote, TimedRun, Weighing
from hillbench.uncertainty import Estimate, resolution_uncertainty
from hillbench.units import MASS
from hillbench.usecases.build_shown import BuildSummary
from hillbench.usecases.cost_of_car import Cost, cost_of_car
from hillbench.usecases.describe_car import describe_readings
from hillbench.usecases.keep_ballast_plan import KeptPlan, find_chosen_plan
from hillbench.usecases.list_tracks import TrackSummary, list_tracks
from hillbench.usecases.show_build import list_builds
from hillbench.usecases.show_car import ShownCar, show_car
from hillbench.web.ballast_pages import plan_pictured
from hillbench.web.car_history import Entry, entries
from hillbench.web.outings_shown import TimesShown, times_of_car
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured
from hillbench.web.preferences import Preferences
from hillbench.web.quantities import QUANTITIES, Quantity, assumed_or_measured
from hillbench.web.showing import Showing, symbol, typed_again
from hillbench.web.tests_told import told_counts
from hillbench.web.typed import Typed, default_unit

FORMS: Final = ("weigh", "measure", "upload", "run")
"""Names of the forms on the page."""

SHOWN_RUNS: Final = 12
SHOWN_ENTRIES: Final = 60
_USUAL_STEP_G: Final = 0.01


@dataclass(frozen=True, slots=True)
class MassLine:
    """The weighing that counts, taken apart.

    Attributes
    ----------
    scatter_g
        Part of the uncertainty from the scatter of the readings (type A), g.
    resolution_g
        Part from the step of the scale (type B), g.
    """

    weighing: Weighing
    estimate: Estimate
    scatter_g: float
    resolution_g: float


@dataclass(frozen=True, slots=True)
class MeasureLine:
    """One quantity of the car.

    Attributes
    ----------
    value
        The reading that counts, else the typical value.
    unit
        In which a bare number is read.
    history
        All its readings, latest first; empty where the value is assumed.
    """

    quantity: Quantity
    value: float
    unit: str
    history: tuple[Reading, ...]


@dataclass(frozen=True, slots=True)
class RunLine:
    """One timed run with the name of its track."""

    run: TimedRun
    track_name: str


@dataclass(frozen=True)
class CarPage(Page):
    """One car.

    Attributes
    ----------
    car
        Its name, casting and note.
    mass
        What it weighs; None where it was never weighed.
    measures
        Every quantity that can be measured.
    tracks
        Tracks in use, to run it on.
    track_options
        The same as choices of a form.
    run_notes
        How a run may have gone, as choices of a form.
    runs
        The latest timed runs.
    run_count
        Number of its timed runs.
    outings
        Its times in outings, by track.
    tests_told
        How many tests at the bench it had, in words; empty without any.
    builds
        Its builds, last changed first.
    cost
        What its builds drew from the drawer.
    plan, plan_picture
        The ballast plan to build by, and its picture; None where none is chosen.
    photos
        Its photos, latest first.
    history
        What was entered, latest first.
    history_left_out
        How many older entries are not in `history`.
    weigh, measure, upload, run
        The forms, as typed.
    """

    template: ClassVar[str] = "cars/car.html"
    place: ClassVar[str] = "cars"

    car: CarRecord
    mass: MassLine | None
    measures: tuple[MeasureLine, ...]
    tracks: tuple[TrackSummary, ...]
    track_options: tuple[tuple[int, str], ...]
    run_notes: tuple[tuple[str, str], ...]
    runs: tuple[RunLine, ...]
    run_count: int
    outings: tuple[TimesShown, ...]
    tests_told: str
    builds: tuple[BuildSummary, ...]
    cost: Cost
    plan: KeptPlan | None
    plan_picture: Pictured | None
    photos: tuple[Photo, ...]
    history: tuple[Entry, ...]
    history_left_out: int
    weigh: Typed
    measure: Typed
    upload: Typed
    run: Typed


def car_page(
    book: BenchBook, car_id: int, preferences: Preferences, typed: Typed | None = None
) -> CarPage:
    """Return the page of a car; `typed` is shown again in the form it was typed into.

    Raises
    ------
    NotFound
        If there is no such car.
    """
    shown = show_car(book, car_id)
    tracks = list_tracks(book)
    forms = _empty_forms(shown, preferences)
    if typed is not None:
        forms[typed.form] = typed
    history = entries(shown, Showing(preferences))
    plan = find_chosen_plan(book, car_id)
    return CarPage(
        car=shown.car,
        mass=_mass(shown.weighings),
        measures=_measures(shown, preferences),
        tracks=tracks,
        track_options=tuple((track.record.id, track.record.name) for track in tracks),
        run_notes=tuple((note.value, note.value) for note in RunNote),
        runs=tuple(
            RunLine(run, shown.track_names.get(run.track_id, "")) for run in shown.runs[:SHOWN_RUNS]
        ),
        run_count=shown.run_count,
        outings=times_of_car(book, car_id),
        tests_told=told_counts(shown.tests),
        builds=list_builds(book, car_id=car_id),
        cost=cost_of_car(book, car_id),
        plan=plan,
        plan_picture=plan_pictured(plan, "plan") if plan else None,
        photos=shown.photos,
        history=history[:SHOWN_ENTRIES],
        history_left_out=max(len(history) - SHOWN_ENTRIES, 0)
        + max(shown.run_count - len(shown.runs), 0),
        **forms,
    )


def _empty_forms(shown: ShownCar, preferences: Preferences) -> dict[str, Typed]:
    step_g = shown.weighings[0].scale_resolution_g if shown.weighings else _USUAL_STEP_G
    step = typed_again(step_g, MASS, preferences.mass_unit)
    held: Mapping[str, Mapping[str, str]] = {
        "weigh": {"scale_resolution_g": step},
        "run": {"note": RunNote.CLEAN.value},
    }
    return {form: Typed.holding(form, held.get(form, {})) for form in FORMS}


def _mass(weighings: tuple[Weighing, ...]) -> MassLine | None:
    if not weighings:
        return None
    estimate = weighings[0].estimate()
    step = resolution_uncertainty(weighings[0].scale_resolution_g)
    scatter = math.sqrt(max(estimate.standard_uncertainty**2 - step**2, 0.0))
    return MassLine(weighings[0], estimate, scatter, step)


def _measures(shown: ShownCar, preferences: Preferences) -> tuple[MeasureLine, ...]:
    measured = {name: reading.value for name, reading in shown.current.items()}
    described = describe_readings(shown.car, measured, None)
    return tuple(
        MeasureLine(
            quantity,
            assumed_or_measured(described, quantity.name),
            symbol(default_unit(quantity.dimension, preferences)),
            tuple(reading for reading in shown.readings if reading.quantity == quantity.name),
        )
        for quantity in QUANTITIES
    )
