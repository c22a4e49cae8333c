"""The balance of a car: measured on a scale, held against its plan, judged by the hill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.errors import InvalidInput
from hillbench.pictures.axle_weighing import axle_weighing_picture
from hillbench.pictures.balance_curve import MarkedPlace, balance_curve_picture
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.balance_curve import BalanceCurve, balance_curve
from hillbench.usecases.describe_car import CarDescription, Source, describe_car
from hillbench.usecases.keep_ballast_plan import KeptPlan, find_chosen_plan
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.measure_balance import (
    AxleReadings,
    Comparison,
    MeasuredBalance,
    compare_with_plan,
    keep_balance,
    latest_mass_g,
    measure_balance,
)
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.preferences import Preferences
from hillbench.web.scale_readings import split_readings
from hillbench.web.showing import typed_again
from hillbench.web.typed import Answers, Typed, default_unit

router = APIRouter(prefix="/cars/{car_id}/balance")

FORM: Final = "balance"
_LABELS: Final = {
    "rear_g": "The rear axle",
    "raised_rear_g": "The rear axle with the front raised",
    "total_g": "The whole car",
    "scale_step_g": "The smallest step of the scale",
    "wheelbase_mm": "The wheelbase",
    "raised_mm": "How far it was raised",
    "caliper_step_mm": "The smallest step of the caliper",
    "wheel_diameter_mm": "The wheel diameter",
}


@dataclass(frozen=True, slots=True)
class BalancePage(Page):
    """The balance of a car.

    Attributes
    ----------
    description
        The car as the hill sees it.
    is_measured
        Whether its centre of gravity was measured.
    typed
        The form.
    found
        What the readings in the form give; None before.
    weighing
        How it is weighed.
    comparisons
        Measured beside planned; empty without a chosen plan or a measurement.
    plan
        The chosen plan; None without one.
    tracks, track_id
        Hills to choose from, and the chosen one.
    curve
        Seconds against the place; None without a hill.
    picture
        Of the curve.
    window
        The window that the hill chooses, in percent; None where it has none.
    """

    template: ClassVar[str] = "ballast/balance.html"
    place: ClassVar[str] = "cars"

    description: CarDescription
    is_measured: bool
    typed: Typed
    found: MeasuredBalance | None
    weighing: Pictured
    comparisons: tuple[Comparison, ...]
    plan: KeptPlan | None
    tracks: tuple[tuple[int, str], ...]
    track_id: int | None
    curve: BalanceCurve | None
    picture: Pictured | None
    window: tuple[int, int] | None


@router.get("")
def show_balance(
    request: Request, book: Book, preferences: Units, car_id: Number, track: int = 0
) -> Response:
    """Show the balance of a car and what its place is worth on a hill."""
    description = describe_car(book, car_id)
    typed = Typed.holding(FORM, _first_fields(book, description, preferences))
    return show(request, _page(book, description, typed, track))


@router.post("")
def measure(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    car_id: Number,
    track: int = 0,
) -> Response:
    """Work out the centre of gravity from readings, and keep it where that is asked."""
    description = describe_car(book, car_id)
    answers = Answers(FORM, pairs(form), preferences, _LABELS)
    try:
        found = measure_balance(_read(answers, preferences))
        if answers.text("action") == "keep":
            keep_balance(book, car_id, found, now)
    except InvalidInput as wrong:
        return refuse(request, _page(book, description, answers.refused(wrong), track))
    if answers.text("action") == "keep":
        flash = Flash("The centre of gravity is kept with the car.")
        return done(request, f"/cars/{car_id}/balance", flash)
    return show(request, _page(book, description, answers.as_typed, track, found))


def _read(answers: Answers, preferences: Preferences) -> AxleReadings:
    unit = default_unit(units.MASS, preferences)

    def readings(name: str) -> tuple[float, ...]:
        texts = split_readings(answers.text(name))
        found = [answers.parse(name, text, units.MASS, unit) for text in texts]
        return tuple(one for one in found if one is not None)

    def length(name: str, *, required: bool = True) -> float:
        return answers.quantity(name, units.LENGTH, required=required) or 0.0

    read = AxleReadings(
        rear_g=readings("rear_g"),
        raised_rear_g=readings("raised_rear_g"),
        total_g=readings("total_g"),
        scale_step_g=answers.quantity("scale_step_g", units.MASS) or 0.0,
        wheelbase_mm=length("wheelbase_mm"),
        raised_mm=length("raised_mm", required=False),
        caliper_step_mm=length("caliper_step_mm"),
        wheel_diameter_mm=length("wheel_diameter_mm"),
    )
    answers.require()
    return read


def _first_fields(
    book: BenchBook, description: CarDescription, preferences: Preferences
) -> dict[str, str]:
    readings_g, step_g = latest_mass_g(book, description.record.id)
    mass, length = preferences.mass_unit, preferences.length_unit
    car = description.car
    return {
        "total_g": " ".join(typed_again(one, units.MASS, mass) for one in readings_g),
        "scale_step_g": typed_again(step_g, units.MASS, mass),
        "wheelbase_mm": typed_again(car.wheelbase_mm, units.LENGTH, length),
        "caliper_step_mm": typed_again(0.1, units.LENGTH, length),
        "wheel_diameter_mm": typed_again(car.wheel_diameter_mm, units.LENGTH, length),
    }


def _page(
    book: BenchBook,
    description: CarDescription,
    typed: Typed,
    track: int,
    found: MeasuredBalance | None = None,
) -> BalancePage:
    car_id = description.record.id
    tracks = tuple((one.record.id, one.record.name) for one in list_tracks(book))
    track_id = track if track in dict(tracks) else next(iter(dict(tracks)), None)
    plan = find_chosen_plan(book, car_id)
    curve = None
    if track_id is not None:
        mass_g = plan.plan.total_g if plan else None
        height_mm = plan.plan.cg_height_mm if plan else None
        curve = balance_curve(book, car_id, track_id, mass_g=mass_g, cg_height_mm=height_mm)
    window = curve.window if curve else None
    measured = description.sources["cg_ahead_of_rear_axle_mm"] is Source.MEASURED
    return BalancePage(
        description=description,
        is_measured=measured,
        typed=typed,
        found=found,
        weighing=pictured(lambda w, key: axle_weighing_picture(width_px=w, key=key), "weighing"),
        comparisons=compare_with_plan(book, car_id, plan, found) if plan else (),
        plan=plan,
        tracks=tracks,
        track_id=track_id,
        curve=curve,
        picture=_drawn(curve, description, plan) if curve else None,
        window=(round(100 * window[0]), round(100 * window[1])) if window else None,
    )


def _drawn(curve: BalanceCurve, description: CarDescription, plan: KeptPlan | None) -> Pictured:
    car = description.car
    shares = [("car now", car.cg_ahead_of_rear_axle_mm / car.wheelbase_mm)]
    if plan is not None:
        place = plan.plan.cg_ahead_of_rear_axle_mm / plan.task.wheelbase_mm
        shares.append(("plan", place))
    places = [
        MarkedPlace(label, share, time_s)
        for label, share in shares
        if (time_s := curve.time_at_s(share)) is not None
    ]
    return pictured(
        lambda width, key: balance_curve_picture(
            curve.shares,
            curve.times_s,
            curve.window,
            places,
            curve.sentence,
            width_px=width,
            key=key,
        ),
        "curve",
    )
