"""The ballast of a car: asked, searched, laid side by side, and one plan chosen."""

from __future__ import annotations

import time
from dataclasses import replace
from datetime import datetime
from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from starlette.responses import Response

from hillbench import units
from hillbench.ballast.measured_cavity import MeasuredCavity
from hillbench.errors import InvalidInput, NotFound
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import DrawerItem, ItemKind
from hillbench.records.drawer_store import list_items
from hillbench.usecases.judge_plan import (
    list_mass_classes,
    mass_limit_g,
    predict_plans,
)
from hillbench.usecases.keep_ballast_plan import (
    KeptPlan,
    choose_plan,
    find_kept_plan,
    keep_ballast_plan,
    list_kept_plans,
)
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.plan_ballast import plan_ballast
from hillbench.usecases.plan_car_ballast import (
    CarToBallast,
    find_car_to_ballast,
    question_key,
)
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.ballast_entry import BallastEntry, BallastReader
from hillbench.web.ballast_fields import BLANK, FORM, first_fields, task_fields
from hillbench.web.ballast_jobs import Search, Searches
from hillbench.web.ballast_pages import (
    AskBallastPage,
    BallastPage,
    alternative,
    plan_pictured,
)
from hillbench.web.flash import Flash
from hillbench.web.form_rows import Pairs, act_on_rows
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again
from hillbench.web.typed import Typed

router = APIRouter(prefix="/cars/{car_id}/ballast")

_PART: Final = "ballast/ask_form.html"
_PROVEN: Final = "proven best"
"""As the answer of `hillbench ballast` says it."""


def _searches(request: Request) -> Searches:
    searches: Searches = request.app.state.searches
    return searches


Seeking = Annotated[Searches, Depends(_searches)]
"""The searches for plans of this process."""


@router.get("")
def show_ballast(
    request: Request, book: Book, searches: Seeking, car_id: Number, track: int = 0
) -> Response:
    """Show the alternatives of a car side by side."""
    return show(request, _overview(book, searches, car_id, track))


def _overview(book: BenchBook, searches: Searches, car_id: int, track: int) -> BallastPage:
    car = find_car_to_ballast(book, car_id)
    plans = list_kept_plans(book, car_id)
    tracks = tuple((one.record.id, one.record.name) for one in list_tracks(book))
    track_id = track if track in dict(tracks) else next(iter(dict(tracks)), None)
    now_s: float | None = None
    times: tuple[float | None, ...] = (None,) * len(plans)
    if track_id is not None and plans:
        now_s, times = predict_plans(book, car_id, track_id, plans)
    lines = tuple(alternative(one, at) for one, at in zip(plans, times, strict=True))
    chosen = next((one for one in lines if one.is_chosen), None)
    shown = chosen or next(iter(lines), None)
    return BallastPage(
        car=car,
        alternatives=lines,
        chosen=chosen,
        picture=plan_pictured(shown.kept, "plan") if shown else None,
        shown_id=shown.kept.record.id if shown else None,
        searches=searches.open_for(car_id),
        tracks=tracks,
        track_id=track_id,
        time_now_s=now_s,
    )


@router.get("/new")
def ask_plan(request: Request, book: Book, preferences: Units, car_id: Number) -> Response:
    """Show the question: of a first plan, or an earlier one to be changed."""
    car, drawer = find_car_to_ballast(book, car_id), _drawer(book)
    if car.measured is None:
        return show(request, _ask_page(book, car, Typed(FORM), drawer))
    asked = request.query_params
    earlier = asked.get("from", "")
    fields = first_fields(car, drawer, preferences)
    if earlier.isdecimal():
        kept = find_kept_plan(book, car_id, int(earlier))
        fields = task_fields(kept.task, drawer, preferences)
    fields = tuple(
        (name, asked[name] if name in asked and name.startswith("window_") else text)
        for name, text in fields
    )
    return show(request, _ask_page(book, car, Typed(FORM, fields), drawer))


@router.post("/new")
def plan(
    request: Request,
    book: Book,
    searches: Seeking,
    preferences: Units,
    now: Now,
    form: Form,
    car_id: Number,
) -> Response:
    """Begin a search, or show the form again after one of its other buttons."""
    car, drawer = find_car_to_ballast(book, car_id), _drawer(book)
    typed = pairs(form)
    action = Typed(FORM, typed).value("action")
    typed = _with_class(book, tuple(pair for pair in typed if pair[0] != "action"), preferences)
    reader = BallastReader(typed, preferences, drawer)
    if action != "plan" or car.measured is None:
        changed = act_on_rows(typed, action, BLANK)
        focus = action.removeprefix("add_") if changed and action.startswith("add_") else ""
        shown = Typed(FORM, changed or typed)
        return show(request, _ask_page(book, car, shown, drawer, focus), _PART)
    try:
        entry = reader.entry(car.measured)
    except InvalidInput as wrong:
        return refuse(request, _ask_page(book, car, reader.refused(wrong), drawer), _PART)
    known = _known(book, car_id, entry)
    if known is not None:
        flash = Flash("This was worked out before: the same question has the same answer.")
        return done(request, f"/cars/{car_id}/ballast/{known.record.id}", flash)
    entry = replace(entry, name=entry.name or _name_of(entry, car.measured))
    race_class = _class_name(book, reader.as_typed)
    search = _begin(book, searches, car_id, entry, race_class, now)
    if search.plan_id:
        return done(request, f"/cars/{car_id}/ballast/{search.plan_id}", Flash("Worked out."))
    return done(request, f"/cars/{car_id}/ballast/search/{search.key}", Flash("The search is on."))


def _known(book: BenchBook, car_id: int, entry: BallastEntry) -> KeptPlan | None:
    """Return the plan that answered the same question with proof, None where there is none."""
    key = question_key(car_id, entry.task)
    return next(
        (
            one
            for one in list_kept_plans(book, car_id)
            if one.record.question_key == key and one.answer.get("status") == _PROVEN
        ),
        None,
    )


def _begin(
    book: BenchBook,
    searches: Searches,
    car_id: int,
    entry: BallastEntry,
    race_class: str,
    now: datetime,
) -> Search:
    key = question_key(car_id, entry.task)

    def work(search: Search) -> int:
        planned = plan_ballast(
            entry.task,
            now=time.monotonic,
            limit_s=entry.time_limit_s,
            cancelled=search.stop.is_set,
            improved=search.improve,
            proven=search.proven.append,
        )
        kept = keep_ballast_plan(book, car_id, planned, key, entry.name, now, race_class=race_class)
        return kept.id

    return searches.ask(Search(key, car_id, entry.name, entry.task), work)


def _name_of(entry: BallastEntry, measured: MeasuredCavity) -> str:
    """Return a name for a plan that was given none."""
    low, high = (100.0 * share for share in entry.task.cg.window_ahead_of_rear_axle)
    return f"{entry.task.limit_g:g} g, {low:g} to {high:g} %, {measured.body_style}"


@router.post("/{plan_id}/choose")
def choose(request: Request, book: Book, now: Now, car_id: Number, plan_id: Number) -> Response:
    """Choose a plan to build by."""
    kept = find_kept_plan(book, car_id, plan_id)
    if kept.record.removed_at is not None:
        raise NotFound("ballast plan", plan_id)
    choose_plan(book, plan_id, now)
    flash = Flash(f"{kept.record.name} is the plan to build by.")
    return done(request, f"/cars/{car_id}/ballast/{plan_id}", flash)


@router.post("/{plan_id}/unchoose")
def unchoose(request: Request, book: Book, car_id: Number, plan_id: Number) -> Response:
    """Take the choice back."""
    find_kept_plan(book, car_id, plan_id)
    choose_plan(book, plan_id, None)
    return done(request, f"/cars/{car_id}/ballast", Flash("No plan is chosen now."))


def _drawer(book: BenchBook) -> tuple[DrawerItem, ...]:
    with book.read() as session:
        items = list_items(session, ItemKind.BALLAST_PIECE)
    return tuple(one for one in items if one.unit.is_counted)


def _with_class(book: BenchBook, typed: Pairs, preferences: Preferences) -> Pairs:
    """Return the form with the limit of a class where one was chosen."""
    chosen = Typed(FORM, typed).value("race_class")
    for one in list_mass_classes(book):
        limit_g = mass_limit_g(one)
        if str(one.id) == chosen and limit_g is not None:
            taken = {
                "limit_g": typed_again(limit_g, units.MASS, preferences.mass_unit),
                "scale_guard_g": typed_again(
                    one.rules.scale_guard_g, units.MASS, preferences.mass_unit
                ),
            }
            return tuple((name, taken.get(name, text)) for name, text in typed)
    return typed


def _class_name(book: BenchBook, typed: Typed) -> str:
    chosen = typed.value("race_class")
    names = {str(one.id): one.name for one in list_mass_classes(book)}
    return names.get(chosen, "")


def _ask_page(
    book: BenchBook,
    car: CarToBallast,
    typed: Typed,
    drawer: tuple[DrawerItem, ...],
    focus: str = "",
) -> AskBallastPage:
    classes = tuple(
        (one.id, f"{one.name}: {mass_limit_g(one):g} g") for one in list_mass_classes(book)
    )
    return AskBallastPage.showing(car, typed, drawer, classes, focus)
