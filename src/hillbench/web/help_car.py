"""What would help a car on a hill: changes ranked, a target time, and forecasts to keep."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.fitting.advice import Advice, Rank, Verdict
from hillbench.fitting.cost import MINUTES
from hillbench.fitting.information import Expected
from hillbench.pictures.advice import advice_picture
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import find_car
from hillbench.records.entities import CarRecord, TrackRecord
from hillbench.records.forecast_store import list_forecasts
from hillbench.records.meet_entities import RaceClass
from hillbench.records.meet_store import list_classes
from hillbench.records.track_store import find_track
from hillbench.usecases.advise_car import CarAdvice, Wish, advise_car
from hillbench.usecases.fit_track import find_kept
from hillbench.usecases.gather_runs import Gathered, gather_runs
from hillbench.usecases.keep_forecast import keep_forecast
from hillbench.usecases.kept_fit import KeptFit
from hillbench.usecases.list_drawer import Drawer, list_drawer
from hillbench.usecases.tell_best import tell_facts
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.fit_jobs import Job
from hillbench.web.fits import Asked, Fits, FitWaitPage, ask_for_fit
from hillbench.web.flash import Flash
from hillbench.web.help_wish import WORK_LABELS, read_wish, wish_fields, wish_query
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.reading_links import ReadingLine, chosen_readings, reading_line
from hillbench.web.typed import Typed

router = APIRouter()

MOST_READINGS: Final = 4
_BEFORE_UNIT: Final = re.compile(r"(?<=\d) (?=(?:g|s|mm|min|ms|%)\b|%)")
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
    facts
        What it takes and promises, a few words each.
    look
        Style of its verdict: ``yes``, ``no`` or neither.
    can_keep
        Whether there is a forecast to be kept.
    """

    number: int
    advice: Advice
    facts: tuple[str, ...]
    look: str
    can_keep: bool


@dataclass(frozen=True, slots=True)
class HelpCarPage(Page):
    """What would help a car on a hill.

    Attributes
    ----------
    car_id, car_name, track_id, track_name
        Which car on which hill.
    sentence
        The answer, or what the page is about.
    found
        The advice; None where the wish could not be read.
    fit_key
        Key of the advice, sent along when a forecast is kept.
    picture
        What each change would gain; None without any forecast.
    changes
        Each change, best first.
    readings
        What further readings would tell, most first: percent of the doubt left.
    wish
        The form of target, limit and minutes, as typed.
    wish_fields
        The fields of it that were filled in.
    by_gain, by_minute
        Query of this page ranked either way.
    classes
        Classes to choose from: number and name, with none first; empty where there is no class.
    works
        Kinds of work: field, label, and the minutes that each usually takes.
    kept_count
        Forecasts kept of this car.
    """

    template: ClassVar[str] = "fits/help_car.html"
    place: ClassVar[str] = "cars"

    car_id: int
    car_name: str
    track_id: int
    track_name: str
    sentence: str
    found: CarAdvice | None
    fit_key: str
    picture: Pictured | None
    changes: tuple[ChangeLine, ...]
    readings: tuple[ReadingLine, ...]
    wish: Typed
    wish_fields: tuple[tuple[str, str], ...]
    by_gain: str
    by_minute: str
    classes: tuple[tuple[str, str], ...]
    works: tuple[tuple[str, str, float], ...]
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
    typed_pairs = request.query_params.multi_items()
    answers, wish = read_wish(typed_pairs, preferences, _classes(book))
    if answers.problems:
        typed = answers.refused(InvalidInput(answers.problems))
        return refuse(request, _page(book, pair, None, "", typed))
    gathered = gather_runs(book, track_id, now, also_car_id=car_id)
    title = f"What would help {pair.car.name} on {pair.track.name}"
    asked = Asked(title, pair.address, wish_query(answers.as_typed), car_id)
    kept = ask_for_fit(jobs, book, gathered, asked, now)
    if isinstance(kept, Job):
        return show(request, FitWaitPage(kept))
    drawer = list_drawer(book)
    found = advise_car(gathered, kept, car_id, wish, drawer)
    key = _key(gathered, car_id, wish, drawer)
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
    answers, wish = read_wish(pairs(form), preferences, _classes(book))
    answers.require()
    gathered = gather_runs(book, track_id, now, also_car_id=car_id)
    drawer = list_drawer(book)
    fitted = find_kept(book, KeptFit, gathered.key(KeptFit.__name__))
    number = answers.text("change")
    if fitted is None or answers.text("fit_key") != _key(gathered, car_id, wish, drawer):
        raise _no_longer_latest()
    found = advise_car(gathered, fitted, car_id, wish, drawer)
    if number not in [str(place) for place in range(len(found.advice))]:
        raise _no_longer_latest()
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


def _classes(book: BenchBook) -> tuple[RaceClass, ...]:
    with book.read() as session:
        return list_classes(session)


def _no_longer_latest() -> InvalidInput:
    seen = "of an advice that is no longer the latest"
    allowed = "a forecast of the advice as it is now"
    remedy = "look at the advice again, then keep it"
    return InvalidInput([Problem("the forecast", seen, allowed, remedy)])


def _key(gathered: Gathered, car_id: int, wish: Wish, drawer: Drawer) -> str:
    """Return a key that changes with all that the advice depends on."""
    return gathered.key(CarAdvice.__name__, car_id, wish, drawer)


def _page(
    book: BenchBook, pair: _Pair, found: CarAdvice | None, key: str, wish: Typed
) -> HelpCarPage:
    advice = () if found is None else found.advice
    with book.read() as session:
        kept_count = len(list_forecasts(session, car_id=pair.car.id))
    has_forecast = any(one.forecast.gain_s is not None for one in advice)
    readings = () if found is None else chosen_readings(found.readings, MOST_READINGS)
    return HelpCarPage(
        car_id=pair.car.id,
        car_name=pair.car.name,
        track_id=pair.track.id,
        track_name=pair.track.name,
        sentence=_unbroken(f"What would help {pair.car.name}" if found is None else found.sentence),
        found=found,
        fit_key=key,
        picture=_picture(advice) if has_forecast else None,
        changes=tuple(
            _line(number, one, found) for number, one in enumerate(advice) if found is not None
        ),
        readings=tuple(_reading(one, pair) for one in readings),
        wish=wish,
        wish_fields=wish_fields(wish),
        by_gain=wish_query(wish, rank=""),
        by_minute=wish_query(wish, rank=str(Rank.GAIN_PER_MINUTE)),
        classes=_choices(_classes(book)),
        works=tuple((f"{work}_min", label, MINUTES[work]) for work, label in WORK_LABELS.items()),
        kept_count=kept_count,
    )


def _line(number: int, advice: Advice, found: CarAdvice) -> ChangeLine:
    facts = tell_facts(advice, found.target_time_s, found.currency)
    told = tuple(_unbroken(fact) for fact in facts)
    can_keep = advice.forecast.gain_s is not None
    return ChangeLine(number, advice, told, _LOOKS.get(advice.verdict, ""), can_keep)


def _unbroken(text: str) -> str:
    """Return a text whose numbers keep their units on the same line."""
    return _BEFORE_UNIT.sub("\N{NO-BREAK SPACE}", text)


def _reading(one: Expected, pair: _Pair) -> ReadingLine:
    left = 100.0 * one.share_left**0.5
    return reading_line(one, left, left, car_id=pair.car.id, track_id=pair.track.id)


def _choices(classes: tuple[RaceClass, ...]) -> tuple[tuple[str, str], ...]:
    each = tuple((str(one.id), one.name) for one in classes)
    return (("", "No class"), *each) if each else ()


def _picture(advice: tuple[Advice, ...]) -> Pictured:
    return pictured(lambda width, key: advice_picture(advice, width_px=width, key=key), "advice")
