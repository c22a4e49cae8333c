"""The drawer in the browser: items of every kind, stock that comes and goes."""

from __future__ import annotations

import pytest

from hillbench.records import drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import DrawerItem, ItemKind
from tests.web.conftest import CheckedClient

PIECE = {
    "kind": "ballast piece", "name": "Lead ¼ oz", "unit": "piece", "unit_price": "0,35",
    "reorder_level": "4", "mass_g": "1/4 oz", "size_length_mm": "19", "size_width_mm": "13",
    "size_thickness_mm": "2.6", "shape": "box", "metal": "lead", "supplier_note": "tackle shop",
}  # fmt: skip
SCREW = {
    "kind": "screw", "name": "2-56 pan", "unit": "piece", "thread": "2-56",
    "length_mm": "1/4 in", "head": "pan",
}  # fmt: skip


def items(book: BenchBook) -> tuple[DrawerItem, ...]:
    with book.read() as session:
        return drawer_store.list_items(session)


def test_an_empty_drawer_says_how_to_begin(client: CheckedClient) -> None:
    page = client.get("/drawer")
    assert "The drawer is empty." in page.text
    assert 'href="/drawer/new?kind=ballast%20piece"' in page.text


def test_each_kind_has_a_form(client: CheckedClient) -> None:
    for kind in ItemKind:
        page = client.get("/drawer/new", params={"kind": str(kind)})
        assert f"Add a {kind}" in page.text


def test_a_piece_is_kept_as_a_ballast_file_wants_it(client: CheckedClient, book: BenchBook) -> None:
    answer = client.post("/drawer/new", data=PIECE)
    assert answer.headers["location"] == "/drawer/1#count"
    (item,) = items(book)
    assert item.details == {
        "name": "Lead ¼ oz", "mass_g": pytest.approx(7.0874, abs=1e-4),
        "size_mm": [19.0, 13.0, 2.6], "metal": "lead",
    }  # fmt: skip
    assert str(item.unit_price) == "0.35"
    held = client.get("/drawer/1/edit").text
    assert 'value="0.35"' in held
    assert 'value="2.6"' in held


def test_a_screw_is_told_in_inches_and_millimetres(client: CheckedClient, book: BenchBook) -> None:
    client.post("/drawer/new", data=SCREW)
    assert items(book)[0].details == {"thread": "2-56", "length_mm": 6.35, "head": "pan"}
    assert "2-56 × 6.35 mm, pan" in client.get("/drawer").text
    client.cookies.set("hillbench_preferences", "length_unit=in")
    assert "2-56 × 0.25 in, pan" in client.get("/drawer").text


WRONG = (
    ({"unit_price": "cheap"}, "The price is"),
    ({"mass_g": ""}, "The mass of one is empty"),
    ({"mass_g": "7 mm"}, "The mass of one is"),
    ({"metal": "gold"}, "The metal is"),
    ({"name": ""}, "The name is empty"),
    ({"size_thickness_mm": "0"}, "The thickness is"),
    ({"reorder_level": "-3"}, "The level to reorder at is"),
)


def test_what_will_not_do_is_said_and_nothing_typed_is_lost(
    client: CheckedClient, book: BenchBook
) -> None:
    for changed, says in WRONG:
        page = client.post("/drawer/new", data={**PIECE, **changed})
        assert page.status_code == 422, changed
        assert says in page.text
        assert "tackle shop" in page.text
    assert items(book) == ()


def test_stock_comes_and_goes_and_never_below_zero(client: CheckedClient, book: BenchBook) -> None:
    client.post("/drawer/new", data=PIECE)
    client.post("/drawer/1/counted", data={"amount": "3"})
    client.post("/drawer/1/bought", data={"amount": "10", "unit_price": "0.40"})
    client.post("/drawer/1/taken", data={"amount": "1", "note": "lost"})
    page = client.get("/drawer/1").text
    assert "12 pieces" in page
    assert "0.40 EUR each" in page
    assert ": lost" in page
    refused = client.post("/drawer/1/taken", data={"amount": "13"})
    assert refused.status_code == 422
    assert "is 12 pieces of Lead ¼ oz; allowed is at least 13 pieces" in refused.text
    assert items(book)[0].stock == 12
    assert "4.80 EUR" in client.get("/drawer").text


def test_what_runs_low_is_listed_to_buy(client: CheckedClient) -> None:
    client.post("/drawer/new", data=PIECE)
    client.post("/drawer/1/counted", data={"amount": "1"})
    page = client.get("/drawer").text
    assert "Running low: Lead ¼ oz" in page
    assert "1 piece left, reorder at 4 pieces" in page


def test_another_currency_is_a_code_of_three_letters(client: CheckedClient) -> None:
    assert client.post("/drawer/currency", data={"currency": "gbp"}).status_code == 303
    assert "GBP" in client.get("/drawer").text
    refused = client.post("/drawer/currency", data={"currency": "pounds"})
    assert refused.status_code == 422
    assert "three letters" in refused.text


def test_a_removed_item_comes_back(client: CheckedClient, book: BenchBook) -> None:
    client.post("/drawer/new", data=PIECE)
    client.post("/remove/drawer_item/1", data={"back": "/drawer"})
    assert items(book) == ()
    assert "Lead ¼ oz" in client.get("/removed").text
    client.post("/undo/drawer_item/1")
    assert len(items(book)) == 1


def test_names_are_shown_as_typed_and_never_as_markup(client: CheckedClient) -> None:
    client.post("/drawer/new", data={**PIECE, "name": "<script>alert(1)</script>"})
    for address in ("/drawer", "/drawer/1", "/drawer/1/edit"):
        page = client.get(address).text
        assert "<script>alert" not in page
        assert "&lt;script&gt;" in page
