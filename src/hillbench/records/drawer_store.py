"""The drawer: items, and a journal of what came in and went out.

Nothing sets the stock of an item: it is the sum of its journal, in whole thousandths of a
unit so that no rounding gathers. Rows of the journal are added and never changed.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records.drawer_entities import (
    DrawerItem,
    ItemEntry,
    ItemKind,
    MoveKind,
    StockMove,
    StockUnit,
)
from hillbench.records.drawer_tables import DrawerItemRow, StockMoveRow
from hillbench.records.removal import find_row, give_name, in_use

PARTS_OF_A_UNIT = 1000


def add_item(session: Session, entry: ItemEntry, now: datetime) -> DrawerItem:
    """Add an item without any stock; its name must be free."""
    row = DrawerItemRow(created_at=now)
    _fill(session, row, entry, now)
    session.add(row)
    session.flush()
    return _item(row, 0)


def change_item(session: Session, item_id: int, entry: ItemEntry, now: datetime) -> DrawerItem:
    """Change what an item is; its stock and its unit stay.

    Raises
    ------
    InvalidInput
        If its name is taken, or it has a journal and would get another unit.
    """
    row = find_row(session, DrawerItemRow, item_id)
    if row.unit != entry.unit and list_moves(session, item_id):
        remedy = "add another item for the other unit"
        raise InvalidInput([Problem("unit", str(entry.unit), f"{row.unit}, as before", remedy)])
    _fill(session, row, entry, now)
    session.flush()
    return find_item(session, item_id)


def find_item(session: Session, item_id: int) -> DrawerItem:
    """Return one item, removed or not; raise `NotFound` if there is none."""
    row = find_row(session, DrawerItemRow, item_id)
    return _item(row, _stock(session, item_id))


def list_items(
    session: Session, kind: ItemKind | None = None, *, include_removed: bool = False
) -> tuple[DrawerItem, ...]:
    """Return the items by name: of one kind or of all."""
    query = select(DrawerItemRow).order_by(DrawerItemRow.name_key, DrawerItemRow.id)
    if kind is not None:
        query = query.where(DrawerItemRow.kind == str(kind))
    query = in_use(query, DrawerItemRow, include_removed=include_removed)
    total = func.sum(StockMoveRow.thousandths)
    sums = select(StockMoveRow.item_id, total).group_by(StockMoveRow.item_id)
    stock = {item_id: int(thousandths) for item_id, thousandths in session.execute(sums)}
    return tuple(_item(row, stock.get(row.id, 0)) for row in session.scalars(query))


def list_moves(session: Session, item_id: int) -> tuple[StockMove, ...]:
    """Return the journal of an item, latest first."""
    query = select(StockMoveRow).where(StockMoveRow.item_id == item_id)
    query = query.order_by(StockMoveRow.at.desc(), StockMoveRow.id.desc())
    return tuple(move_of(row) for row in session.scalars(query))


def moves_of_steps(session: Session, step_ids: Iterable[int]) -> tuple[StockMove, ...]:
    """Return what steps of builds drew and gave back, earliest first."""
    query = select(StockMoveRow).where(StockMoveRow.build_step_id.in_(list(step_ids)))
    return tuple(move_of(row) for row in session.scalars(query.order_by(StockMoveRow.id)))


def buy(
    session: Session,
    item_id: int,
    amount: float,
    now: datetime,
    *,
    unit_price: Decimal | None = None,
    note: str = "",
) -> StockMove:
    """Add what was bought; its price becomes the item's where one is given."""
    row = find_row(session, DrawerItemRow, item_id)
    if unit_price is not None:
        row.unit_price = str(unit_price)
    thousandths = _whole(row, amount)
    return _add(session, row, MoveKind.BOUGHT, thousandths, now, note)


def draw(
    session: Session,
    item_id: int,
    amount: float,
    now: datetime,
    *,
    note: str = "",
    build_step_id: int | None = None,
) -> StockMove:
    """Take an amount out of the drawer.

    Raises
    ------
    InvalidInput
        If there is not that much of it (place ``stock``), or it is no amount of its unit.
    """
    row = _locked(session, item_id)
    thousandths = _whole(row, amount)
    left = _stock(session, item_id)
    if thousandths > left:
        raise InvalidInput([_too_little(row, left, thousandths)])
    return _add(session, row, MoveKind.DRAWN, -thousandths, now, note, build_step_id)


def give_back(
    session: Session,
    item_id: int,
    amount: float,
    now: datetime,
    *,
    note: str = "",
    build_step_id: int | None = None,
) -> StockMove:
    """Put an amount back into the drawer."""
    row = find_row(session, DrawerItemRow, item_id)
    thousandths = _whole(row, amount)
    return _add(session, row, MoveKind.GIVEN_BACK, thousandths, now, note, build_step_id)


def count_stock(
    session: Session, item_id: int, amount: float, now: datetime, *, note: str = ""
) -> StockMove:
    """Note how much was counted; the difference is entered in the journal."""
    row = _locked(session, item_id)
    difference = _whole(row, amount, least=0) - _stock(session, item_id)
    return _add(session, row, MoveKind.COUNTED, difference, now, note)


def move_of(row: StockMoveRow) -> StockMove:
    """Return a row of the journal as a plain value."""
    return StockMove(
        id=row.id,
        item_id=row.item_id,
        kind=MoveKind(row.kind),
        amount=row.thousandths / PARTS_OF_A_UNIT,
        unit_price=None if row.unit_price is None else Decimal(row.unit_price),
        at=row.at,
        note=row.note,
        build_step_id=row.build_step_id,
    )


def stock_of(session: Session, item_ids: Iterable[int]) -> dict[int, float]:
    """Return the stock of each item by its number."""
    return {item_id: _stock(session, item_id) / PARTS_OF_A_UNIT for item_id in item_ids}


def _locked(session: Session, item_id: int) -> DrawerItemRow:
    """Return an item that nobody else draws from until this is done."""
    find_row(session, DrawerItemRow, item_id)
    return session.get_one(DrawerItemRow, item_id, with_for_update=True)


def _fill(session: Session, row: DrawerItemRow, entry: ItemEntry, now: datetime) -> None:
    row.kind = str(entry.kind)
    row.unit = str(entry.unit)
    row.unit_price = None if entry.unit_price is None else str(entry.unit_price)
    row.supplier_note = entry.supplier_note
    level = entry.reorder_level
    row.reorder_thousandths = None if level is None else round(level * PARTS_OF_A_UNIT)
    row.details = dict(entry.details)
    with session.no_autoflush:  # a new row has no name yet
        give_name(session, row, entry.name, entry.note, now)


def _whole(row: DrawerItemRow, amount: float, least: int = 1) -> int:
    """Return an amount in thousandths of a unit; whole units of what is counted."""
    unit = StockUnit(row.unit)
    thousandths = round(amount * PARTS_OF_A_UNIT)
    split = unit.is_counted and thousandths % PARTS_OF_A_UNIT
    if thousandths < least or split or abs(thousandths) > 10**12:
        more = "0 or more" if least == 0 else "more than 0"
        allowed = f"a whole number of {unit}s, {more}" if unit.is_counted else f"{more} {unit}"
        raise InvalidInput([Problem("amount", f"{amount:g} {unit} of {row.name}", allowed)])
    return thousandths


def _stock(session: Session, item_id: int) -> int:
    query = select(func.sum(StockMoveRow.thousandths)).where(StockMoveRow.item_id == item_id)
    return int(session.scalar(query) or 0)


def _add(
    session: Session,
    item: DrawerItemRow,
    kind: MoveKind,
    thousandths: int,
    now: datetime,
    note: str,
    build_step_id: int | None = None,
) -> StockMove:
    row = StockMoveRow(
        item_id=item.id,
        kind=str(kind),
        thousandths=thousandths,
        unit_price=item.unit_price,
        at=now,
        note=note,
        build_step_id=build_step_id,
    )
    session.add(row)
    session.flush()
    return move_of(row)


def _too_little(row: DrawerItemRow, left: int, wanted: int) -> Problem:
    unit = StockUnit(row.unit)
    has, needs = unit.amount(left / PARTS_OF_A_UNIT), unit.amount(wanted / PARTS_OF_A_UNIT)
    remedy = "count what is in the drawer, or enter what was bought"
    return Problem("stock", f"{has} of {row.name}", f"at least {needs} to draw {needs}", remedy)


def _item(row: DrawerItemRow, thousandths: int) -> DrawerItem:
    level = row.reorder_thousandths
    return DrawerItem(
        id=row.id,
        kind=ItemKind(row.kind),
        name=row.name,
        note=row.note,
        unit=StockUnit(row.unit),
        stock=thousandths / PARTS_OF_A_UNIT,
        unit_price=None if row.unit_price is None else Decimal(row.unit_price),
        supplier_note=row.supplier_note,
        reorder_level=None if level is None else level / PARTS_OF_A_UNIT,
        details=dict(row.details),
        created_at=row.created_at,
        changed_at=row.changed_at,
        removed_at=row.removed_at,
    )
