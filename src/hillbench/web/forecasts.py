"""Kept forecasts, and how they turned out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.pictures.forecast import ForecastPair, forecast_picture
from hillbench.usecases.keep_forecast import mark_change_done, mark_change_undone
from hillbench.usecases.score_forecasts import ForecastBoard, Scored, score_kept_forecasts
from hillbench.web.answer import done, show
from hillbench.web.asking import Book, Now, Number
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured

router = APIRouter()


@dataclass(frozen=True, slots=True)
class ForecastsPage(Page):
    """How kept forecasts turned out.

    Attributes
    ----------
    board
        All kept forecasts and how they turned out together.
    picture
        Those that were held against the clock; None without any.
    """

    template: ClassVar[str] = "fits/forecasts.html"
    place: ClassVar[str] = "cars"

    board: ForecastBoard
    picture: Pictured | None


@router.get("/forecasts")
def show_forecasts(request: Request, book: Book) -> Response:
    """Show kept forecasts beside what the clock said."""
    board = score_kept_forecasts(book)
    told = tuple(_pair(one) for one in board.scored if one.clock is not None)
    return show(request, ForecastsPage(board, _picture(told) if told else None))


@router.post("/forecasts/{forecast_id}/done")
def note_done(request: Request, book: Book, now: Now, forecast_id: Number) -> Response:
    """Note that the change was made."""
    kept = mark_change_done(book, forecast_id, now)
    told = f"Noted: {kept.change_name}. Runs from now on come after it."
    return done(request, f"/forecasts#forecast-{forecast_id}", Flash(told))


@router.post("/forecasts/{forecast_id}/undone")
def note_undone(request: Request, book: Book, forecast_id: Number) -> Response:
    """Take back that the change was made."""
    kept = mark_change_undone(book, forecast_id)
    told = f"Not made yet: {kept.change_name}."
    return done(request, f"/forecasts#forecast-{forecast_id}", Flash(told))


def _pair(one: Scored) -> ForecastPair:
    forecast, clock = one.forecast, one.clock
    if clock is None:
        raise ValueError("a forecast that was not held against the clock has no pair")
    return ForecastPair(
        f"{one.car_name}, {forecast.change_name}",
        (forecast.gain_low_s, forecast.gain_s, forecast.gain_high_s),
        (clock.gain_low_s, clock.gain_s, clock.gain_high_s),
        bool(one.held),
    )


def _picture(pairs: tuple[ForecastPair, ...]) -> Pictured:
    return pictured(lambda width, key: forecast_picture(pairs, width_px=width, key=key), "board")
