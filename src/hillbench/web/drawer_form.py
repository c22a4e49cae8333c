"""The form of an item of the drawer: its fields by kind, read and shown again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final

from hillbench import units
from hillbench.errors import InvalidInput, Problem
from hillbench.records.drawer_entities import DrawerItem, ItemEntry, ItemKind, StockUnit
from hillbench.usecases.move_stock import read_price
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again
from hillbench.web.typed import Answers, default_unit

LABELS: Final = {
    "name": "The name",
    "note": "The note",
    "unit": "The unit of stock",
    "unit_price": "The price",
    "supplier_note": "The supplier",
    "reorder_level": "The level to reorder at",
    "mass_g": "The mass of one",
    "size_length_mm": "The length",
    "size_width_mm": "The width",
    "size_thickness_mm": "The thickness",
    "shape": "The shape",
    "tape_mm": "The tape",
    "metal": "The metal",
    "strip_g_per_mm": "The mass of each mm of strip",
    "strip_min_mm": "The shortest piece of strip",
    "strip_max_mm": "The longest piece of strip",
    "thread": "The thread",
    "length_mm": "The length under the head",
    "head": "The head",
    "diameter_mm": "The diameter",
    "film": "The film",
    "width_mm": "The width of a sheet",
    "height_mm": "The height of a sheet",
    "amount": "The amount",
}
"""What each field is called in sentences."""

_G_PER_MM: Final = units.Dimension("mass per length", {"g/mm": 1.0})
_LENGTHS: Final[Mapping[ItemKind, tuple[str, ...]]] = {
    ItemKind.SCREW: ("length_mm",),
    ItemKind.BIT: ("diameter_mm",),
    ItemKind.WHEEL: ("diameter_mm",),
    ItemKind.FILM: ("width_mm", "height_mm"),
}
_WORDS: Final[Mapping[ItemKind, tuple[str, ...]]] = {
    ItemKind.SCREW: ("thread", "head"),
    ItemKind.FILM: ("film",),
}
_SIZES: Final = ("size_length_mm", "size_width_mm", "size_thickness_mm")
USUAL_UNIT: Final[Mapping[ItemKind, StockUnit]] = {
    ItemKind.LUBRICANT: StockUnit.GRAM,
    ItemKind.FILM: StockUnit.SHEET,
}
"""Unit of stock that a kind usually has; pieces for the others."""


def read_item(answers: Answers, kind: ItemKind) -> ItemEntry:
    """Return the entry that a form holds, or raise `InvalidInput` with every problem.

    Parameters
    ----------
    answers
        The form.
    kind
        Kind of the item.
    """
    unit = StockUnit(answers.choice("unit", [str(unit) for unit in StockUnit]))
    price = None
    try:
        price = read_price(answers.text("unit_price"))
    except InvalidInput as wrong:
        answers.problems += wrong.problems
    level = answers.quantity("reorder_level", units.NUMBER, required=False)
    entry = ItemEntry(
        kind=kind,
        name=answers.text("name"),
        note=answers.text("note"),
        unit=unit,
        unit_price=price,
        supplier_note=answers.text("supplier_note"),
        reorder_level=level,
        details=_details(answers, kind),
    )
    answers.require()
    return entry


def held_item(item: DrawerItem, preferences: Preferences) -> dict[str, str]:
    """Return the texts of a form that shows an item.

    Parameters
    ----------
    item
        The item.
    preferences
        Units of the reader.
    """
    held = {
        "name": item.name,
        "note": item.note,
        "unit": str(item.unit),
        "unit_price": "" if item.unit_price is None else str(item.unit_price),
        "supplier_note": item.supplier_note,
        "reorder_level": "" if item.reorder_level is None else f"{item.reorder_level:g}",
    }
    details = item.details
    held |= {name: str(details.get(name, "")) for name in ("thread", "head", "film", "metal")}
    held["shape"] = str(details.get("shape", "box"))
    length = default_unit(units.LENGTH, preferences)
    for name in ("length_mm", "diameter_mm", "width_mm", "height_mm", "tape_mm"):
        if details.get(name) is not None:
            held[name] = typed_again(float(details[name]), units.LENGTH, length)
    for name, size in zip(_sizes_of(details), details.get("size_mm", ()), strict=False):
        held[name] = typed_again(float(size), units.LENGTH, length)
    if details.get("mass_g") is not None:
        mass_unit = default_unit(units.MASS, preferences)
        held["mass_g"] = typed_again(float(details["mass_g"]), units.MASS, mass_unit)
    strip = details.get("strip") or {}
    if strip:
        held["strip_g_per_mm"] = f"{strip['g_per_mm']:g}"
        for name in ("min_mm", "max_mm"):
            held[f"strip_{name}"] = typed_again(float(strip[name]), units.LENGTH, length)
    return held


def _details(answers: Answers, kind: ItemKind) -> dict[str, Any]:
    details: dict[str, Any] = {}
    mass_g = answers.quantity("mass_g", units.MASS, required=False)
    if mass_g is not None:
        details["mass_g"] = mass_g
    for name in _LENGTHS.get(kind, ()):
        length_mm = answers.quantity(name, units.LENGTH, required=False)
        if length_mm is not None:
            details[name] = round(length_mm, 4)
    for name in _WORDS.get(kind, ()):
        details[name] = answers.text(name).strip()
    if kind is ItemKind.BALLAST_PIECE:
        details |= _piece(answers)
    return details


def _piece(answers: Answers) -> dict[str, Any]:
    sizes = [answers.quantity(name, units.LENGTH, required=False) for name in _SIZES]
    piece: dict[str, Any] = {"size_mm": [round(size, 4) for size in sizes if size is not None]}
    shape = answers.choice("shape", ("box", "cylinder"))
    if shape == "cylinder":
        piece["shape"] = shape
        if len(piece["size_mm"]) == 2:
            piece["size_mm"].append(piece["size_mm"][1])
    tape_mm = answers.quantity("tape_mm", units.LENGTH, required=False)
    if tape_mm:
        piece["tape_mm"] = round(tape_mm, 4)
    if metal := answers.text("metal").strip():
        piece["metal"] = metal
    g_per_mm = answers.quantity("strip_g_per_mm", _G_PER_MM, required=False)
    if g_per_mm is not None:
        piece["strip"] = _strip(answers, g_per_mm)
    return piece


def _strip(answers: Answers, g_per_mm: float) -> dict[str, float]:
    least = answers.quantity("strip_min_mm", units.LENGTH, required=False) or 6.0
    most = answers.quantity("strip_max_mm", units.LENGTH, required=False) or 40.0
    if most <= least:
        seen, allowed = f"{most:g} mm", f"more than the shortest, {least:g} mm"
        answers.problems.append(Problem("strip_max_mm", seen, allowed))
    return {"min_mm": least, "max_mm": most, "step_mm": 1.0, "g_per_mm": g_per_mm}


def _sizes_of(details: Mapping[str, Any]) -> tuple[str, ...]:
    """Return the fields that the sizes of a piece stand in: a strip's length may be missing."""
    return _SIZES[-len(details.get("size_mm", ())) :] if details.get("size_mm") else ()
