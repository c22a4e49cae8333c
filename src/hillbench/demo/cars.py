"""The invented castings and cars, with what was done to each and when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

CASTINGS: Final[Mapping[str, str]] = {
    "Brindlewick Wagon": "Estate with a long roof; plenty of room behind the seats.",
    "Pellworth Coupé": "Low, with a wide front post. The interior traps the glass.",
    "Oakum Flatbed": "Metal bed; heavy at the rear as it comes.",
    "Ruddock Van": "Tall and light, all plastic above the base.",
    "Quillon Streamliner": "Long tail and covered rear wheels; least air drag on this bench.",
    "Merrow Roadster": "Open, small, short wheelbase.",
}
"""Name and note of each casting."""


@dataclass(frozen=True, slots=True)
class Round:
    """What was done to a car on one day, and what it was like afterwards.

    Attributes
    ----------
    days_ago
        Days before the present.
    mass_g
        Its true mass from then on, g; None where it was not weighed.
    readings
        Quantities read that day.
    note
        Goes with the weighing and the readings.
    """

    days_ago: int
    mass_g: float | None
    readings: Mapping[str, float] = field(default_factory=dict)
    note: str = ""


@dataclass(frozen=True, slots=True)
class CarPlan:
    """An invented car.

    Attributes
    ----------
    paint, trim
        Colours of its body and of its stripe in the picture, as hexadecimal RGB.
    """

    name: str
    casting: str
    note: str
    paint: str
    trim: str
    rounds: tuple[Round, ...]


def _dimensions(
    wheelbase: float, cg: float, cg_height: float, nose: float, wheel: float, **more: float
) -> Mapping[str, float]:
    return {
        "wheelbase_mm": wheelbase,
        "cg_ahead_of_rear_axle_mm": cg,
        "cg_height_mm": cg_height,
        "nose_ahead_of_front_axle_mm": nose,
        "wheel_diameter_mm": wheel,
        "axle_diameter_mm": 1.0,
        **more,
    }


CARS: Final = (
    CarPlan(
        "Mustard",
        "Brindlewick Wagon",
        "First car on this bench and still the one to beat.",
        "#d9a21b",
        "#fff6dc",
        (
            Round(
                57,
                35.42,
                _dimensions(44.2, 21.0, 9.5, 13.1, 10.8, bearing_friction=0.29, drag_area_cm2=4.3),
                "As it came out of the card.",
            ),
            Round(
                33,
                51.86,
                {"cg_ahead_of_rear_axle_mm": 19.4, "cg_height_mm": 8.1},
                "Lead under the rear deck.",
            ),
            Round(
                18,
                None,
                {"bearing_friction": 0.17},
                "From spin-downs: graphite, round 3",
            ),
        ),
    ),
    CarPlan(
        "Night Ferry",
        "Quillon Streamliner",
        "Runs straight as a ruler; hates the tight fifth bend.",
        "#27496d",
        "#9cc5e8",
        (
            Round(
                55,
                38.90,
                _dimensions(47.5, 22.6, 8.0, 15.4, 10.2, bearing_friction=0.24, drag_area_cm2=2.9),
                "Unopened, wheels turned by hand only.",
            ),
            Round(29, 54.32, {"cg_ahead_of_rear_axle_mm": 21.0}, "Tungsten putty along the keel."),
        ),
    ),
    CarPlan(
        "Rhubarb",
        "Pellworth Coupé",
        "Bent rear axle straightened twice.",
        "#b23a48",
        "#f3d9c9",
        (
            Round(
                50,
                34.18,
                _dimensions(42.6, 18.9, 7.9, 12.8, 10.4, bearing_friction=0.31, steady_drag_mn=0.9),
                "A front wheel rubs on full lock of the play.",
            ),
            Round(
                22,
                46.05,
                {"steady_drag_mn": 0.3, "bearing_friction": 0.21},
                "Rubbing wheel freed, weight on the base.",
            ),
        ),
    ),
    CarPlan(
        "Second Helping",
        "Pellworth Coupé",
        "Same casting as Rhubarb, bought to compare.",
        "#6b8f3c",
        "#eef3dc",
        (
            Round(
                40,
                34.61,
                _dimensions(42.6, 19.1, 7.9, 12.8, 10.4, bearing_friction=0.26),
                "Fresh from the card.",
            ),
        ),
    ),
    CarPlan(
        "Plank",
        "Oakum Flatbed",
        "Bed screwed down to stop its rattle.",
        "#8a5a2b",
        "#d8c3a5",
        (
            Round(
                45,
                41.73,
                _dimensions(46.0, 20.2, 8.8, 14.0, 11.2, bearing_friction=0.27, wheel_mass_g=0.78),
                "Bed fixed with one M1.6 screw.",
            ),
        ),
    ),
    CarPlan(
        "Morning Milk",
        "Ruddock Van",
        "Tall, so its CG height matters more than anywhere else here.",
        "#e9e4d4",
        "#4f7cac",
        (
            Round(
                38,
                33.27,
                _dimensions(
                    41.0, 19.8, 12.6, 11.2, 10.6, bearing_friction=0.25, track_width_mm=25.5
                ),
                "Before any weight.",
            ),
            Round(
                12,
                49.10,
                {"cg_height_mm": 9.9, "cg_ahead_of_rear_axle_mm": 18.3},
                "Lead sheet flat on the floor.",
            ),
        ),
    ),
    CarPlan(
        "Thimble",
        "Merrow Roadster",
        "The smallest; quick off the line, tips first.",
        "#3f8f8b",
        "#f4efe1",
        (
            Round(
                31,
                28.44,
                _dimensions(36.8, 16.9, 7.4, 11.9, 9.6, bearing_friction=0.23),
                "Driver figure left in.",
            ),
        ),
    ),
    CarPlan(
        "Late Edition",
        "Brindlewick Wagon",
        "Second wagon, opened last week: rivets drilled, posts tapped.",
        "#5b5b66",
        "#e3dccb",
        (
            Round(
                9,
                30.95,
                {"wheelbase_mm": 44.2, "wheel_diameter_mm": 10.8},
                "Body and base only, before the weight goes in.",
            ),
        ),
    ),
    CarPlan(
        "Parcel",
        "Ruddock Van",
        "Came in the post this week; still to be weighed.",
        "#7a4b8b",
        "#f0e2a8",
        (Round(2, None, {"wheelbase_mm": 41.0}, "Ruler, through the windows."),),
    ),
)
"""In the order they came."""
