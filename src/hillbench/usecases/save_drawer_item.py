"""Keep an item of the drawer, new or changed."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from decimal import Decimal
from typing import Any, Final

from hillbench.ballast.metal import DENSITY_G_CM3
from hillbench.errors import InvalidInput, Problem
from hillbench.fastening.designation import parse_thread
from hillbench.records import drawer_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import DrawerItem, ItemEntry, ItemKind
from hillbench.records.names import clean_name, clean_note
from hillbench.records.quantities import check_range

_LARGEST_PRICE: Final = Decimal(1_000_000)
_RANGES: Final[Mapping[str, tuple[float, float, str]]] = {
    "mass_g": (0.001, 1000.0, "g"),
    "length_mm": (0.5, 100.0, "mm"),
    "diameter_mm": (0.1, 100.0, "mm"),
    "width_mm": (10.0, 1500.0, "mm"),
    "height_mm": (10.0, 1500.0, "mm"),
    "tape_mm": (0.0, 3.0, "mm"),
}
_EDGES: Final = ("length", "width", "thickness")
_FILMS: Final = ("clear", "white")
_HEADS: Final = ("pan", "socket cap", "countersunk")


def save_drawer_item(
    book: BenchBook, entry: ItemEntry, now: datetime, *, item_id: int | None = None
) -> DrawerItem:
    """Add an item to the drawer, or change the one with number `item_id`.

    Parameters
    ----------
    entry
        What is entered of it.

    Raises
    ------
    InvalidInput
        With every entry that will not do.
    NotFound
        If there is no item to change.
    """
    problems = tuple(_problems(entry))
    if problems:
        raise InvalidInput(problems)
    name = clean_name(entry.name)
    details = {key: value for key, value in entry.details.items() if value not in (None, "")}
    if entry.kind is ItemKind.BALLAST_PIECE:
        details["name"] = name  # the entry of the stock in a ballast file is named too
    clean = replace(
        entry,
        name=name,
        note=clean_note(entry.note),
        supplier_note=clean_note(entry.supplier_note, "supplier_note"),
        details=details,
    )
    with book.write() as session:
        if item_id is None:
            return drawer_store.add_item(session, clean, now)
        return drawer_store.change_item(session, item_id, clean, now)


def _problems(entry: ItemEntry) -> Iterator[Problem]:
    for where, clean in (("name", clean_name), ("note", clean_note)):
        try:
            clean(getattr(entry, where), where)
        except InvalidInput as wrong:
            yield from wrong.problems
    price = entry.unit_price
    if price is not None and not 0 <= price <= _LARGEST_PRICE:
        yield Problem("unit_price", f"{price}", f"between 0 and {_LARGEST_PRICE}")
    level = entry.reorder_level
    if level is not None and not 0.0 <= level <= 1e6:
        yield Problem("reorder_level", f"{level:g}", "0 or more")
    for name, allowed in _RANGES.items():
        if isinstance(value := entry.details.get(name), int | float):
            yield from check_range(name, float(value), allowed)
    yield from _OF_KIND.get(entry.kind, _nothing)(entry.details)


def _nothing(_details: Mapping[str, Any]) -> Iterator[Problem]:
    yield from ()


def _ballast_piece(details: Mapping[str, Any]) -> Iterator[Problem]:
    if details.get("mass_g") is None and details.get("strip") is None:
        yield Problem("mass_g", "empty", "the mass of one piece", "weigh ten and divide")
    sizes = details.get("size_mm") or []
    if len(sizes) not in (2, 3):
        seen = "without its sizes" if not sizes else f"with {len(sizes)} sizes"
        yield Problem("size_width_mm", seen, "length, width and thickness", "measure it")
    for name, size in zip(reversed(_EDGES), reversed(sizes), strict=False):
        yield from check_range(f"size_{name}_mm", float(size), (0.2, 100.0, "mm"))
    metal = details.get("metal")
    if metal and metal not in DENSITY_G_CM3:
        yield Problem("metal", repr(metal), "one of " + ", ".join(DENSITY_G_CM3))


def _screw(details: Mapping[str, Any]) -> Iterator[Problem]:
    try:
        parse_thread(str(details.get("thread") or ""), "thread")
    except InvalidInput as wrong:
        yield from wrong.problems
    if details.get("length_mm") is None:
        yield Problem("length_mm", "empty", "the length under the head", "measure it")
    if details.get("head") not in _HEADS:
        yield Problem("head", repr(details.get("head")), "one of " + ", ".join(_HEADS))


def _bit(details: Mapping[str, Any]) -> Iterator[Problem]:
    if details.get("diameter_mm") is None:
        yield Problem("diameter_mm", "empty", "its diameter, such as 1.78 mm or 5/64 in")


def _film(details: Mapping[str, Any]) -> Iterator[Problem]:
    if details.get("film") not in _FILMS:
        yield Problem("film", repr(details.get("film")), "clear or white")
    for name in ("width_mm", "height_mm"):
        if details.get(name) is None:
            yield Problem(name, "empty", "the size of a sheet", "210 and 297 mm for A4")


_OF_KIND: Final[Mapping[ItemKind, Callable[[Mapping[str, Any]], Iterator[Problem]]]] = {
    ItemKind.BALLAST_PIECE: _ballast_piece,
    ItemKind.SCREW: _screw,
    ItemKind.BIT: _bit,
    ItemKind.FILM: _film,
}
