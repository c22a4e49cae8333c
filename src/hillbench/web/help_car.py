"""What would help a car on a hill: changes ranked, a target time, and forecasts to keep."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench import units
from hillbench.coasting.car import CAR_RANGES
from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.fitting.advice import Advice, Verdict
from hillbench.pictures.advice import advice_picture
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import find_car
from hillbench.records.entities import CarRecord, TrackRecord
from hillbench.records.forecast_store import list_forecasts
from hillbench.records.quantities import check_range
from hillbench.records.track_store import find_track
from hillbench.usecases.advise_car import CarAdvice, Wish, advise_car
from hillbench.usecases.fit_track import find_kept
from hillbench.usecases.gather_runs import Gathered, gather_runs
from hillbench.usecases.keep_forecast import keep_forecast
from hillbench.usecases.note_run import TIME_RANGE_S
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.fit_jobs import FitJobs, Job
from hillbench.web.fits import Asked, Fits, FitWaitPage, ask_for
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Answers, Typed

router = APIRouter()

MOST_READINGS: Final = 4
_LABELS: Final = {"target_time_s": "Target time", "mass_limit_g": "Most mass allowed"}
_LOOKS: Final = {
    Verdict.WORTH_IT: "yes",
    Verdict.PROBABLY: "yes",
    Verdict.SLOWER: "no",
    Verdict.NOT_LEGAL: "no",
    Verdict.STALLS: "no",
}


@dataclass(frozen=True, slots=True)
class ChangeLine:
    """Advice on one change.

    Attributes
    ----------
    number
        Its place in the advice, from 0.
    advice
        The advice.
    look
        Style of its verdict: ``yes``, ``no`` or neither.
    can_keep
        Whether there is a forecast to be kept.
    """

    number: int
    advice: Advice
    look: str
    can_keep: bool


@dataclass(frozen=True, slots=True)
class HelpCarPage(Page):
    """What would help a car on a hill.

    Attributes
    ----------
    car_id, car_name, track_id, track_name
        Which car on which hill.
    found
        The advice; None where the wish could not be read.
    fit_key
        Key of the advice, sent along when a forecast is kept.
    picture
        What each change would gain; None without any forecast.
    changes
        Each change, best first.
    readings_left
        What further readings would tell, most first: name, and percent of the doubt left.
    wish
        The form of target and limit, as typed.
    kept_count
        Forecasts kept of this car.
    """

    template: ClassVar[str] = "fits/help_car.html"
    place: ClassVar[str] = "cars"

    car_id: int
    car_name: str
    track_id: int
    track_name: str
    found: CarAdvice | None
    fit_key: str
    picture: Pictured | None
    changes: tuple[ChangeLine, ...]
    readings_left: tuple[tuple[str, float], ...]
    wish: Typed
    kept_count: int


@dataclass(frozen=True, slots=True)
class _Pair:
    """A car and a track in use."""

    car: CarRecord
    track: TrackRecord

    @property
    def address(self) -> str:
        return f"/cars/{self.car.id}/on/{self.track.id}/help"


@router.get("/cars/{car_id}/on/{track_id}/help")
def show_help(
    request: Request,
    book: Book,
    jobs: Fits,
    preferences: Units,
    now: Now,
    car_id: Number,
    track_id: Number,
) -> Response:
    """Show what would help the car on the track, or how far the fit is."""
    pair = _pair(book, car_id, track_id)
    asked = tuple(request.query_params.multi_items())
    answers, wish = _read_wish(asked, preferences)
    if answers.problems:
        typed = answers.refused(InvalidInput(answers.problems))
        return refuse(request, _page(book, pair, None, "", typed))
    gathered = gather_runs(book, track_id, now, also_car_id=car_id)
    key, found = _ask(jobs, book, pair, gathered, wish, _typed_query(answers.as_typed), now)
    if isinstance(found, Job):
        return show(request, FitWaitPage(found))
    return show(request, _page(book, pair, found, key, answers.as_typed))


@router.post("/cars/{car_id}/on/{track_id}/help")
def keep(
    request: Request,
    book: Book,
    preferences: Units,
    now: Now,
    form: Form,
    car_id: Number,
    track_id: Number,
) -> Response:
    """Keep the forecast of one change of the advice that was shown."""
    _pair(book, car_id, track_id)
    answers, wish = _read_wish(pairs(form), preferences)
    answers.require()
    gathered = gather_runs(book, track_id, now, also_car_id=car_id)
    key = answers.text("fit_key")
    found = find_kept(book, CarAdvice, key)
    number = answers.text("change")
    numbers = [] if found is None else [str(place) for place in range(len(found.advice))]
    if found is None or number not in numbers or key != _key(gathered, car_id, wish):
        seen = "of an advice that is no longer the latest"
        allowed = "a forecast of the advice as it is now"
        problem = Problem("the forecast", seen, allowed, "look at the advice again, then keep it")
        raise InvalidInput([problem])
    advice = found.advice[int(number)]
    kept = keep_forecast(book, gathered, car_id, advice, wish, now)
    told = f"Forecast kept: {kept.change_name}. Note here when you have made the change."
    return done(request, f"/forecasts#forecast-{kept.id}", Flash(told))


def _pair(book: BenchBook, car_id: int, track_id: int) -> _Pair:
    with book.read() as session:
        pair = _Pair(find_car(session, car_id), find_track(session, track_id))
    if pair.car.removed_at is not None:
        raise NotFound("car", car_id)
    if pair.track.removed_at is not None:
        raise NotFound("track", track_id)
    return pair


def _read_wish(
    typed: tuple[tuple[str, str], ...], preferences: Preferences
) -> tuple[Answers, Wish]:
    answers = Answers("wish", typed, preferences, _LABELS)
    target_s = answers.quantity("target_time_s", units.TIME, required=False)
    limit_g = answers.quantity("mass_limit_g", units.MASS, required=False)
    if target_s is not None:
        answers.problems += check_range("target_time_s", target_s, TIME_RANGE_S)
    if limit_g is not None:
        answers.problems += check_range("mass_limit_g", limit_g, CAR_RANGES["mass_g"])
    return answers, Wish(target_s, limit_g)


def _typed_query(typed: Typed) -> str:
    given = {name: typed.value(name) for name in _LABELS if typed.value(name).strip()}
    return f"?{urlencode(given)}" if given else ""


def _key(gathered: Gathered, car_id: int, wish: Wish) -> str:
    return gathered.key(CarAdvice.__name__, car_id, wish)


def _ask(
    jobs: FitJobs,
    book: BenchBook,
    pair: _Pair,
    gathered: Gathered,
    wish: Wish,
    query: str,
    now: datetime,
) -> tuple[str, CarAdvice | Job]:
    car_id = pair.car.id
    key = _key(gathered, car_id, wish)
    title = f"What would help {pair.car.name} on {pair.track.name}"
    asked = Asked(key, title, f"{pair.address}{query}", car_id)
    found = ask_for(
        jobs,
        book,
        gathered,
        CarAdvice,
        asked,
        lambda told: advise_car(gathered, car_id, wish, told),
        now,
    )
    return key, found


def _page(
    book: BenchBook, pair: _Pair, found: CarAdvice | None, key: str, wish: Typed
) -> HelpCarPage:
    advice = () if found is None else found.advice
    with book.read() as session:
        kept_count = len(list_forecasts(session, car_id=pair.car.id))
    has_forecast = any(one.forecast.gain_s is not None for one in advice)
    readings = () if found is None else found.readings[:MOST_READINGS]
    return HelpCarPage(
        car_id=pair.car.id,
        car_name=pair.car.name,
        track_id=pair.track.id,
        track_name=pair.track.name,
        found=found,
        fit_key=key,
        picture=_picture(advice) if has_forecast else None,
        changes=tuple(
            ChangeLine(number, one, _LOOKS.get(one.verdict, ""), one.forecast.gain_s is not None)
            for number, one in enumerate(advice)
        ),
        readings_left=tuple((one.name, 100.0 * one.share_left**0.5) for one in readings),
        wish=wish,
        kept_count=kept_count,
    )


def _picture(advice: tuple[Advice, ...]) -> Pictured:
    return pictured(lambda width, key: advice_picture(advice, width_px=width, key=key), "advice")
