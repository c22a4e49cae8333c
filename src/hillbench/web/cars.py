"""Cars: the list, a new one, one that is renamed, and the page of each."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import groupby
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.errors import InvalidInput
from hillbench.records import track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.casting_store import list_castings
from hillbench.records.entities import CarRecord
from hillbench.usecases.list_bench import CarAtBench, list_bench
from hillbench.usecases.save_car import save_car
from hillbench.usecases.show_car import show_car
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.car_page import car_page
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter()

_LABELS: Final = {"name": "The name", "casting": "The casting", "note": "The note"}
_LONGEST_QUERY: Final = 200


@dataclass(frozen=True, slots=True)
class CastingGroup:
    """Cars of one casting."""

    casting: str
    cars: tuple[CarAtBench, ...]


@dataclass(frozen=True)
class CarsPage(Page):
    """The list of cars.

    Attributes
    ----------
    query
        What was searched for; empty for all.
    groups
        Cars found, by casting.
    total
        Number of cars in use.
    track_names
        Names of the tracks the cars ran on last, by number.
    """

    template: ClassVar[str] = "cars/list.html"
    place: ClassVar[str] = "cars"

    query: str
    groups: tuple[CastingGroup, ...]
    total: int
    track_names: Mapping[int, str]


@dataclass(frozen=True)
class EditCarPage(Page):
    """A new car, or another name, casting or note for one.

    Attributes
    ----------
    car
        The car that is changed; None for a new one.
    castings
        Names of the castings there are.
    typed
        The form.
    """

    template: ClassVar[str] = "cars/edit.html"
    place: ClassVar[str] = "cars"

    car: CarRecord | None
    castings: tuple[str, ...]
    typed: Typed


@router.get("/cars")
def show_cars(request: Request, book: Book, q: str = "") -> Response:
    """Show the cars whose name or casting has the words searched for in it."""
    cars = list_bench(book).cars
    query = " ".join(q[:_LONGEST_QUERY].split())
    found = [line for line in cars if _matches(line.car, query)]
    names = last_tracks(book, found)
    return show(request, CarsPage(query, _by_casting(found), len(cars), names))


@router.get("/cars/new")
def show_new_car(request: Request, book: Book, casting: str = "") -> Response:
    """Show the form of a new car."""
    typed = Typed.holding("car", {"casting": casting[:_LONGEST_QUERY]})
    return show(request, EditCarPage(None, _casting_names(book), typed))


@router.post("/cars/new")
def add_car(request: Request, book: Book, preferences: Units, now: Now, form: Form) -> Response:
    """Add a car and show it."""
    answers = Answers("car", pairs(form), preferences, _LABELS)
    name, casting, note = (answers.text(field) for field in _LABELS)
    try:
        car = save_car(book, casting, name, note, now)
    except InvalidInput as wrong:
        return refuse(request, EditCarPage(None, _casting_names(book), answers.refused(wrong)))
    return done(request, f"/cars/{car.id}", Flash(f"{car.name} is in the book. Weigh it next."))


@router.get("/cars/{car_id}")
def show_one_car(request: Request, book: Book, preferences: Units, car_id: Number) -> Response:
    """Show one car."""
    return show(request, car_page(book, car_id, preferences))


@router.get("/cars/{car_id}/edit")
def show_edit_car(request: Request, book: Book, car_id: Number) -> Response:
    """Show the form that renames a car."""
    car = show_car(book, car_id).car
    held = {"name": car.name, "casting": car.casting_name, "note": car.note}
    return show(request, EditCarPage(car, _casting_names(book), Typed.holding("car", held)))


@router.post("/cars/{car_id}/edit")
def change_car(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Keep another name, casting or note."""
    answers = Answers("car", pairs(form), preferences, _LABELS)
    name, casting, note = (answers.text(field) for field in _LABELS)
    try:
        car = save_car(book, casting, name, note, now, car_id=car_id)
    except InvalidInput as wrong:
        car = show_car(book, car_id).car
        return refuse(request, EditCarPage(car, _casting_names(book), answers.refused(wrong)))
    return done(request, f"/cars/{car_id}", Flash(f"{car.name}: the changes are kept."))


def last_tracks(book: BenchBook, cars: Iterable[CarAtBench]) -> dict[int, str]:
    """Return the name of each track that one of the cars ran on last, by number."""
    wanted = {line.last_run.track_id for line in cars if line.last_run is not None}
    with book.read() as session:
        return track_store.names(session, wanted)


def _matches(car: CarRecord, query: str) -> bool:
    text = f"{car.name} {car.casting_name}".casefold()
    return all(word in text for word in query.casefold().split())


def _by_casting(cars: Iterable[CarAtBench]) -> tuple[CastingGroup, ...]:
    def casting(line: CarAtBench) -> tuple[str, str]:
        return (line.car.casting_name.casefold(), line.car.casting_name)

    ordered = sorted(cars, key=lambda line: (*casting(line), line.car.name.casefold()))
    return tuple(
        CastingGroup(name, tuple(group)) for (_, name), group in groupby(ordered, key=casting)
    )


def _casting_names(book: BenchBook) -> tuple[str, ...]:
    with book.read() as session:
        return tuple(casting.name for casting in list_castings(session))
