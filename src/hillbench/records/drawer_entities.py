"""What is in the drawer, as plain values."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from enum import StrEnum
from typing import Any


class ItemKind(StrEnum):
    """What an item of the drawer is for."""

    BALLAST_PIECE = "ballast piece"
    SCREW = "screw"
    BIT = "bit"
    LUBRICANT = "lubricant"
    FILM = "film"
    WHEEL = "wheel"
    OTHER = "other"


class StockUnit(StrEnum):
    """What stock is counted in."""

    PIECE = "piece"
    SHEET = "sheet"
    PAIR = "pair"
    GRAM = "g"
    MILLILITRE = "ml"

    @property
    def is_counted(self) -> bool:
        """Whether only whole numbers of it are kept."""
        return self in (StockUnit.PIECE, StockUnit.SHEET, StockUnit.PAIR)

    def amount(self, amount: float) -> str:
        """Return an amount in words: 1 piece, 4 pieces, 2.5 g."""
        if not self.is_counted:
            return f"{amount:g} {self}"
        return f"{amount:g} {self}" if amount == 1 else f"{amount:g} {self}s"


class MoveKind(StrEnum):
    """Why the stock of an item changed."""

    BOUGHT = "bought"
    DRAWN = "drawn"
    GIVEN_BACK = "given back"
    COUNTED = "counted"


@dataclass(frozen=True, slots=True)
class DrawerItem:
    """One kind of thing in the drawer.

    Attributes
    ----------
    kind
        What it is for.
    unit
        What its stock is counted in.
    stock
        How much of it there is: the sum of its journal.
    unit_price
        Price of one unit in the bench's currency, exact; None where not known.
    supplier_note
        Where it comes from; may be empty.
    reorder_level
        Stock at or below which more is to be bought; None where nobody minds.
    details
        What the kind asks for. Of a ballast piece the entry of the stock in the file of
        `hillbench ballast` without its count; of a screw ``thread``, ``length_mm`` and
        ``head``; of a bit ``diameter_mm``; of a film ``film`` (``clear`` or ``white``),
        ``width_mm`` and ``height_mm``; of a wheel ``diameter_mm`` and ``mass_g``. Of any kind
        perhaps ``mass_g``, the mass of one unit, g.
    """

    id: int
    kind: ItemKind
    name: str
    note: str
    unit: StockUnit
    stock: float
    unit_price: Decimal | None
    supplier_note: str
    reorder_level: float | None
    details: dict[str, Any]
    created_at: datetime
    changed_at: datetime
    removed_at: datetime | None = None

    @property
    def runs_low(self) -> bool:
        """Whether more is to be bought."""
        return self.reorder_level is not None and self.stock <= self.reorder_level

    @property
    def mass_g(self) -> float | None:
        """Mass of one unit, g; None where not known."""
        if self.unit is StockUnit.GRAM:
            return 1.0
        mass_g = self.details.get("mass_g")
        return None if mass_g is None else float(mass_g)


@dataclass(frozen=True, slots=True)
class StockMove:
    """One change of the stock of an item.

    Attributes
    ----------
    amount
        What came in (positive) or went out (negative), in the unit of the item.
    unit_price
        Price of one unit when it happened; None where not known.
    build_step_id
        The step of a build that drew it or gave it back.
    """

    id: int
    item_id: int
    kind: MoveKind
    amount: float
    unit_price: Decimal | None
    at: datetime
    note: str
    build_step_id: int | None = None


@dataclass(frozen=True, slots=True)
class ItemEntry:
    """What is entered of an item; see `DrawerItem` for its fields."""

    kind: ItemKind
    name: str
    note: str
    unit: StockUnit
    unit_price: Decimal | None
    supplier_note: str
    reorder_level: float | None
    details: dict[str, Any]
