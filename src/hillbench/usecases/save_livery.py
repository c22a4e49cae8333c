"""Keep a livery: new, renamed, or with its items and settings changed."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from datetime import datetime

from hillbench.decals.item import Item, check_item
from hillbench.errors import InvalidInput, NotFound, Problem
from hillbench.records import decal_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.decal_store import LiveryRecord
from hillbench.records.names import clean_name, clean_note
from hillbench.usecases.decal_documents import scheme_document
from hillbench.usecases.decal_question import DecalQuestion
from hillbench.usecases.show_livery import LiveryView, show_livery

MOST_ITEMS = 200


def add_livery(
    book: BenchBook, casting_id: int, name: str, now: datetime, items: tuple[Item, ...] = ()
) -> LiveryRecord:
    """Add a livery to a casting.

    Parameters
    ----------
    items
        What is in it at first.

    Raises
    ------
    InvalidInput
        If the name is taken or will not do.
    """
    name = clean_name(name)
    scheme = scheme_document(DecalQuestion(items))
    with book.write() as session:
        return decal_store.keep_livery(session, casting_id, name, "", scheme, now)


def change_livery(
    book: BenchBook, view: LiveryView, question: DecalQuestion, now: datetime, *, note: str = ""
) -> LiveryRecord:
    """Keep a changed scheme.

    Parameters
    ----------
    view
        The livery as it was.
    question
        Its scheme as it is to be; its title is the livery's name.

    Raises
    ------
    InvalidInput
        If the name is taken, or an item cannot be used.
    """
    name, note = clean_name(question.title), clean_note(note or view.record.note)
    _check_items(question.items)
    with book.write() as session:
        return decal_store.keep_livery(
            session,
            view.record.casting_id,
            name,
            note,
            scheme_document(question),
            now,
            livery_id=view.record.id,
        )


def keep_item(
    book: BenchBook, livery_id: int, item: Item, now: datetime, *, number: int | None = None
) -> LiveryRecord:
    """Add an item to a livery, or put it in the place of item `number` (from 0).

    Parameters
    ----------
    item
        The item.
    number
        Which item it replaces; None to add one.

    Raises
    ------
    InvalidInput
        With everything about the item that cannot be used.
    NotFound
        If there is no such livery or item.
    """
    view = show_livery(book, livery_id)
    items = list(view.question.items)
    if number is None:
        items.append(item)
    else:
        items[_index(items, number)] = item
    _require_known(view, item)
    return change_livery(book, view, dataclasses.replace(view.question, items=tuple(items)), now)


def drop_item(book: BenchBook, livery_id: int, number: int, now: datetime) -> LiveryRecord:
    """Take an item out of a livery.

    Parameters
    ----------
    number
        Which one, from 0.
    """
    view = show_livery(book, livery_id)
    items = list(view.question.items)
    del items[_index(items, number)]
    return change_livery(book, view, dataclasses.replace(view.question, items=tuple(items)), now)


def move_place(
    book: BenchBook,
    livery_id: int,
    number: int,
    place: int,
    x_mm: float,
    y_mm: float,
    now: datetime,
) -> LiveryRecord:
    """Move one copy of an item on its panel.

    Parameters
    ----------
    number
        Which item, from 0.
    place
        Which of its places, from 0.
    x_mm, y_mm
        Where its middle goes, mm.
    """
    if not (-200.0 <= x_mm <= 400.0 and -200.0 <= y_mm <= 400.0):
        seen = f"{x_mm:g}, {y_mm:g} mm"
        raise InvalidInput([Problem("place", seen, "-200 to 400 mm", "drag it onto the panel")])
    view = show_livery(book, livery_id)
    items = list(view.question.items)
    item = items[_index(items, number)]
    places = list(item.places)
    at = _index(places, place)
    places[at] = dataclasses.replace(places[at], x_mm=round(x_mm, 2), y_mm=round(y_mm, 2))
    items[number] = dataclasses.replace(item, places=tuple(places))
    return change_livery(book, view, dataclasses.replace(view.question, items=tuple(items)), now)


def _index(things: Sequence[object], number: int) -> int:
    if not 0 <= number < len(things):
        raise NotFound("item", number + 1)
    return number


def _require_known(view: LiveryView, item: Item) -> None:
    """Refuse an item that names a panel or art that is not there."""
    panels = {panel.name for panel in view.question.panels}
    problems = [
        Problem(f"places[{at}].panel", repr(place.panel), "a panel of this casting")
        for at, place in enumerate(item.places)
        if place.panel not in panels
    ]
    if item.art is not None and item.art not in view.arts:
        problems.append(Problem("art", repr(item.art), "art that is kept", "add it first"))
    if problems:
        raise InvalidInput(problems)


def _check_items(items: tuple[Item, ...]) -> None:
    problems = [
        dataclasses.replace(one, where=one.where.removeprefix("item.").removeprefix("item"))
        for item in items
        for one in check_item(item, "item")
    ]
    names = [item.name.casefold() for item in items]
    for item in items:
        if not item.name.strip():
            problems.append(Problem("name", "empty", "a name", "type one"))
        elif names.count(item.name.casefold()) > 1:
            problems.append(Problem("name", repr(item.name), "a name that no other item has"))
    if len(items) > MOST_ITEMS:
        problems.append(Problem("items", f"{len(items)}", f"at most {MOST_ITEMS} items"))
    if problems:
        raise InvalidInput(list(dict.fromkeys(problems)))
