"""The results of a meet: on screen, as CSV and as JSON."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.pictures.meet import LIKELY, CarGap, gaps_picture
from hillbench.racing.meet_state import MeetState
from hillbench.usecases.tell_results import MeetResults, told_chance
from hillbench.usecases.tell_score import told_score
from hillbench.usecases.write_results import results_csv, results_json, rows_csv
from hillbench.web.answer import show
from hillbench.web.asking import Book, Number
from hillbench.web.meet_frame import MeetHead, meet_head, meet_view, reader_of
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.standings import LadderRound, ladder_rounds
from hillbench.web.visitor import visitor_of

router = APIRouter()


@dataclass(frozen=True, slots=True)
class ResultLine:
    """One car in the results.

    Attributes
    ----------
    place, car, name, owner
        Official place in words, number, name and owner.
    told
        Its score and what split a tie, in words.
    best, typical
        Best time, and typical time with its uncertainty, in words; empty for none.
    chance
        Chance that it is the fastest car, in words; empty where that cannot be told.
    chance_percent
        The same in percent, for the bar.
    moved
        Its place by the model where that differs; empty elsewhere.
    """

    place: str
    car: int
    name: str
    owner: str
    told: str
    best: str
    typical: str
    chance: str
    chance_percent: int
    moved: str


@dataclass(frozen=True)
class ResultsPage(Page):
    """The results of a meet.

    Attributes
    ----------
    head
        Of the meet.
    results
        What the meet says.
    lines
        Car by car, in the official order.
    ladder
        Round by round; empty without one.
    chances
        Whether chances can be told.
    can_end
        Whether the reader may end the meet or keep its runs.
    picture
        How far the cars are apart; None without enough times.
    """

    template: ClassVar[str] = "meets/results.html"
    place: ClassVar[str] = "meets"

    head: MeetHead
    results: MeetResults
    lines: tuple[ResultLine, ...]
    ladder: tuple[LadderRound, ...]
    chances: bool
    can_end: bool
    picture: Pictured | None


@router.get("/meets/{meet_id}/results")
def show_results(request: Request, book: Book, meet_id: Number) -> Response:
    """Show who won, and how sure it is that the fastest car did."""
    view = meet_view(request, book, meet_id)
    results = reader_of(request).results(book, view)
    lines = result_lines(view.state, results)
    visitor = visitor_of(request)
    page = ResultsPage(
        head=meet_head(request, view, "results"),
        results=results,
        lines=lines,
        ladder=ladder_rounds(view),
        chances=any(line.chance for line in lines),
        can_end=visitor.here or visitor.role == "director",
        picture=_picture(results),
    )
    return show(request, page)


@router.get("/meets/{meet_id}/results/{name}.csv")
def send_csv(request: Request, book: Book, meet_id: Number, name: str) -> Response:
    """Send the ranking (``places``) or every run (``runs``) as CSV."""
    view = meet_view(request, book, meet_id)
    results = reader_of(request).results(book, view)
    text = rows_csv(view) if name == "runs" else results_csv(results)
    return _file(text, "text/csv; charset=utf-8", f"{_slug(view.meet.name)}-{_slug(name)}.csv")


@router.get("/meets/{meet_id}/results/all.json")
def send_json(request: Request, book: Book, meet_id: Number) -> Response:
    """Send all that the meet says as JSON."""
    view = meet_view(request, book, meet_id)
    text = results_json(view, reader_of(request).results(book, view))
    return _file(text, "application/json", f"{_slug(view.meet.name)}.json")


def result_lines(state: MeetState, results: MeetResults) -> tuple[ResultLine, ...]:
    """Return the results car by car as they are shown.

    Parameters
    ----------
    state
        The meet.
    results
        What it says.
    """
    found = []
    for one in results.cars:
        chance = one.fastest_probability
        spread = one.standard_uncertainty_s
        told = "withdrawn" if one.withdrawn else told_score(state, one.score, one.missing)
        if one.split_by:
            told += f", split by {one.split_by}"
        typical = "" if one.typical_time_s is None else f"{one.typical_time_s:.3f}"
        if typical and spread is not None:
            typical += f" ± {spread:.3f} s"
        differs = one.model_place is not None and one.place not in {None, one.model_place}
        found.append(
            ResultLine(
                place="" if one.place is None else str(one.place),
                car=one.car,
                name=one.car_name,
                owner=one.owner_name,
                told=told,
                best="" if one.best_time_s is None else f"{one.best_time_s:.3f} s",
                typical=typical,
                chance="" if chance is None else told_chance(chance),
                chance_percent=0 if chance is None else round(100.0 * chance),
                moved=str(one.model_place) if differs else "",
            )
        )
    return tuple(found)


def _picture(results: MeetResults) -> Pictured | None:
    timed = [one for one in results.cars if one.typical_time_s is not None]
    if len(timed) < 2:
        return None
    timed.sort(key=lambda one: one.typical_time_s or 0.0)
    first_s = timed[0].typical_time_s or 0.0
    gaps = [
        CarGap(
            one.car_name,
            (one.typical_time_s or 0.0) - first_s,
            one.standard_uncertainty_s or 0.0,
            (one.fastest_probability or 0.0) >= LIKELY,
        )
        for one in timed
    ]

    def drawn(width_px: int, key: str) -> str:
        return gaps_picture(gaps, results.sentence, width_px=width_px, key=key)

    return pictured(drawn, "gaps")


def _file(text: str, media_type: str, name: str) -> Response:
    headers = {
        "content-disposition": f'attachment; filename="{name}"',
        "cache-control": "no-store",
    }
    return Response(text.encode(), media_type=media_type, headers=headers)


def _slug(text: str) -> str:
    """Return a file name that holds nothing but plain letters."""
    return re.sub(r"[^A-Za-z0-9]+", "-", text).strip("-").lower()[:60] or "meet"
