"""The fields of the cavity form: names on screen, and how a cavity fills them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hillbench import units
from hillbench.ballast.cavity import KeepOut
from hillbench.ballast.measured_cavity import MeasuredCavity
from hillbench.pictures.cavity_view import LETTERS
from hillbench.web.form_rows import Pairs, Row, with_rows
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again

FORM: Final = "cavity"


@dataclass(frozen=True, slots=True)
class ReadingField:
    """One reading in the form.

    Attributes
    ----------
    name, label, hint
        As in `CaliperReadings`, on screen, and how to take it.
    """

    name: str
    label: str
    hint: str

    @property
    def letter(self) -> str:
        """Its letter in the picture; empty where it has none."""
        return LETTERS.get(self.name, "")


FLAT: Final = (
    ReadingField("wheelbase_mm", "Wheelbase", "Centre to centre of the axles."),
    ReadingField("rear_overhang_mm", "Behind the rear axle", "To the rear end of the inside."),
    ReadingField("front_overhang_mm", "Ahead of the front axle", "To the front end of the inside."),
    ReadingField("width_mm", "Width at the floor", "Between the side walls."),
    ReadingField("floor_mm", "Floor above the track", "Upper side of the base, car on its wheels."),
)
HEIGHTS: Final = (
    ReadingField("deck_mm", "Boot or bed", "From the floor to its underside."),
    ReadingField("roof_mm", "Roof", "From the floor to its underside; open car: to the sill."),
    ReadingField("bonnet_mm", "Bonnet", "From the floor to its underside."),
    ReadingField(
        "belt_mm", "Foot of the side glass", "From the floor; above it the sides lean in."
    ),
    ReadingField("roof_width_mm", "Width at the roof", "Between the sides of the roof."),
)
PLACES: Final = (
    ReadingField("rear_glass_foot_mm", "Rear window, foot", "Ahead of the rear axle; behind is −."),
    ReadingField("rear_glass_top_mm", "Rear window, top", "Ahead of the rear axle."),
    ReadingField("windscreen_top_mm", "Windscreen, top", "Ahead of the rear axle."),
    ReadingField("windscreen_foot_mm", "Windscreen, foot", "Ahead of the rear axle."),
)
FINER: Final = (
    ReadingField("axle_top_mm", "Top of the axles", "From the floor; 0 where they run below it."),
    ReadingField("axle_along_mm", "Axle or its cover, along", "Its extent along the car."),
    ReadingField("axle_height_mm", "Axles above the track", "Half the wheel diameter."),
    ReadingField("roof_clearance_mm", "Room below the body", "To be left free."),
    ReadingField("glass_clearance_mm", "Room at the glass", "To be left free."),
    ReadingField("wall_clearance_mm", "Room along the walls", "To be left free."),
    ReadingField("axle_clearance_mm", "Room around the axles", "The wheels must spin."),
)
READINGS: Final = (*FLAT, *HEIGHTS, *PLACES, *FINER)

BLANK: Final[dict[str, Row]] = {
    "keep": {
        "name": "",
        "shape": "box",
        "at": "",
        "side": "0",
        "long": "",
        "wide": "",
        "low": "",
        "high": "",
        "gap": "0.5",
    }
}
"""A fresh keep-out."""

_COLUMNS: Final = {
    "name": "Name",
    "shape": "Shape",
    "at": "Place",
    "side": "Side",
    "long": "Length or diameter",
    "wide": "Width",
    "low": "Lower end",
    "high": "Upper end",
    "gap": "Room around",
}


def labels_of(pairs: Pairs) -> dict[str, str]:
    """Return what each field of a form is called, rows by their number from 1."""
    labels = {one.name: one.label for one in READINGS} | {
        "note": "The note",
        "body_style": "The body style",
        "keep_outs": "What stays free",
    }
    for name, _ in pairs:
        kind, _, rest = name.partition("_")
        column, _, number = rest.partition("_")
        if kind == "keep" and column in _COLUMNS and number.isdecimal():
            labels[name] = f"{_COLUMNS[column]} of keep-out {int(number) + 1}"
    return labels


def cavity_fields(measured: MeasuredCavity, note: str, preferences: Preferences) -> Pairs:
    """Return the form that shows a cavity."""

    def length(value_mm: float) -> str:
        return typed_again(value_mm, units.LENGTH, preferences.length_unit)

    pairs: Pairs = (
        ("body_style", measured.body_style),
        ("note", note),
        *((one.name, length(getattr(measured.readings, one.name))) for one in READINGS),
    )
    floor = measured.readings.floor_mm
    rows = [_row(one, floor, preferences) for one in measured.keep_outs]
    return with_rows(pairs, "keep", rows)


def _row(one: KeepOut, floor_mm: float, preferences: Preferences) -> Row:
    def length(value_mm: float | None) -> str:
        if value_mm is None:
            return ""
        return typed_again(value_mm, units.LENGTH, preferences.length_unit)

    low, high = one.z_mm or (None, None)
    sizes = {}
    for column, extent, value in (("at", "long", one.x_mm), ("side", "wide", one.y_mm)):
        if isinstance(value, tuple):
            sizes[column] = length((value[0] + value[1]) / 2.0)
            sizes[extent] = length(value[1] - value[0])
        else:
            sizes[column] = length(value)
            sizes[extent] = length(2.0 * (one.radius_mm or 0.0)) if extent == "long" else ""
    return {
        "name": one.name,
        "shape": one.shape,
        **sizes,
        "low": length(None if low is None else low - floor_mm),
        "high": length(None if high is None else high - floor_mm),
        "gap": length(one.clearance_mm),
    }
