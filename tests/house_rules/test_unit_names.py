"""Every number that has a dimension carries its unit at the end of its name.

Held for fields of classes and parameters of public functions; a private or inner function,
which stands beside its caller, may use the short symbols of a formula.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator

import pytest

from tests.house_rules.sources import Function, modules, public_definitions

QUANTITIES = {
    "mass",
    "weight",
    "length",
    "height",
    "width",
    "depth",
    "thickness",
    "diameter",
    "radius",
    "distance",
    "wheelbase",
    "gyration",
    "area",
    "volume",
    "time",
    "duration",
    "speed",
    "acceleration",
    "gravity",
    "force",
    "drag",
    "torque",
    "energy",
    "density",
    "pressure",
    "temperature",
    "altitude",
    "latitude",
    "slope",
    "bank",
    "angle",
    "curvature",
    "drift",
}
UNITS = {
    *("g", "mg", "kg", "gram", "ounce"),
    *("mm", "cm", "m", "px", "inch"),
    *("mm2", "cm2", "m2", "s", "ms", "hpa", "pa", "c", "k", "deg", "rad", "percent"),
    *("mn", "n", "j", "mj", "kelvin", "pascal", "day", "days", "year", "years"),
}
COMPOUND = re.compile(
    r"_(m_s|m_s2|1_m|kg_m3|g_cm3|rad_s|1_s2|n_mm|g_mm2|kg_m2|1_m2|n_m|s_per_run)$"
)
# Dimensionless although the name holds such a word, or not a quantity at all.
WITHOUT_UNIT = {
    "drag_coefficient": "a ratio",
    "wheel_inertia_factor": "a ratio",
    "pressure_ratio": "a ratio",
    "steady_drag": "a part of an energy budget, whose class says mJ",
    "drag_area_factor": "a ratio",
    "drag_area_spread": "of a logarithm",
    "log_density": "of probability",
    "weight": "of a reading in a mean, not of a car",
    "rest_weight": "of an aim against another",
    "time": "the number of a column",
    "width": "how many columns",
    "half_width": "of an interval of any quantity, in that quantity's own unit",
    "speed_2": "a square; (m/s)² makes no readable suffix",
    "lift_speed_2": "the same",
}
# Drawings speak of units of their own picture, as SVG does.
WITHOUT_RULE = ("src/hillbench/pictures/drawing.py",)
NUMBERS = re.compile(r"\b(float|int|Floats|NDArray|Fraction|Decimal)\b")


def is_dimensioned(name: str) -> bool:
    return bool(QUANTITIES.intersection(name.lower().split("_"))) and name not in WITHOUT_UNIT


def ends_in_unit(name: str) -> bool:
    return name.lower().split("_")[-1] in UNITS or bool(COMPOUND.search(name.lower()))


def annotated_names(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """Yield name and type of each class field and each parameter of a public function."""
    for holder in ast.walk(tree):
        for node in holder.body if isinstance(holder, ast.ClassDef) else ():
            if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
                yield node.target.id, ast.unparse(node.annotation)
    for _, definition in public_definitions(tree):
        if isinstance(definition, Function):
            arguments = definition.args
            for argument in [*arguments.posonlyargs, *arguments.args, *arguments.kwonlyargs]:
                if argument.annotation:
                    yield argument.arg, ast.unparse(argument.annotation)


def faults(tree: ast.Module) -> list[str]:
    return [
        name
        for name, kind in annotated_names(tree)
        if NUMBERS.search(kind) and is_dimensioned(name) and not ends_in_unit(name)
    ]


def test_dimensioned_numbers_end_in_their_unit() -> None:
    wrong = {
        module.name: found
        for module in modules()
        if module.name not in WITHOUT_RULE and (found := faults(module.tree))
    }
    assert wrong == {}


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("def f(mass: float, wheel_mass_g: float, track: Track): ...", ["mass"]),
        ("class Car:\n    wheel_diameter: float\n    speed_m_s: float\n", ["wheel_diameter"]),
        ("def f(turn_deg: float, gravity_m_s2: float, height: str): ...", []),
        ("def f(finish_time: float | None, heights_by_car: Floats): ...", ["finish_time"]),
    ],
)
def test_the_rule_finds_names_without_a_unit(text: str, expected: list[str]) -> None:
    assert faults(ast.parse(text)) == expected
