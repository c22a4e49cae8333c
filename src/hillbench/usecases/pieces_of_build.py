"""The pieces of weight of a build: from the car's chosen ballast plan, or from the drawer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from sqlalchemy.orm import Session

from hillbench.building.plan import Piece
from hillbench.building.step import Draw
from hillbench.errors import InvalidInput, Problem
from hillbench.records import ballast_plan_store, drawer_store
from hillbench.records.drawer_entities import DrawerItem, ItemKind
from hillbench.usecases.build_entry import BuildEntry

_MOST_PIECES: Final = 60
_SHARE: Final = 0.005
_LEAST_G: Final = 0.01
"""Standard uncertainty of a piece's noted mass: half a percent, and 0.01 g at least; common
practice, no source."""


@dataclass(frozen=True, slots=True)
class Weight:
    """What puts weight into a car.

    Attributes
    ----------
    pieces
        In the order they go in.
    putty_g, putty_stop_g
        Putty after them, 0 for none, and what the finished car is to weigh, g.
    screws_counted
        Whether the ballast plan counts the screws among its fixed masses.
    """

    pieces: tuple[Piece, ...] = ()
    putty_g: float = 0.0
    putty_stop_g: float | None = None
    screws_counted: bool = False


def pieces_of_build(session: Session, car_id: int, entry: BuildEntry) -> Weight:
    """Return the pieces of weight of a build, and its putty.

    Parameters
    ----------
    session
        An open session.
    entry
        What is to be done.

    Raises
    ------
    InvalidInput
        If there is no chosen ballast plan, or a piece is none.
    """
    if not entry.use_ballast_plan:
        return Weight(tuple(_from_drawer(session, entry)))
    plan = ballast_plan_store.chosen_ballast_plan(session, car_id)
    if plan is None:
        allowed = "a ballast plan that is kept and chosen for this car"
        remedy = "choose one on its page, or list the pieces here"
        raise InvalidInput([Problem("use_ballast_plan", "without a plan", allowed, remedy)])
    pieces = _of_plan(session, plan.answer, plan.question)
    putty = plan.answer.get("putty")
    if not putty:
        return Weight(pieces)
    fixed = plan.question.get("fixed", ())
    counted = any("screw" in str(one.get("name", "")).casefold() for one in fixed)
    return Weight(pieces, putty["mass_g"], plan.answer.get("total_g"), counted)


def _of_plan(
    session: Session, answer: dict[str, Any], question: dict[str, Any]
) -> tuple[Piece, ...]:
    items = {item.name: item for item in drawer_store.list_items(session, ItemKind.BALLAST_PIECE)}
    metals = {one["name"]: one.get("metal") or "" for one in question.get("stock", ())}
    texts = {step["number"]: step["text"] for step in answer.get("steps", ())}
    return tuple(
        _piece(
            one["name"],
            1,
            one["mass_g"],
            texts.get(one["number"], ""),
            metals.get(one["name"], ""),
            items.get(one["name"]),
        )
        for one in answer.get("placements", ())
    )


def _from_drawer(session: Session, entry: BuildEntry) -> list[Piece]:
    pieces: list[Piece] = []
    for place, wanted in enumerate(entry.pieces):
        item = drawer_store.find_item(session, wanted.item_id)
        mass_g = item.mass_g
        if mass_g is None:
            remedy = "enter what one weighs in the drawer"
            seen = f"{item.name!r}, whose mass is not known"
            where = f"pieces[{place}]"
            raise InvalidInput([Problem(where, seen, "a piece of known mass", remedy)])
        if not 1 <= wanted.count <= _MOST_PIECES:
            allowed = f"between 1 and {_MOST_PIECES}"
            raise InvalidInput([Problem(f"pieces[{place}].count", str(wanted.count), allowed)])
        metal = str(item.details.get("metal") or "")
        pieces.append(_piece(item.name, wanted.count, mass_g, "", metal, item))
    return pieces


def _piece(
    name: str, count: int, mass_g: float, place: str, metal: str, item: DrawerItem | None
) -> Piece:
    uncertainty_g = max(_SHARE * mass_g, _LEAST_G)
    draw = Draw(item.id, float(count)) if item else None
    return Piece(name, count, mass_g, uncertainty_g, place, metal, draw)
