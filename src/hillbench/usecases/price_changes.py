"""What changes of a car cost in money, from the prices of what is in the drawer."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Iterator, Sequence
from typing import Final

from hillbench.coasting.car import check_car
from hillbench.fitting.change import Change
from hillbench.fitting.cost import Work, added_g, works_of
from hillbench.fitting.evidence import Setup
from hillbench.records.drawer_entities import DrawerItem, ItemKind, StockUnit
from hillbench.usecases.bearing_states import lubricant_in
from hillbench.usecases.list_drawer import Drawer

LUBRICANT_A_ROUND: Final = 0.1
"""Grams or millilitres of a lubricant that one round takes: common practice, no source."""

ROUNDS_A_PIECE: Final = 50.0
"""Rounds that a tube or bottle of unknown content serves: common practice, no source."""

MOST_WHEELS: Final = 3
"""Kinds of wheels of the drawer that are judged."""

_WITHOUT_MATERIAL: Final = frozenset({Work.AXLES, Work.BALANCE, Work.AIR})


@dataclasses.dataclass(frozen=True, slots=True)
class _Need:
    """What a change takes of one item, and what that costs."""

    item: DrawerItem
    amount: float
    words: str

    @property
    def cost(self) -> float | None:
        price = self.item.unit_price
        return None if price is None else float(price) * self.amount

    @property
    def in_stock(self) -> bool:
        return self.item.stock >= self.amount - 1e-9


def price_changes(changes: Sequence[Change], setup: Setup, drawer: Drawer) -> tuple[Change, ...]:
    """Return single changes with their cost, where the drawer has what they take at a price.

    Parameters
    ----------
    changes
        Single changes; costs that are stated stay.
    setup
        The car as it is.
    drawer
        What is in the drawer.
    """
    return tuple(_priced(change, setup, drawer) for change in changes)


def wheel_changes(setup: Setup, drawer: Drawer) -> tuple[Change, ...]:
    """Return a change for each kind of wheels in the drawer that would fit and differs.

    Inertia factor and axles stay as they are: the drawer does not know them.
    """
    found: list[Change] = []
    for item in drawer.of_kind(ItemKind.WHEEL):
        sizes = (item.details.get("diameter_mm"), item.details.get("mass_g"))
        if None in sizes or sizes == (setup.car.wheel_diameter_mm, setup.car.wheel_mass_g):
            continue
        change = Change(
            f"put on the wheels “{item.name}”",
            wheel_diameter_mm=float(sizes[0]),  # type: ignore[arg-type]
            wheel_mass_g=float(sizes[1]),  # type: ignore[arg-type]
        )
        if not check_car(change.applied_to(setup).car):
            need = _wheels(item, setup)
            found.append(dataclasses.replace(change, cost=_rounded(need.cost), cost_of=_told(need)))
    return tuple(found[:MOST_WHEELS])


def _priced(change: Change, setup: Setup, drawer: Drawer) -> Change:
    works = works_of(change)
    if change.cost is not None or Work.WHEELS in works:
        return change
    if works <= _WITHOUT_MATERIAL:
        return dataclasses.replace(change, cost=0.0)
    needs: list[_Need] = []
    if Work.WEIGHT in works:
        needs += _best(_ballast(added_g(change, setup), drawer))
    if Work.LUBRICATION in works:
        needs += _best(_lubricants(change.state or "", drawer))
    if len(needs) < len(works - _WITHOUT_MATERIAL):
        return change
    cost = sum(need.cost or 0.0 for need in needs)
    told = ", ".join(_told(need) for need in needs)
    return dataclasses.replace(change, cost=_rounded(cost), cost_of=told)


def _ballast(grams: float, drawer: Drawer) -> Iterator[_Need]:
    for item in drawer.of_kind(ItemKind.BALLAST_PIECE):
        mass_g = item.mass_g
        if mass_g is None or mass_g <= 0.0 or grams <= 0.0:
            continue
        if item.unit is StockUnit.GRAM:
            yield _Need(item, grams, f"{grams:.1f} g of {item.name}")
        elif mass_g <= grams + 0.5:
            count = math.ceil(grams / mass_g - 1e-6)
            yield _Need(item, count, f"{count} × {item.name}")


def _lubricants(state: str, drawer: Drawer) -> Iterator[_Need]:
    for item in drawer.of_kind(ItemKind.LUBRICANT):
        if state and lubricant_in(f"{item.name} {item.note}") == state:
            amount = 1.0 / ROUNDS_A_PIECE if item.unit.is_counted else LUBRICANT_A_ROUND
            yield _Need(item, amount, f"a little of {item.name}")


def _wheels(item: DrawerItem, setup: Setup) -> _Need:
    wheels = setup.car.wheel_count
    amount = math.ceil(wheels / 2) if item.unit is StockUnit.PAIR else wheels
    return _Need(item, amount, f"{item.unit.amount(amount)} of {item.name}")


def _best(needs: Iterator[_Need]) -> list[_Need]:
    """Return the cheapest that is in stock, else the cheapest; none without a price."""
    priced = [need for need in needs if need.cost is not None]
    return sorted(priced, key=lambda need: (not need.in_stock, need.cost))[:1]


def _told(need: _Need) -> str:
    return need.words if need.in_stock else f"{need.words}, to be bought"


def _rounded(cost: float | None) -> float | None:
    return None if cost is None else round(cost, 2)
