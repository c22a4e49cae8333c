"""A livery on the panels of its casting, judged."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

from sqlalchemy.orm import Session

from hillbench.decals.item import Item
from hillbench.decals.panel import Panel
from hillbench.errors import InvalidInput
from hillbench.records import casting_store, decal_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.decal_store import LiveryRecord
from hillbench.records.entities import CastingRecord
from hillbench.usecases.decal_documents import read_art, read_panel, read_scheme
from hillbench.usecases.decal_question import Arts, DecalQuestion, check_decal_question
from hillbench.usecases.plan_decals import (
    DecalPlan,
    Judged,
    judge_pieces,
    pieces_of,
    plan_decals,
)


@dataclass(frozen=True, slots=True)
class LiveryView:
    """A livery with all that is needed to draw and judge it.

    Attributes
    ----------
    record
        As kept.
    casting
        Its casting.
    question
        Its scheme on the casting's panels; places on panels that are gone are left out.
    arts
        Art by name.
    judged
        Every item on every panel.
    lost
        Places that were left out, one sentence each.
    problems
        Why it cannot be drawn; empty where it can.
    """

    record: LiveryRecord
    casting: CastingRecord
    question: DecalQuestion
    arts: Arts
    judged: tuple[Judged, ...]
    lost: tuple[str, ...]
    problems: tuple[str, ...]


def show_livery(book: BenchBook, livery_id: int) -> LiveryView:
    """Return a livery, drawn and judged.

    Raises
    ------
    NotFound
        If there is none.
    """
    with book.read() as session:
        record = decal_store.find_livery(session, livery_id)
        casting = casting_store.find_casting(session, record.casting_id)
        panels = panels_in(session, record.casting_id)
        arts = arts_in(session)
    question, lost = without_lost_places(read_scheme(record.scheme, record.name, panels))
    judged: tuple[Judged, ...] = ()
    problems: tuple[str, ...] = ()
    if question.items:
        try:
            check_decal_question(question)
            judged = judge_pieces(question, pieces_of(question, arts))
        except InvalidInput as wrong:
            problems = tuple(problem.sentence() for problem in wrong.problems)
    return LiveryView(record, casting, question, arts, judged, lost, problems)


def plan_livery(view: LiveryView) -> DecalPlan:
    """Return the sheets of a livery.

    Parameters
    ----------
    view
        The livery.

    Raises
    ------
    InvalidInput
        If it has no items, or they cannot be used or do not fit the paper.
    """
    return plan_decals(view.question, view.arts)


def panels_in(session: Session, casting_id: int) -> tuple[Panel, ...]:
    """Return the panels of a casting.

    Parameters
    ----------
    session
        Of an open bench book.
    """
    return tuple(read_panel(one.panel) for one in decal_store.list_panels(session, casting_id))


def arts_in(session: Session) -> Arts:
    """Return all kept art by name."""
    return {one.name: read_art(one.content) for one in decal_store.list_art(session)}


def without_lost_places(question: DecalQuestion) -> tuple[DecalQuestion, tuple[str, ...]]:
    """Return a scheme without places on panels that are gone, and a sentence for each.

    Parameters
    ----------
    question
        The scheme.
    """
    known = {panel.name for panel in question.panels}
    lost = tuple(
        f"{item.name}: its place on {place.panel} is left out, as that panel is gone."
        for item in question.items
        for place in item.places
        if place.panel not in known
    )
    items = tuple(_only(item, known) for item in question.items)
    return dataclasses.replace(question, items=items), lost


def _only(item: Item, known: set[str]) -> Item:
    places = tuple(place for place in item.places if place.panel in known)
    return dataclasses.replace(item, places=places)
