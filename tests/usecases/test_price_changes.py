"""What changes cost comes from the drawer: what is in stock, else what is to be bought."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from typing import Any

import pytest

from hillbench.fitting.change import Change
from hillbench.fitting.evidence import Setup
from hillbench.records.drawer_entities import DrawerItem, ItemKind, StockUnit
from hillbench.usecases.list_drawer import Drawer
from hillbench.usecases.price_changes import price_changes, wheel_changes
from tests.fitting.world import CAR

SETUP = Setup("Mustard", "dry", CAR)
HEAVIER = Change("add 20 g", mass_g=57.0)
GRAPHITE = Change("graphite", state="graphite")
NOW = datetime(2026, 3, 1, tzinfo=UTC)


def _item(kind: ItemKind, name: str, price: str | None, **more: Any) -> DrawerItem:
    given: dict[str, Any] = {
        "unit": StockUnit.PIECE,
        "stock": 10.0,
        "details": {},
        "note": "",
    } | more
    return DrawerItem(
        id=1, kind=kind, name=name, unit_price=None if price is None else Decimal(price),
        supplier_note="", reorder_level=None, created_at=NOW, changed_at=NOW, **given,
    )  # fmt: skip


def _drawer(*items: DrawerItem) -> Drawer:
    return Drawer(items, "EUR", Decimal(0))


LEAD = _item(ItemKind.BALLAST_PIECE, "lead quarter ounce", "0.60", details={"mass_g": 7.087})
PUTTY = _item(ItemKind.BALLAST_PIECE, "putty", "0.05", unit=StockUnit.GRAM, stock=100.0)
POWDER = _item(ItemKind.LUBRICANT, "Graphite, fine", "4.00", unit=StockUnit.GRAM, stock=5.0)


@pytest.mark.parametrize(
    ("items", "change", "cost", "words"),
    [
        # 20 g of pieces of 7.087 g are three pieces; of putty 20 g.
        ((LEAD,), HEAVIER, 1.80, "3 × lead quarter ounce"),
        ((LEAD, PUTTY), HEAVIER, 1.00, "20.0 g of putty"),
        ((LEAD, replace(PUTTY, stock=5.0)), HEAVIER, 1.80, "3 × lead quarter ounce"),
        ((replace(LEAD, stock=2.0),), HEAVIER, 1.80, "3 × lead quarter ounce, to be bought"),
        # A round takes a tenth of a gram, or a fiftieth of a tube.
        ((POWDER,), GRAPHITE, 0.40, "a little of Graphite, fine"),
        ((replace(POWDER, unit=StockUnit.PIECE),), GRAPHITE, 0.08, "a little of Graphite, fine"),
        ((), Change("straighten", steer_deg=0.0), 0.0, ""),
    ],
)
def test_what_a_change_costs(
    items: tuple[DrawerItem, ...], change: Change, cost: float, words: str
) -> None:
    (priced,) = price_changes([change], SETUP, _drawer(*items))
    assert priced.cost == pytest.approx(cost)
    assert priced.cost_of == words


@pytest.mark.parametrize(
    "items",
    [(), (replace(LEAD, unit_price=None),), (_item(ItemKind.LUBRICANT, "silicone oil", "3"),)],
)
def test_what_nobody_knows_is_not_invented(items: tuple[DrawerItem, ...]) -> None:
    for one in price_changes([HEAVIER, GRAPHITE], SETUP, _drawer(*items)):
        assert one.cost is None


def test_a_stated_cost_stays() -> None:
    (priced,) = price_changes([replace(HEAVIER, cost=9.0)], SETUP, _drawer(PUTTY))
    assert (priced.cost, priced.cost_of) == (9.0, "")


def test_wheels_of_the_drawer_are_judged_where_they_fit_and_differ() -> None:
    wheels: dict[str, Any] = {
        "unit": StockUnit.PAIR,
        "details": {"diameter_mm": 10.0, "mass_g": 0.5},
    }
    light = _item(ItemKind.WHEEL, "light", "1.20", **wheels)
    same = replace(light, details={"diameter_mm": 10.0, "mass_g": 0.7})
    huge = replace(light, details={"diameter_mm": 900.0, "mass_g": 0.7})
    unknown = replace(light, details={})
    (change,) = wheel_changes(SETUP, _drawer(light, same, huge, unknown))
    assert (change.wheel_mass_g, change.wheel_diameter_mm) == (0.5, 10.0)
    assert (change.cost, change.cost_of) == (2.4, "2 pairs of light")
