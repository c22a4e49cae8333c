"""The fields of the track form: names on screen, choices, and how a track fills them."""

from __future__ import annotations

from typing import Final

from hillbench import units
from hillbench.coasting.track import Bend, Track
from hillbench.records.entities import TrackRecord
from hillbench.web.form_rows import Pairs, Row, with_rows
from hillbench.web.preferences import Preferences
from hillbench.web.showing import typed_again

FORM: Final = "track"
MOST_ROWS: Final = 200
"""Points beyond this stand in one column of text instead of rows."""

TEMPERATURE: Final = units.Dimension("temperature", {"°c": 1.0, "c": 1.0})
"""Temperature in degrees Celsius."""

SURFACES: Final = (
    ("0.006", "very smooth, hard and clean: 0.006"),
    ("0.008", "smooth plastic: 0.008"),
    ("0.01", "painted or varnished wood: 0.010"),
    ("0.014", "joints one can feel: 0.014"),
    ("own", "a number of your own"),
)
"""Rolling resistance over load; common practice, no source."""

WALLS: Final = (
    ("0.15", "polished or waxed: 0.15"),
    ("0.2", "smooth plastic: 0.20"),
    ("0.3", "painted wood: 0.30"),
    ("0.4", "rough, or scuffed by many cars: 0.40"),
    ("own", "a number of your own"),
)
"""Friction between car and wall; common practice, no source, within the span of handbooks."""

BLANK: Final[dict[str, Row]] = {
    "point": {"at": "", "value": ""},
    "bend": {"from": "", "to": "", "turn": "90", "way": "left", "bank": "0"},
}
"""A fresh row of each kind."""

_LABELS: Final = {
    "name": "Name",
    "note": "Note",
    "given": "The hill as",
    "finish_at_m": "Length",
    "gates_at_m": "A gate",
    "column": "Column of numbers",
    "rolling_resistance": "Rolling resistance",
    "wall_friction": "Wall friction",
    "latitude_deg": "Latitude",
    "altitude_m": "Altitude",
    "temperature_c": "Temperature",
}
_COLUMNS: Final = {
    "point_at": "Place of point",
    "point_value": "Point",
    "bend_from": "Begin of bend",
    "bend_to": "End of bend",
    "bend_turn": "Turn of bend",
    "bend_way": "Way of bend",
    "bend_bank": "Bank of bend",
}


def labels_of(pairs: Pairs) -> dict[str, str]:
    """Return what each field of a form is called, rows by their number from 1."""
    labels = dict(_LABELS)
    for name, _ in pairs:
        stem, _, number = name.rpartition("_")
        if stem in _COLUMNS and number.isdecimal():
            labels[name] = f"{_COLUMNS[stem]} {int(number) + 1}"
    return labels


def blank_fields(given: str, points: int = 4) -> Pairs:
    """Return the form of a new track, given by ``slopes`` or ``heights``."""
    pairs: Pairs = (
        ("given", given),
        ("surface", "0.008"),
        ("walls", "0.2"),
    )
    return with_rows(pairs, "point", [BLANK["point"]] * points)


def geometry_fields(track: Track, preferences: Preferences) -> Pairs:
    """Return the fields of a track's geometry as they would be typed."""

    def distance(value_m: float) -> str:
        return typed_again(value_m, units.DISTANCE, preferences.distance_unit)

    points: list[Row]
    if track.slope_points:
        given = "slopes"
        points = [
            {"at": distance(point.at_m), "value": typed_again(point.slope_deg, units.ANGLE, "deg")}
            for point in track.slope_points
        ]
    else:
        given = "heights"
        points = [
            {"at": distance(point.at_m), "value": distance(point.height_m)}
            for point in track.height_points
        ]
    pairs: Pairs = (
        ("given", given),
        ("finish_at_m", distance(track.finish_at_m)),
        ("gates_at_m", "; ".join(distance(gate) for gate in track.gates_at_m)),
    )
    pairs = with_points(pairs, points)
    return with_rows(pairs, "bend", [_bend_row(bend, preferences) for bend in track.bends])


def record_fields(record: TrackRecord, preferences: Preferences) -> Pairs:
    """Return the form that shows a track as it is kept."""
    altitude = record.altitude_m
    return (
        ("name", record.name),
        ("note", record.note),
        *_chosen("surface", "rolling_resistance", record.rolling_resistance, SURFACES),
        *_chosen("walls", "wall_friction", record.wall_friction, WALLS),
        ("latitude_deg", _optional(record.latitude_deg)),
        (
            "altitude_m",
            ""
            if altitude is None
            else typed_again(altitude, units.DISTANCE, preferences.distance_unit),
        ),
        ("temperature_c", _optional(record.temperature_c)),
        *geometry_fields(record.track, preferences),
    )


def with_points(pairs: Pairs, points: list[Row]) -> Pairs:
    """Return the form with these points in rows, or in one column where they are many."""
    others = tuple(pair for pair in pairs if pair[0] != "column")
    if len(points) <= MOST_ROWS:
        return with_rows(others, "point", points)
    column = "\n".join(f"{point['at']}\t{point['value']}" for point in points)
    return (*with_rows(others, "point", ()), ("column", column))


def _bend_row(bend: Bend, preferences: Preferences) -> Row:
    unit = preferences.distance_unit
    return {
        "from": typed_again(bend.from_m, units.DISTANCE, unit),
        "to": typed_again(bend.to_m, units.DISTANCE, unit),
        "turn": typed_again(abs(bend.turn_deg), units.ANGLE, "deg"),
        "way": "left" if bend.turn_deg >= 0.0 else "right",
        "bank": typed_again(bend.bank_deg, units.ANGLE, "deg"),
    }


def _chosen(
    choice: str, name: str, value: float, options: tuple[tuple[str, str], ...]
) -> tuple[tuple[str, str], tuple[str, str]]:
    """Return the choice that has this value, or the number typed by hand."""
    for option, _ in options[:-1]:
        if abs(float(option) - value) < 1e-9:
            return (choice, option), (name, "")
    return (choice, "own"), (name, f"{value:g}")


def _optional(value: float | None) -> str:
    return "" if value is None else f"{value:g}"
