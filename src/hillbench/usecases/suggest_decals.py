"""Suggest where an item goes by habit, and carry a livery to another casting."""

from __future__ import annotations

import dataclasses
from datetime import datetime

from hillbench.decals.cut_line import cut_line
from hillbench.decals.draw_item import DARK, draw_item
from hillbench.decals.habit import Suggestion, suggest_places
from hillbench.decals.item import Item
from hillbench.decals.livery import Carried, carry
from hillbench.errors import InvalidInput, Problem
from hillbench.records import decal_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.decal_store import LiveryRecord
from hillbench.records.names import clean_name
from hillbench.usecases.decal_documents import scheme_document
from hillbench.usecases.show_livery import LiveryView, panels_in


def kind_of(item: Item) -> str:
    """Return what an item is by habit: a number, a logo or a name."""
    if item.art is not None:
        return "logo"
    return "number" if (item.text or "").strip().isdecimal() else "name"


def suggest(view: LiveryView, item: Item) -> tuple[Suggestion, ...]:
    """Return the places that an item takes by habit on the panels of a livery.

    Parameters
    ----------
    view
        The livery.
    item
        The item.

    Raises
    ------
    InvalidInput
        If it cannot be drawn, or no panel takes it by habit.
    """
    art = draw_item(item, item.height_mm, DARK, view.arts)
    cut = cut_line(
        art.silhouette(), view.question.gap_mm, view.question.corner_radius_mm
    ).shape.bounds
    kind = kind_of(item)
    found = suggest_places(
        kind, cut[2] - cut[0], cut[3] - cut[1], item.height_mm, view.question.panels
    )
    if not found and kind == "name":
        found = suggest_places(
            "logo", cut[2] - cut[0], cut[3] - cut[1], item.height_mm, view.question.panels
        )
    if not found:
        roles = {"number": "doors, a bonnet or a boot", "logo": "doors"}.get(kind, "glass or doors")
        seen = f"a {kind} on a casting without {roles}"
        raise InvalidInput(
            [Problem("places", seen, "panels it takes by habit", "place it by hand")]
        )
    return found


def preview_carry(book: BenchBook, view: LiveryView, casting_id: int) -> Carried:
    """Return a livery as it would be on another casting, and what changes.

    Parameters
    ----------
    view
        The livery.
    """
    with book.read() as session:
        panels = panels_in(session, casting_id)
    if not panels:
        allowed = "a casting with panels"
        raise InvalidInput(
            [Problem("casting_id", "one without panels", allowed, "measure its panels first")]
        )
    question = view.question
    return carry(
        question.items,
        question.panels,
        panels,
        view.arts,
        gap_mm=question.gap_mm,
        radius_mm=question.corner_radius_mm,
    )


def carry_livery(
    book: BenchBook, view: LiveryView, casting_id: int, name: str, now: datetime
) -> LiveryRecord:
    """Keep a livery, scaled to another casting, under a new name; its note tells what changed.

    Parameters
    ----------
    view
        The livery.
    """
    carried = preview_carry(book, view, casting_id)
    scheme = dataclasses.replace(view.question, items=carried.items)
    note = "\n".join((f"Carried over from {view.record.name}.", *carried.changes))
    with book.write() as session:
        return decal_store.keep_livery(
            session, casting_id, clean_name(name), note[:9000], scheme_document(scheme), now
        )
