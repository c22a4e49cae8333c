"""What is in the drawer of the invented club."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any, Final

from sqlalchemy.orm import Session

from hillbench.records import drawer_store
from hillbench.records.drawer_entities import ItemEntry, ItemKind, StockUnit

_BOUGHT_DAYS_AGO: Final = 60
_TACKLE: Final = "tackle shop by the lock"
_MODELS: Final = "model shop, order by post"

Row = tuple[ItemKind, str, StockUnit, str, str, float, float, dict[str, Any]]

_ROWS: Final[tuple[Row, ...]] = (
    (
        *(ItemKind.BALLAST_PIECE, "lead quarter ounce", StockUnit.PIECE, "0.32", _TACKLE, 24, 6),
        {"mass_g": 7.09, "size_mm": [19.0, 12.7, 2.6], "lie_flat": True, "metal": "lead"},
    ),
    (
        *(ItemKind.BALLAST_PIECE, "tungsten cube 5 mm", StockUnit.PIECE, "2.90", _MODELS, 9, 4),
        {"mass_g": 2.31, "size_mm": [5.0, 5.0, 5.0], "metal": "tungsten"},
    ),
    (
        *(ItemKind.BALLAST_PIECE, "steel bar", StockUnit.PIECE, "0.15", "cut at home", 8, 2),
        {"mass_g": 2.83, "size_mm": [20.0, 6.0, 3.0], "lie_flat": True, "metal": "steel"},
    ),
    (
        *(ItemKind.SCREW, "2-56 × 1/4 in pan", StockUnit.PIECE, "0.09", _MODELS, 30, 8),
        {"thread": "2-56", "length_mm": 6.35, "head": "pan"},
    ),
    (
        *(ItemKind.BIT, "drill 1.8 mm", StockUnit.PIECE, "1.40", "ironmonger", 2, 1),
        {"diameter_mm": 1.8},
    ),
    (
        *(ItemKind.BIT, "drill 1.6 mm, pilot", StockUnit.PIECE, "1.40", "ironmonger", 1, 1),
        {"diameter_mm": 1.6},
    ),
    (
        *(ItemKind.BIT, "drill 4 mm, rivet heads", StockUnit.PIECE, "2.10", "ironmonger", 2, 0),
        {"diameter_mm": 4.0},
    ),
    (ItemKind.LUBRICANT, "dry graphite", StockUnit.GRAM, "1.10", "lock shop", 5.0, 1.0, {}),
    (
        *(ItemKind.FILM, "clear decal film A5", StockUnit.SHEET, "1.25", _MODELS, 6, 2),
        {"film": "clear", "width_mm": 148.0, "height_mm": 210.0},
    ),
    (
        *(ItemKind.FILM, "white decal film A5", StockUnit.SHEET, "1.60", _MODELS, 2, 2),
        {"film": "white", "width_mm": 148.0, "height_mm": 210.0},
    ),
    (
        *(ItemKind.WHEEL, "turned wheels, 10.6 mm", StockUnit.PAIR, "4.80", "Odo’s lathe", 3, 1),
        {"diameter_mm": 10.6, "mass_g": 0.71},
    ),
    (ItemKind.OTHER, "double-sided tape, roll", StockUnit.PIECE, "3.50", "stationer", 1, 0, {}),
)
"""Kind, name, unit, price, supplier, bought, level to reorder at, and details of each item."""


def fill_drawer(session: Session, now: datetime) -> dict[str, int]:
    """Add the items with what was bought; return their numbers by name.

    Parameters
    ----------
    session
        A session that writes.
    now
        Present moment, UTC.
    """
    at = now - timedelta(days=_BOUGHT_DAYS_AGO)
    numbers = {}
    for kind, name, unit, price, supplier, bought, level, details in _ROWS:
        named = {"name": name} if kind is ItemKind.BALLAST_PIECE else {}
        entry = ItemEntry(
            kind, name, "", unit, Decimal(price), supplier, level, {**named, **details}
        )
        item = drawer_store.add_item(session, entry, at)
        drawer_store.buy(session, item.id, bought, at)
        numbers[name] = item.id
    return numbers
