"""The fields of the question where ballast goes: names on screen, and what they hold at first."""

from __future__ import annotations

from typing import Final

from hillbench import units
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.task import BallastTask, FixedMass
from hillbench.records.drawer_entities import DrawerItem
from hillbench.usecases.plan_car_ballast import CarToBallast
from hillbench.web.form_rows import Pairs, Row, with_rows
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again

FORM: Final = "ballast"
PERCENT: Final = units.Dimension("share", {"%": 1.0})
"""A share of the wheelbase, typed in percent."""

DENSITY: Final = units.Dimension("density", {"g/cm3": 1.0, "g/cm³": 1.0})
"""Density in grams per cubic centimetre."""

BLANK: Final[dict[str, Row]] = {
    "fixed": {"name": "", "mass": "", "x": "", "y": "0", "z": ""},
    "stock": {
        "name": "",
        "shape": "box",
        "mass": "",
        "count": "1",
        "long": "",
        "wide": "",
        "thick": "",
        "flat": "yes",
        "tape": "0",
        "metal": "",
    },
}
"""A fresh row of each kind."""

SHAPES: Final = (("box", "bar or cube"), ("cylinder", "round"), ("strip", "strip to cut"))
METALS: Final = ("", "lead", "tungsten", "steel", "zinc", "brass", "bismuth", "tin")

_USUAL_MOST: Final = 6
"""Of a kind of piece in the drawer, so many are offered at first: more take longer to prove."""

TYPICAL_STOCK: Final = (
    StockPiece("lead quarter ounce", (19.0, 12.7, 2.6), 3, 7.09, lie_flat=True, metal="lead"),
    StockPiece("tungsten cube", (5.0, 5.0, 5.0), 2, 2.31, metal="tungsten"),
)
"""To begin with where the drawer is empty: a quarter ounce is about 7 g; common practice."""

_LABELS: Final = {
    "name": "The name of the plan",
    "limit_g": "The limit",
    "scale_guard_g": "The guard of the scale",
    "window_low_percent": "The window from",
    "window_high_percent": "The window to",
    "side_max_mm": "The distance to the side",
    "bare_mass_g": "The mass of the car as it is",
    "bare_x_mm": "Its centre of gravity",
    "bare_z_mm": "The height of its centre of gravity",
    "putty_g": "Putty",
    "putty_density_g_cm3": "The density of the putty",
    "time_limit_s": "The time limit",
    "stock": "What may be used",
}
_COLUMNS: Final = {
    "fixed_name": "Name of change",
    "fixed_mass": "Mass of change",
    "fixed_x": "Place of change",
    "fixed_y": "Side of change",
    "fixed_z": "Height of change",
    "stock_name": "Name of piece",
    "stock_shape": "Shape of piece",
    "stock_mass": "Mass of piece",
    "stock_count": "Number of piece",
    "stock_long": "Length of piece",
    "stock_wide": "Width of piece",
    "stock_thick": "Thickness of piece",
    "stock_tape": "Tape of piece",
    "stock_metal": "Metal of piece",
}


def labels_of(pairs: Pairs) -> dict[str, str]:
    """Return what each field of a form is called, rows by their number from 1."""
    labels = dict(_LABELS)
    for name, _ in pairs:
        stem, _, number = name.rpartition("_")
        if stem in _COLUMNS and number.isdecimal():
            labels[name] = f"{_COLUMNS[stem]} {int(number) + 1}"
        elif stem == "use":
            labels[name] = "The number to use"
    return labels


def first_fields(
    car: CarToBallast, drawer: tuple[DrawerItem, ...], preferences: Preferences
) -> Pairs:
    """Return the form of a first plan."""
    pairs: Pairs = (
        ("name", ""),
        ("limit_g", typed_again(57.0, units.MASS, preferences.mass_unit)),
        ("scale_guard_g", typed_again(0.05, units.MASS, preferences.mass_unit)),
        ("window_low_percent", "40"),
        ("window_high_percent", "50"),
        ("side_max_mm", typed_again(0.5, units.LENGTH, preferences.length_unit)),
        ("putty_g", typed_again(2.0, units.MASS, preferences.mass_unit)),
        ("putty_density_g_cm3", "9"),
        ("time_limit_s", "30"),
        *_bare_fields(car.bare, preferences),
        *((f"use_{item.id}", f"{min(item.stock, _USUAL_MOST):g}") for item in drawer),
    )
    rows = [] if drawer else [stock_row(one, preferences) for one in TYPICAL_STOCK]
    return with_rows(pairs, "stock", rows)


def task_fields(
    task: BallastTask, drawer: tuple[DrawerItem, ...], preferences: Preferences
) -> Pairs:
    """Return the form that asks an earlier question again, to be changed."""
    mass_unit, length_unit = preferences.mass_unit, preferences.length_unit
    low, high = (100.0 * share for share in task.cg.window_ahead_of_rear_axle)
    side = task.cg.side_max_mm
    asked = {one.name: one.count for one in task.stock}
    known = {item.name for item in drawer}
    putty = task.putty
    pairs: Pairs = (
        ("name", ""),
        ("limit_g", typed_again(task.limit_g, units.MASS, mass_unit)),
        ("scale_guard_g", typed_again(task.scale_guard_g, units.MASS, mass_unit)),
        ("window_low_percent", f"{low:g}"),
        ("window_high_percent", f"{high:g}"),
        ("side_max_mm", "" if side is None else typed_again(side, units.LENGTH, length_unit)),
        ("putty_g", typed_again(putty.max_g, units.MASS, mass_unit) if putty else ""),
        ("putty_density_g_cm3", f"{putty.density_g_cm3:g}" if putty else "9"),
        ("time_limit_s", "30"),
        *_bare_fields(task.fixed[0], preferences),
        *((f"use_{item.id}", f"{asked.get(item.name, 0)}") for item in drawer),
    )
    pairs = with_rows(pairs, "fixed", [fixed_row(one, preferences) for one in task.fixed[1:]])
    rows = [stock_row(one, preferences) for one in task.stock if one.name not in known]
    return with_rows(pairs, "stock", rows)


def _bare_fields(bare: FixedMass, preferences: Preferences) -> Pairs:
    length = preferences.length_unit
    return (
        ("bare_mass_g", typed_again(bare.mass_g, units.MASS, preferences.mass_unit)),
        ("bare_x_mm", typed_again(bare.x_mm, units.LENGTH, length)),
        ("bare_z_mm", typed_again(bare.z_mm, units.LENGTH, length)),
    )


def fixed_row(one: FixedMass, preferences: Preferences) -> Row:
    """Return the row of something added or removed."""
    length = preferences.length_unit
    return {
        "name": one.name,
        "mass": typed_again(one.mass_g, units.MASS, preferences.mass_unit),
        "x": typed_again(one.x_mm, units.LENGTH, length),
        "y": typed_again(one.y_mm, units.LENGTH, length),
        "z": typed_again(one.z_mm, units.LENGTH, length),
    }


def stock_row(piece: StockPiece, preferences: Preferences) -> Row:
    """Return the row of a kind of piece."""

    def length(value_mm: float) -> str:
        return typed_again(value_mm, units.LENGTH, preferences.length_unit)

    sizes, strip = piece.size_mm, piece.strip
    if strip is not None:
        sizes, mass_g = (strip.max_mm, *sizes[-2:]), strip.g_per_mm * strip.max_mm
    else:
        mass_g = piece.mass_g or 0.0
    return {
        "name": piece.name,
        "shape": "strip" if strip else piece.shape,
        "mass": typed_again(mass_g, units.MASS, preferences.mass_unit),
        "count": str(piece.count),
        "long": length(sizes[0]),
        "wide": length(sizes[1]),
        "thick": length(sizes[2]) if len(sizes) > 2 else "",
        "flat": "yes" if piece.lies_flat else "no",
        "tape": length(piece.tape_mm),
        "metal": piece.metal,
    }
