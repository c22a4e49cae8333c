"""Plan a build: what it is to do, or a template to begin from."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final

from fastapi import APIRouter, Request
from starlette.responses import Response

from hillbench.building.drilling import DENSITY_G_CM3
from hillbench.building.plan import Fixing
from hillbench.errors import InvalidInput
from hillbench.records import (
    ballast_plan_store,
    build_store,
    build_template_store,
    car_store,
    drawer_store,
)
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildTemplate
from hillbench.records.drawer_entities import DrawerItem, ItemKind
from hillbench.records.entities import CarRecord
from hillbench.usecases.begin_build import begin_build, begin_from_template
from hillbench.usecases.build_entry import BuildEntry
from hillbench.usecases.list_goals import Goals, list_goals
from hillbench.web.answer import done, refuse, show
from hillbench.web.asking import Book, Form, Now, Number, Units, pairs
from hillbench.web.build_form import LABELS, held_entry, read_entry, read_terms
from hillbench.web.flash import Flash
from hillbench.web.page import Page
from hillbench.web.typed import Answers, Typed

router = APIRouter(prefix="/cars/{car_id}/builds/new")

_USUAL: Final = BuildEntry(graphite_rounds=3)
Choice = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class PlanPage(Page):
    """The form that plans a build.

    Attributes
    ----------
    car
        The car.
    ballast_plan
        Name of its chosen ballast plan; empty for none.
    pieces
        Ballast pieces in the drawer.
    screws, wheels, films, lubricants
        Choices from the drawer, as value and word.
    materials, fixings
        Choices, as value and word.
    templates
        Templates to begin from.
    goals
        Classes and meets it can be built to.
    typed
        The form.
    """

    template: ClassVar[str] = "builds/plan.html"
    place: ClassVar[str] = "bench"

    car: CarRecord
    ballast_plan: str
    pieces: tuple[DrawerItem, ...]
    screws: Choice
    wheels: Choice
    films: Choice
    lubricants: Choice
    materials: Choice
    fixings: Choice
    templates: tuple[BuildTemplate, ...]
    goals: Goals
    typed: Typed


@router.get("")
def show_plan(
    request: Request, book: Book, preferences: Units, now: Now, car_id: Number
) -> Response:
    """Show the form, filled as the last build of the car was planned."""
    with book.read() as session:
        before = build_store.list_builds(session, car_id=car_id)
        chosen = ballast_plan_store.chosen_ballast_plan(session, car_id) is not None
    entry = BuildEntry.from_plain(before[0].plan) if before and before[0].plan else _USUAL
    held = held_entry(entry, preferences)
    number = len(before) + 1
    held |= {"name": f"Build {number}", "bench_from": "19:00", "bench_to": "21:30"}
    held["other_scale_step_g"] = "0.1 g"
    if chosen:
        held["use_ballast_plan"] = "on"
    return show(request, _page(book, car_id, list_goals(book, now), Typed.holding("build", held)))


@router.post("")
def begin(
    request: Request, book: Book, preferences: Units, now: Now, form: Form, car_id: Number
) -> Response:
    """Begin the build and show its steps."""
    answers = Answers("build", pairs(form), preferences, LABELS)
    template = answers.text("template_id")
    goals = list_goals(book, now)
    entry, terms = read_entry(answers), read_terms(answers, goals)
    try:
        answers.require()
        if template.isdecimal():
            build = begin_from_template(book, car_id, int(template), terms, now)
        else:
            build = begin_build(book, car_id, entry, terms, now)
    except InvalidInput as wrong:
        return refuse(request, _page(book, car_id, goals, answers.refused(wrong)))
    told = f"{build.name} is on the bench. Look over its steps, then take up the first."
    undo = f"/undo/put-away/build/{build.id}?back=/cars/{car_id}"
    return done(request, f"/builds/{build.id}", Flash(told, undo))


def _page(book: BenchBook, car_id: int, goals: Goals, typed: Typed) -> PlanPage:
    with book.read() as session:
        car = car_store.find_car(session, car_id)
        items = drawer_store.list_items(session)
        templates = build_template_store.list_templates(session)
        chosen = ballast_plan_store.chosen_ballast_plan(session, car_id)
    of_kind = {kind: tuple(one for one in items if one.kind is kind) for kind in ItemKind}
    return PlanPage(
        car=car,
        ballast_plan=chosen.name if chosen else "",
        pieces=tuple(one for one in of_kind[ItemKind.BALLAST_PIECE] if one.mass_g is not None),
        screws=_choice(of_kind, ItemKind.SCREW, "not from the drawer"),
        wheels=_choice(of_kind, ItemKind.WHEEL, "the wheels stay"),
        films=_choice(of_kind, ItemKind.FILM, "not from the drawer"),
        lubricants=_choice(of_kind, ItemKind.LUBRICANT, "not from the drawer"),
        materials=tuple((name, name) for name in DENSITY_G_CM3),
        fixings=tuple((str(one), str(one)) for one in Fixing),
        templates=templates,
        goals=goals,
        typed=typed,
    )


def _choice(
    of_kind: Mapping[ItemKind, tuple[DrawerItem, ...]], kind: ItemKind, none: str
) -> Choice:
    found = [(str(one.id), f"{one.name} ({one.unit.amount(one.stock)})") for one in of_kind[kind]]
    return (("", none), *found)
