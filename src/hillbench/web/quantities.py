"""The quantities of a car in words: what each is called, its kind, how to take it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from hillbench import units
from hillbench.usecases.describe_car import CarDescription
from hillbench.web.showing import Showing, Shown


@dataclass(frozen=True, slots=True)
class Quantity:
    """One quantity that can be read off a car.

    Attributes
    ----------
    name
        As in `hillbench.records.quantities`.
    label
        On screen.
    dimension
        Kind of quantity.
    hint
        How to take it, or what it is, in one line.
    short
        What it is called inside a sentence.
    """

    name: str
    label: str
    dimension: units.Dimension
    hint: str
    short: str

    def shown(self, value: float, show: Showing) -> Shown:
        """Return a value of it in the units that `show` prefers."""
        writers: dict[str, Callable[[float], Shown]] = {
            units.MASS.name: show.mass,
            units.LENGTH.name: show.length,
            units.AREA.name: show.area,
            units.FORCE.name: show.force,
        }
        writer = writers.get(self.dimension.name)
        return show.number(value) if writer is None else writer(value).trimmed()


QUANTITIES: Final = (
    Quantity(
        "wheelbase_mm", "Wheelbase", units.LENGTH, "Between the centres of the axles.", "wheelbase"
    ),
    Quantity(
        "cg_ahead_of_rear_axle_mm",
        "Centre of gravity, ahead of the rear axle",
        units.LENGTH,
        "Weigh each axle, or balance the car on a thin rod.",
        "centre of gravity",
    ),
    Quantity(
        "cg_height_mm",
        "Centre of gravity, above the track",
        units.LENGTH,
        "From the angle at which the car tips sideways.",
        "height of the centre of gravity",
    ),
    Quantity(
        "nose_ahead_of_front_axle_mm",
        "Nose, ahead of the front axle",
        units.LENGTH,
        "To the foremost point, which trips the timer.",
        "nose",
    ),
    Quantity(
        "wheel_diameter_mm", "Wheel diameter", units.LENGTH, "At the tread.", "wheel diameter"
    ),
    Quantity(
        "axle_diameter_mm",
        "Axle diameter",
        units.LENGTH,
        "Where it runs in the bearing.",
        "axle diameter",
    ),
    Quantity(
        "track_width_mm",
        "Width over the wheels",
        units.LENGTH,
        "Outer edges of the treads.",
        "width over the wheels",
    ),
    Quantity(
        "wheel_mass_g",
        "Mass of one wheel",
        units.MASS,
        "With its share of a turning axle.",
        "wheel mass",
    ),
    Quantity(
        "wheel_count",
        "Wheels that turn",
        units.NUMBER,
        "Usually 4; one held up makes 3.",
        "number of wheels",
    ),
    Quantity(
        "wheel_inertia_factor",
        "Inertia factor of a wheel",
        units.NUMBER,
        "0.5 for a solid disk, 1 for a hoop.",
        "inertia factor",
    ),
    Quantity(
        "drag_area_cm2",
        "Drag area",
        units.AREA,
        "Drag coefficient times frontal area.",
        "drag area",
    ),
    Quantity(
        "bearing_friction",
        "Bearing friction",
        units.NUMBER,
        "A coefficient, from a spin test.",
        "bearing friction",
    ),
    Quantity(
        "steady_drag_mn",
        "Steady drag",
        units.FORCE,
        "Rubbing that no weight changes.",
        "steady drag",
    ),
    Quantity(
        "bearing_load_exponent",
        "Bearing load exponent",
        units.NUMBER,
        "0 unless measured; −0.33 to 0.",
        "bearing load exponent",
    ),
)
"""In the order they are measured."""

BY_NAME: Final = {quantity.name: quantity for quantity in QUANTITIES}


def assumed_or_measured(described: CarDescription, name: str) -> float:
    """Return a quantity of a described car: of the car itself, or a loss that goes with it."""
    holder = described.car if hasattr(described.car, name) else described
    return float(getattr(holder, name))
