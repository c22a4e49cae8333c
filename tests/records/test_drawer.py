"""The drawer: its stock is the sum of its journal and never below zero."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import create_engine
from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, NotFound
from hillbench.records import drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import ItemEntry, ItemKind, MoveKind, StockMove, StockUnit
from hillbench.records.tables import Base

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
PIECE = ItemEntry(
    ItemKind.BALLAST_PIECE, "lead quarter ounce", "", StockUnit.PIECE, Decimal("0.35"),
    "fishing shop", 4, {"mass_g": 7.087, "size_mm": [19, 13, 2.6]},
)  # fmt: skip
GRAPHITE = ItemEntry(
    ItemKind.LUBRICANT, "dry graphite", "", StockUnit.GRAM, Decimal("1.2"), "", 1.5, {}
)


@pytest.fixture
def session(tmp_path: Path) -> Iterator[Session]:
    with BenchBook.open(tmp_path) as book, book.write() as opened:
        yield opened


def test_stock_is_the_sum_of_the_journal(session: Session) -> None:
    item = drawer_store.add_item(session, PIECE, NOW)
    assert item.stock == 0
    drawer_store.buy(session, item.id, 12, NOW)
    drawer_store.draw(session, item.id, 5, NOW, note="Plank")
    drawer_store.give_back(session, item.id, 2, NOW)
    counted = drawer_store.count_stock(session, item.id, 8, NOW)
    found = drawer_store.find_item(session, item.id)
    assert (found.stock, counted.amount) == (8, -1)
    moves = drawer_store.list_moves(session, item.id)
    assert [move.kind for move in moves] == [
        MoveKind.COUNTED, MoveKind.GIVEN_BACK, MoveKind.DRAWN, MoveKind.BOUGHT,
    ]  # fmt: skip
    assert sum(move.amount for move in moves) == 8


def test_stock_below_zero_is_refused_in_a_sentence(session: Session) -> None:
    item = drawer_store.add_item(session, PIECE, NOW)
    drawer_store.buy(session, item.id, 2, NOW)
    with pytest.raises(InvalidInput) as refused:
        drawer_store.draw(session, item.id, 3, NOW)
    assert str(refused.value) == (
        "stock is 2 pieces of lead quarter ounce; allowed is at least 3 pieces to draw 3 pieces: "
        "count what is in the drawer, or enter what was bought."
    )
    assert drawer_store.find_item(session, item.id).stock == 2


@pytest.mark.parametrize("amount", [0, -1, 1.5, 1e12])
def test_pieces_come_whole_and_above_zero(session: Session, amount: float) -> None:
    item = drawer_store.add_item(session, PIECE, NOW)
    with pytest.raises(InvalidInput, match="whole number of pieces"):
        drawer_store.buy(session, item.id, amount, NOW)


def test_a_price_paid_becomes_the_price_and_stays_exact(session: Session) -> None:
    item = drawer_store.add_item(session, GRAPHITE, NOW)
    drawer_store.buy(session, item.id, 0.1, NOW, unit_price=Decimal("1.10"))
    drawer_store.buy(session, item.id, 0.2, NOW)
    found = drawer_store.find_item(session, item.id)
    assert found.unit_price == Decimal("1.10")
    assert found.stock == 0.3
    assert found.runs_low
    assert found.mass_g == 1.0


def test_a_used_unit_stays(session: Session) -> None:
    item = drawer_store.add_item(session, GRAPHITE, NOW)
    drawer_store.change_item(session, item.id, replace(GRAPHITE, unit=StockUnit.MILLILITRE), NOW)
    drawer_store.buy(session, item.id, 3, NOW)
    with pytest.raises(InvalidInput, match="another item for the other unit"):
        drawer_store.change_item(session, item.id, GRAPHITE, NOW)


def test_names_are_told_apart_and_kinds_listed(session: Session) -> None:
    piece = drawer_store.add_item(session, PIECE, NOW)
    drawer_store.add_item(session, GRAPHITE, NOW)
    with pytest.raises(InvalidInput, match="drawer item"):
        drawer_store.add_item(session, replace(PIECE, name="LEAD quarter ounce"), NOW)
    assert [item.id for item in drawer_store.list_items(session, ItemKind.BALLAST_PIECE)] == [
        piece.id
    ]
    assert len(drawer_store.list_items(session)) == 2
    with pytest.raises(NotFound, match="drawer item"):
        drawer_store.find_item(session, 99)


@settings(deadline=None, max_examples=30)
@given(st.lists(st.tuples(st.sampled_from(["buy", "draw", "back", "count"]), st.integers(1, 50))))
def test_no_order_of_moves_brings_stock_below_zero(moves: list[tuple[str, int]]) -> None:
    engine = create_engine("sqlite://")
    Base.metadata.create_all(engine)
    acts: dict[str, Callable[[Session, int, float, datetime], StockMove]] = {
        "buy": drawer_store.buy,
        "draw": drawer_store.draw,
        "back": drawer_store.give_back,
        "count": drawer_store.count_stock,
    }
    expected = 0
    with Session(engine) as session:
        item = drawer_store.add_item(session, PIECE, NOW)
        for act, amount in moves:
            try:
                acts[act](session, item.id, amount, NOW)
            except InvalidInput:
                assert act == "draw"
                assert amount > expected
                continue
            change = {"buy": amount, "draw": -amount, "back": amount, "count": amount - expected}
            expected += change[act]
            assert drawer_store.find_item(session, item.id).stock == expected >= 0
    engine.dispose()
