"""What a hill is made of: what its runs tell of it and of its cars, and what they do not."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import NotFound
from hillbench.fitting.finding import Knowledge
from hillbench.fitting.misfit import Residual
from hillbench.fitting.readings import TRACK
from hillbench.pictures.posterior import PosteriorRow, posterior_picture
from hillbench.pictures.residual import residual_picture, residual_sentence
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TimedRun
from hillbench.records.track_store import find_track
from hillbench.usecases.compare_outing import car_labels
from hillbench.usecases.fit_file import UnknownAnswer
from hillbench.usecases.fit_track import MadeOf, tell_track
from hillbench.usecases.gather_runs import Gathered, VersionRuns, gather_runs
from hillbench.usecases.tell_fit import UNKNOWN_WORDS, owner_words
from hillbench.usecases.tell_made_of import (
    CARS,
    HILL,
    SLOPES,
    Known,
    as_slope_deg,
    tell_knowledge,
    tell_unknowns,
)
from hillbench.web.answer import show
from hillbench.web.asking import Book, Now, Number
from hillbench.web.fit_jobs import Job
from hillbench.web.fits import Asked, Fits, FitWaitPage, ask_for_fit
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.reading_links import ReadingLine, chosen_readings, reading_line

router = APIRouter()

MOST_READINGS: Final = 5
_UNITS: Final = {"cm2": "cm²", "deg": "°", "1/deg": "1/°"}


@dataclass(frozen=True, slots=True)
class OddLine:
    """A run in which something probably went wrong."""

    run: TimedRun
    car_name: str
    late_s: float
    probability: float


@dataclass(frozen=True, slots=True)
class MadeOfPage(Page):
    """What a hill is made of.

    Attributes
    ----------
    track_id, track_name
        The hill.
    sentence
        The answer.
    made
        The fit; None before any run was timed there.
    versions, chosen
        Versions of the track with runs, newest first, and the number of the one shown.
    car_count
        Cars that ran there.
    hill, loads, rest
        Pictures of what was believed before and is known now: of the hill, of the load loss of
        each car, of the rest of each car; None without any.
    known_hill, known_cars
        The same in words.
    knowledge
        What is known, partly known and not known: heading and sentence.
    readings
        What further readings would tell, most first.
    stretches, masses, stretches_say, masses_say
        Residuals along the track and by car and mass, and what they say.
    odd
        Runs that count less.
    """

    template: ClassVar[str] = "fits/made_of.html"
    place: ClassVar[str] = "tracks"

    track_id: int
    track_name: str
    sentence: str
    made: MadeOf | None
    versions: tuple[VersionRuns, ...]
    chosen: int
    car_count: int
    hill: Pictured | None
    loads: Pictured | None
    rest: Pictured | None
    known_hill: tuple[Known, ...]
    known_cars: tuple[Known, ...]
    knowledge: tuple[tuple[str, str], ...]
    readings: tuple[ReadingLine, ...]
    stretches: Pictured | None
    masses: Pictured | None
    stretches_say: str
    masses_say: str
    odd: tuple[OddLine, ...]


@router.get("/tracks/{track_id}/made-of")
def show_made_of(
    request: Request, book: Book, jobs: Fits, now: Now, track_id: Number, version: int = 0
) -> Response:
    """Show what a hill is made of, or how far its fit is."""
    with book.read() as session:
        track = find_track(session, track_id)
    if track.removed_at is not None:
        raise NotFound("track", track_id)
    gathered = gather_runs(book, track_id, now, number=version or None)
    if not gathered.runs:
        return show(request, _empty_page(gathered))
    query = f"?{urlencode({'version': version})}" if version else ""
    asked = Asked(f"What {track.name} is made of", f"/tracks/{track_id}/made-of", query)
    kept = ask_for_fit(jobs, book, gathered, asked, now)
    if isinstance(kept, Job):
        return show(request, FitWaitPage(kept))
    return show(request, _page(book, gathered, tell_track(gathered, kept)))


def _empty_page(gathered: Gathered) -> MadeOfPage:
    sentence = "No run was timed here yet, so nothing is known of this hill but what you entered."
    return MadeOfPage(
        track_id=gathered.track.id,
        track_name=gathered.track.name,
        sentence=sentence,
        made=None,
        versions=_versions(gathered),
        chosen=gathered.track.number,
        car_count=0,
        hill=None,
        loads=None,
        rest=None,
        known_hill=(),
        known_cars=(),
        knowledge=(),
        readings=(),
        stretches=None,
        masses=None,
        stretches_say="",
        masses_say="",
        odd=(),
    )


def _page(book: BenchBook, gathered: Gathered, made: MadeOf) -> MadeOfPage:
    answer = made.answer
    of_hill = [one for one in answer.unknowns if one.owner == TRACK]
    hill = tell_unknowns(of_hill, HILL)
    cars = tell_unknowns(answer.unknowns, CARS)
    loads = [one for one in answer.unknowns if one.name == "load_loss"]
    loads.sort(key=lambda one: one.median)
    rest = [one for name in CARS[1:] for one in answer.unknowns if one.name == name]
    by_stretch, by_mass = answer.residuals_by_stretch, answer.residuals_by_mass
    return MadeOfPage(
        track_id=gathered.track.id,
        track_name=gathered.track.name,
        sentence=answer.sentence,
        made=made,
        versions=_versions(gathered),
        chosen=gathered.track.number,
        car_count=len({run.car_id for run in gathered.runs}),
        hill=_beliefs([one for one in of_hill if one.name in HILL], "hill", with_owner=""),
        loads=_beliefs(loads, "loads", with_owner="alone"),
        rest=_beliefs(rest, "rest", with_owner="too"),
        known_hill=hill,
        known_cars=cars,
        knowledge=tell_knowledge((*hill, *cars)),
        readings=_readings(made, gathered.track.id),
        stretches=_residuals(by_stretch, "stretches") if len(by_stretch) > 1 else None,
        masses=_residuals(by_mass, "masses") if by_mass else None,
        stretches_say=residual_sentence(by_stretch),
        masses_say=residual_sentence(by_mass),
        odd=_odd(book, gathered, made),
    )


def _versions(gathered: Gathered) -> tuple[VersionRuns, ...]:
    return tuple(one for one in gathered.versions if one.run_count)


def _beliefs(unknowns: list[UnknownAnswer], key: str, *, with_owner: str) -> Pictured | None:
    if not unknowns:
        return None
    rows = [_row(one, with_owner) for one in unknowns]
    return pictured(lambda width, name: posterior_picture(rows, width_px=width, key=name), key)


def _row(one: UnknownAnswer, with_owner: str) -> PosteriorRow:
    owner = owner_words(one.name, one.owner)
    words = UNKNOWN_WORDS[one.name]
    words = f"{words[:1].upper()}{words[1:]}"
    told = {"": words, "alone": owner, "too": f"{owner}: {UNKNOWN_WORDS[one.name]}"}
    return PosteriorRow(
        told[with_owner],
        "°" if one.name in SLOPES else _UNITS.get(one.unit, one.unit),
        _shown(one, one.prior_low, one.prior_median, one.prior_high),
        _shown(one, one.low, one.median, one.high),
        one.knowledge == Knowledge.KNOWN,
    )


def _shown(one: UnknownAnswer, *values: float) -> tuple[float, float, float]:
    """Return low, median and high as they are told: a loss in proportion to load as a slope."""
    low, middle, high = map(as_slope_deg, values) if one.name in SLOPES else values
    return low, middle, high


def _residuals(residuals: tuple[Residual, ...], key: str) -> Pictured:
    return pictured(lambda width, name: residual_picture(residuals, width_px=width, key=name), key)


def _readings(made: MadeOf, track_id: int) -> tuple[ReadingLine, ...]:
    """Return the readings that tell most, with where they are taken."""
    car_id = made.readings_with_id
    if car_id is None:
        return ()
    chosen = chosen_readings(made.readings, MOST_READINGS)
    most = max((one.bits for one in chosen), default=1.0) or 1.0
    return tuple(
        reading_line(one, one.bits, 100.0 * one.bits / most, car_id=car_id, track_id=track_id)
        for one in chosen
    )


def _odd(book: BenchBook, gathered: Gathered, made: MadeOf) -> tuple[OddLine, ...]:
    with book.read() as session:
        names = car_labels(session, tuple({run.car_id for run in gathered.runs}))
    lines = []
    for one in made.answer.odd_runs:
        run = gathered.runs[one.number]
        lines.append(OddLine(run, names[run.car_id], one.late_s, one.probability))
    return tuple(reversed(lines))
