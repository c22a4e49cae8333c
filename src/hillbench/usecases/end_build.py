"""End a build: finished, or abandoned with what it drew given back."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records import build_store, build_template_store, drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.build_entities import BuildRecord, BuildState, BuildTemplate
from hillbench.records.drawer_entities import DrawerItem, ItemKind
from hillbench.records.names import clean_name, clean_note

_USED_UP: Final = frozenset({ItemKind.LUBRICANT, ItemKind.FILM})
"""Kinds that nobody puts back into the drawer once they were used."""


@dataclass(frozen=True, slots=True)
class DrawnItem:
    """What a build holds of one item of the drawer.

    Attributes
    ----------
    item
        The item.
    amount
        How much was drawn and not given back.
    comes_back
        Whether it is given back when the build is abandoned, unless said otherwise.
    """

    item: DrawerItem
    amount: float
    comes_back: bool


def finish_build(
    book: BenchBook, build_id: int, now: datetime, *, anyway: bool = False
) -> BuildRecord:
    """Note that a build is finished.

    Parameters
    ----------
    anyway
        Whether it is, although steps are left.

    Raises
    ------
    InvalidInput
        If steps are left and `anyway` is not given.
    """
    with book.write() as session:
        _require_in_hand(build_store.find_build(session, build_id))
        steps = build_store.list_steps(session, build_id)
        left = [one.step.title for one in steps if one.done_at is None]
        if left and not anyway:
            named = ", ".join(repr(title) for title in left[:3])
            more = f" and {len(left) - 3} more" if len(left) > 3 else ""
            remedy = f"do {named}{more}, or tick that you leave them out"
            seen = f"a build with {len(left)} steps left"
            raise InvalidInput([Problem("anyway", seen, "a build whose steps are done", remedy)])
        values = {"state": BuildState.FINISHED, "ended_at": now, "changed_at": now}
        return build_store.change_build(session, build_id, values)


def abandon_build(
    book: BenchBook, build_id: int, now: datetime, *, give_back: Collection[int] | None = None
) -> BuildRecord:
    """Give a build up and put back into the drawer what it drew.

    Parameters
    ----------
    give_back
        Numbers of the items that go back; by default all but what is used up.
    """
    with book.write() as session:
        build = build_store.find_build(session, build_id)
        _require_in_hand(build)
        for step_id, item_id, amount in _held(session, build_id):
            item = drawer_store.find_item(session, item_id)
            back = item.kind not in _USED_UP if give_back is None else item_id in give_back
            if back:
                note = f"{build.name}, abandoned"
                drawer_store.give_back(
                    session, item_id, amount, now, note=note, build_step_id=step_id
                )
        values = {"state": BuildState.ABANDONED, "ended_at": now, "changed_at": now}
        return build_store.change_build(session, build_id, values)


def resume_build(book: BenchBook, build_id: int, now: datetime) -> BuildRecord:
    """Take up a build again that was ended; what went back into the drawer stays there."""
    with book.write() as session:
        values = {"state": BuildState.IN_HAND, "ended_at": None, "changed_at": now}
        return build_store.change_build(session, build_id, values)


def drawn_items(session: Session, build_id: int) -> tuple[DrawnItem, ...]:
    """Return what a build holds of the drawer.

    Parameters
    ----------
    session
        An open session.
    """
    amounts: dict[int, float] = {}
    for _, item_id, amount in _held(session, build_id):
        amounts[item_id] = round(amounts.get(item_id, 0.0) + amount, 3)
    items = [
        (drawer_store.find_item(session, item_id), amount) for item_id, amount in amounts.items()
    ]
    return tuple(DrawnItem(item, amount, item.kind not in _USED_UP) for item, amount in items)


def save_template(
    book: BenchBook, build_id: int, name: str, now: datetime, *, note: str = ""
) -> BuildTemplate:
    """Keep the steps of a build as a template for others.

    Raises
    ------
    InvalidInput
        If the name is taken or will not do.
    """
    name, note = clean_name(name), clean_note(note)
    with book.write() as session:
        steps = [one.step for one in build_store.list_steps(session, build_id)]
        return build_template_store.add_template(session, name, note, steps, now)


def _require_in_hand(build: BuildRecord) -> None:
    if build.state is not BuildState.IN_HAND:
        seen = f"{build.name!r}, which is {build.state} already"
        raise InvalidInput([Problem("build", seen, "a build in hand")])


def _held(session: Session, build_id: int) -> list[tuple[int, int, float]]:
    """Return step, item and amount of all that was drawn and not given back."""
    steps = build_store.list_steps(session, build_id, include_removed=True)
    left: dict[tuple[int, int], float] = {}
    for move in drawer_store.moves_of_steps(session, [one.id for one in steps]):
        if move.build_step_id is not None:
            key = (move.build_step_id, move.item_id)
            left[key] = round(left.get(key, 0.0) - move.amount, 3)
    return [(step, item, amount) for (step, item), amount in left.items() if amount > 0.0]
