"""The quantities of a car in words: what each is called, its kind, how to take it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hillbench import units
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
    """

    name: str
    label: str
    dimension: units.Dimension
    hint: str

    def shown(self, value: float, show: Showing) -> Shown:
        """Return a value of it in the units that `show` prefers."""
        writers = {
            units.MASS.name: show.mass,
            units.LENGTH.name: show.length,
            units.AREA.name: show.area,
            units.FORCE.name: show.force,
        }
        writer = writers.get(self.dimension.name)
        return show.number(value) if writer is None else writer(value)


QUANTITIES: Final = (
    Quantity("wheelbase_mm", "Wheelbase", units.LENGTH, "Between the centres of the axles."),
    Quantity(
        "cg_ahead_of_rear_axle_mm",
        "Centre of gravity, ahead of the rear axle",
        units.LENGTH,
        "Weigh each axle, or balance the car on a thin rod.",
    ),
    Quantity(
        "cg_height_mm",
        "Centre of gravity, above the track",
        units.LENGTH,
        "From the angle at which the car tips sideways.",
    ),
    Quantity(
        "nose_ahead_of_front_axle_mm",
        "Nose, ahead of the front axle",
        units.LENGTH,
        "To the foremost point, which trips the timer.",
    ),
    Quantity("wheel_diameter_mm", "Wheel diameter", units.LENGTH, "At the tread."),
    Quantity("axle_diameter_mm", "Axle diameter", units.LENGTH, "Where it runs in the bearing."),
    Quantity("track_width_mm", "Width over the wheels", units.LENGTH, "Outer edges of the treads."),
    Quantity("wheel_mass_g", "Mass of one wheel", units.MASS, "With its share of a turning axle."),
    Quantity("wheel_count", "Wheels that turn", units.NUMBER, "Usually 4; one held up makes 3."),
    Quantity(
        "wheel_inertia_factor",
        "Inertia factor of a wheel",
        units.NUMBER,
        "0.5 for a solid disk, 1 for a hoop.",
    ),
    Quantity("drag_area_cm2", "Drag area", units.AREA, "Drag coefficient times frontal area."),
    Quantity(
        "bearing_friction", "Bearing friction", units.NUMBER, "A coefficient, from a spin test."
    ),
    Quantity("steady_drag_mn", "Steady drag", units.FORCE, "Rubbing that no weight changes."),
    Quantity(
        "bearing_load_exponent",
        "Bearing load exponent",
        units.NUMBER,
        "0 unless measured; −0.33 to 0.",
    ),
)
"""In the order they are measured."""
