"""One ballast plan of a car, and the search that leads to it."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Final

from fastapi import APIRouter, Request
from starlette.exceptions import HTTPException
from starlette.responses import Response

from hillbench.ballast.plan import Step
from hillbench.errors import NotFound
from hillbench.pictures.ballast_sheet import ballast_picture
from hillbench.pictures.ballast_solid import LEAST_TILT_DEG, MOST_TILT_DEG
from hillbench.pictures.solids import Look
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import find_car
from hillbench.usecases.judge_plan import check_class
from hillbench.usecases.keep_ballast_plan import KeptPlan, find_kept_plan
from hillbench.usecases.print_ballast import ballast_template_pdf, ballast_template_svg
from hillbench.web.answer import done, show
from hillbench.web.asking import Book, Now, Number, Units
from hillbench.web.ballast import Seeking
from hillbench.web.ballast_jobs import Search, SearchState
from hillbench.web.ballast_pages import (
    FIRST_LOOK,
    PlanPage,
    SearchPage,
    TurningPage,
    improvement_lines,
    plan_pictured,
    proven_aims,
    turning_view,
)
from hillbench.web.flash import Flash
from hillbench.web.length_words import in_preferred_lengths
from hillbench.web.pictured import pictured
from hillbench.web.preferences import Preferences

router = APIRouter(prefix="/cars/{car_id}/ballast")

_FULL_TURN_DEG: Final = 360.0
_TEMPLATES: Final = {
    "pdf": (ballast_template_pdf, "application/pdf"),
    "svg": (ballast_template_svg, "image/svg+xml"),
}


@router.get("/search/{key}")
def show_search(
    request: Request, book: Book, searches: Seeking, car_id: Number, key: str
) -> Response:
    """Show how far a search is; lead to its plan when it is done."""
    search = searches.find(key)
    if search is None or search.car_id != car_id:
        raise NotFound("search", key)
    if search.state is SearchState.DONE:
        return done(request, f"/cars/{car_id}/ballast/{search.plan_id}", Flash("Worked out."))
    return show(request, _search_page(book, search), "ballast/progress.html")


@router.post("/search/{key}/stop")
def stop_search(request: Request, searches: Seeking, car_id: Number, key: str) -> Response:
    """Stop a search and take the best plan so far."""
    search = searches.find(key)
    if search is None or search.car_id != car_id:
        raise NotFound("search", key)
    search.stop.set()
    search.over.wait(2.0)
    return done(
        request,
        f"/cars/{car_id}/ballast/search/{key}",
        Flash("Stopped: the best plan so far is taken."),
    )


def _search_page(book: BenchBook, search: Search) -> SearchPage:
    with book.read() as session:
        car = find_car(session, search.car_id)
    picture = None
    if search.improvements:
        best = search.improvements[-1].plan
        sentence = f"{best.total_g:.2f} g so far."
        picture = pictured(
            lambda width, name: ballast_picture(
                search.task, best, sentence, width_px=width, key=name
            ),
            "so-far",
        )
    return SearchPage(
        car=car,
        search=search,
        lines=improvement_lines(search),
        proven=proven_aims(tuple(search.proven)),
        picture=picture,
    )


@router.get("/{plan_id}")
def show_plan(
    request: Request,
    book: Book,
    preferences: Units,
    car_id: Number,
    plan_id: Number,
    turn: float = FIRST_LOOK.turn_deg,
    tilt: float = FIRST_LOOK.tilt_deg,
) -> Response:
    """Show one plan."""
    kept = find_kept_plan(book, car_id, plan_id)
    with book.read() as session:
        car = find_car(session, car_id)
    return show(
        request,
        PlanPage(
            car=car,
            kept=kept,
            is_chosen=kept.record.chosen_at is not None,
            picture=plan_pictured(kept, "plan"),
            turning=turning_view(kept, look_of(turn, tilt)),
            sentence=in_preferred_lengths(kept.sentence, preferences),
            steps=_steps(kept, preferences),
            tight=tuple(
                in_preferred_lengths(place.sentence(), preferences) for place in kept.tight()
            ),
            check=check_class(kept),
            has_lead=_has_lead(kept),
        ),
    )


def _steps(kept: KeptPlan, preferences: Preferences) -> tuple[Step, ...]:
    names = [piece.name for piece in kept.task.stock]
    return tuple(
        replace(step, text=in_preferred_lengths(step.text, preferences, names))
        for step in kept.steps()
    )


@router.get("/{plan_id}/question.json")
def send_question(book: Book, car_id: Number, plan_id: Number) -> Response:
    """Send the question of a plan as `hillbench ballast` reads it."""
    kept = find_kept_plan(book, car_id, plan_id)
    headers = {"content-disposition": f'attachment; filename="ballast-{plan_id}.json"'}
    text = json.dumps(kept.record.question, ensure_ascii=False, indent=1)
    return Response(f"{text}\n", media_type="application/json", headers=headers)


@router.get("/{plan_id}/view")
def show_view(
    request: Request, book: Book, car_id: Number, plan_id: Number, turn: float, tilt: float
) -> Response:
    """Show the view in space alone, while it is turned."""
    kept = find_kept_plan(book, car_id, plan_id)
    return show(request, TurningPage(turning_view(kept, look_of(turn, tilt))))


@router.get("/{plan_id}/template.{ending}")
def send_template(
    book: Book, preferences: Units, now: Now, car_id: Number, plan_id: Number, ending: str
) -> Response:
    """Send the template of a plan, true to scale, on the paper that goes with the units."""
    if ending not in _TEMPLATES:
        raise HTTPException(404)
    kept = find_kept_plan(book, car_id, plan_id)
    with book.read() as session:
        name = find_car(session, car_id).name
    paper = "Letter" if preferences.length_unit == "in" else "A4"
    write, media_type = _TEMPLATES[ending]
    headers = {"content-disposition": f'inline; filename="template-{plan_id}.{ending}"'}
    return Response(write(kept, name, now, paper), media_type=media_type, headers=headers)


def look_of(turn_deg: float, tilt_deg: float) -> Look:
    """Return a look from what an address says, within its range."""
    if not (math.isfinite(turn_deg) and math.isfinite(tilt_deg)):
        return FIRST_LOOK
    tilt = min(max(tilt_deg, LEAST_TILT_DEG), MOST_TILT_DEG)
    return Look(math.remainder(turn_deg, _FULL_TURN_DEG), tilt)


def _has_lead(kept: KeptPlan) -> bool:
    used = {one.name for one in kept.plan.placements}
    return any(
        one.name in used and (one.metal == "lead" or "lead" in one.name.lower())
        for one in kept.task.stock
    )
