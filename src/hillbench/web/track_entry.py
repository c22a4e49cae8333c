"""A track as typed into the form, read into a track with every problem beside its field."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from hillbench import units
from hillbench.coasting.track import Bend, HeightPoint, SlopePoint, Track, check_track
from hillbench.errors import InvalidInput, Problem
from hillbench.records.track_store import TrackState
from hillbench.web.form_rows import Pairs, Row, is_blank, rows_of, with_rows
from hillbench.web.preferences import Preferences
from hillbench.web.track_fields import (
    BLANK,
    FORM,
    SURFACES,
    TEMPERATURE,
    WALLS,
    labels_of,
    with_points,
)
from hillbench.web.typed import Answers, Typed, default_unit

_POINT: Final = re.compile(r"track\.(?:slope|height)_points\[(\d+)\]\.(at_m|slope_deg|height_m)")
_BEND: Final = re.compile(r"track\.bends\[(\d+)\]\.(from|to|turn|bank)_(?:m|deg)")
_GATE_BREAK: Final = re.compile(r"[;\n]|,\s+")
_COLUMN_BREAK: Final = re.compile(r"\t|;|,\s+|\s{2,}|(?<=[\d.])\s+(?=[\d.+\-−])")
_MOST_PROBLEMS: Final = 12


@dataclass(frozen=True, slots=True)
class TrackEntry:
    """What the form of a track says."""

    name: str
    note: str
    state: TrackState


@dataclass(frozen=True, slots=True)
class _Point:
    field_at: str
    field_value: str
    line: str
    at_m: float
    value: float


class TrackReader:
    """Reads one form of a track.

    Parameters
    ----------
    pairs
        Name and text of each field.
    preferences
        Units of bare numbers.
    """

    def __init__(self, pairs: Pairs, preferences: Preferences) -> None:
        for kind in BLANK:
            pairs = with_rows(pairs, kind, rows_of(pairs, kind))
        self._pairs = pairs
        self._distance_unit = default_unit(units.DISTANCE, preferences)
        self._answers = Answers(FORM, pairs, preferences, labels_of(pairs))
        self._given = self._answers.choice("given", ("slopes", "heights"))

    def entry(self) -> TrackEntry:
        """Return all that the form says.

        Raises
        ------
        InvalidInput
            With every problem, each under the name of its field.
        """
        answers = self._answers
        track = self._read_track()
        state = TrackState(
            track=track,
            rolling_resistance=self._chosen("surface", "rolling_resistance", SURFACES),
            wall_friction=self._chosen("walls", "wall_friction", WALLS),
            latitude_deg=answers.quantity("latitude_deg", units.ANGLE, required=False),
            altitude_m=answers.quantity("altitude_m", units.DISTANCE, required=False),
            temperature_c=answers.quantity("temperature_c", TEMPERATURE, required=False),
        )
        answers.require()
        return TrackEntry(answers.text("name"), answers.text("note"), state)

    def track(self) -> Track:
        """Return the geometry alone, for a picture; raises `InvalidInput` like `entry`."""
        track = self._read_track()
        self._answers.require()
        return track

    def refused(self, wrong: InvalidInput) -> Typed:
        """Return the form as typed, the first problems beside their fields."""
        return self._answers.refused(InvalidInput(wrong.problems[:_MOST_PROBLEMS]))

    def as_rows(self) -> Typed:
        """Return the form as typed, with pasted points in rows where they are few."""
        points = self._point_rows()
        if not self._answers.text("column").strip() or points is None:
            return Typed(FORM, self._pairs)
        return Typed(FORM, with_points(self._pairs, points))

    def _read_track(self) -> Track:
        answers = self._answers
        finish = answers.quantity("finish_at_m", units.DISTANCE)
        points = sorted(self._points(), key=lambda point: point.at_m)
        bends = list(self._bends())
        gates = tuple(sorted(self._gates()))
        track = Track(
            finish_at_m=finish if finish is not None else 1.0,
            slope_points=tuple(SlopePoint(p.at_m, p.value) for p in points)
            if self._given == "slopes"
            else (),
            height_points=tuple(HeightPoint(p.at_m, p.value) for p in points)
            if self._given == "heights"
            else (),
            bends=tuple(bend for _, bend in bends),
            gates_at_m=gates,
        )
        if not answers.problems:
            places = [number for number, _ in bends]
            answers.problems += [_beside(p, points, places) for p in check_track(track)]
        return track

    def _points(self) -> Iterator[_Point]:
        rows = self._point_rows()
        pasted = bool(self._answers.text("column").strip())
        dimension = units.ANGLE if self._given == "slopes" else units.DISTANCE
        unit = "deg" if self._given == "slopes" else self._distance_unit
        for number, row in enumerate(rows or ()):
            if is_blank(row, ("at", "value")):
                continue
            names = (
                ("column", "column") if pasted else (f"point_at_{number}", f"point_value_{number}")
            )
            line = f" in line {number + 1}" if pasted else ""
            at = self._number(
                names[0], row.get("at", ""), units.DISTANCE, self._distance_unit, line
            )
            value = self._number(names[1], row.get("value", ""), dimension, unit, line)
            if at is not None and value is not None:
                yield _Point(*names, line, at, value)

    def _point_rows(self) -> list[Row] | None:
        column = self._answers.text("column").strip()
        if not column:
            return list(rows_of(self._pairs, "point"))
        rows: list[Row] = []
        for number, line in enumerate(column.splitlines(), start=1):
            parts = [part for part in _COLUMN_BREAK.split(line.strip()) if part.strip()]
            if len(parts) == 2:
                rows.append({"at": parts[0].strip(), "value": parts[1].strip()})
            elif parts:
                seen = f"{line.strip()!r} in line {number}"
                allowed = "two numbers on each line, the place and the slope or height"
                remedy = "copy two columns from the spreadsheet, without their headings"
                self._answers.problems.append(Problem("column", seen, allowed, remedy))
                return None
        return rows

    def _bends(self) -> Iterator[tuple[int, Bend]]:
        for number, row in enumerate(rows_of(self._pairs, "bend")):
            bend = None if is_blank(row, ("from", "to")) else self._bend(number, row)
            if bend is not None:
                yield number, bend

    def _bend(self, number: int, row: Row) -> Bend | None:
        distance = (units.DISTANCE, self._distance_unit)
        angle = (units.ANGLE, "deg")
        columns = {"from": distance, "to": distance, "turn": angle, "bank": angle}
        low, high, turn, bank = (
            self._number(f"bend_{column}_{number}", row.get(column, ""), *kind)
            for column, kind in columns.items()
        )
        if low is None or high is None or turn is None or bank is None:
            return None
        return Bend(low, high, -turn if row.get("way") == "right" else turn, bank)

    def _gates(self) -> Iterator[float]:
        for part in _GATE_BREAK.split(self._answers.text("gates_at_m")):
            if part.strip():
                unit = self._distance_unit
                gate = self._answers.parse("gates_at_m", part.strip(), units.DISTANCE, unit)
                if gate is not None:
                    yield gate

    def _number(
        self, name: str, text: str, dimension: units.Dimension, unit: str, line: str = ""
    ) -> float | None:
        """Return one number of a row; an empty one is a problem, since its row is not empty."""
        before = len(self._answers.problems)
        value = self._answers.parse(name, text.strip(), dimension, unit)
        self._answers.problems[before:] = [
            replace(p, seen="empty" if not text.strip() else f"{p.seen}{line}")
            for p in self._answers.problems[before:]
        ]
        return value

    def _chosen(self, choice: str, name: str, options: tuple[tuple[str, str], ...]) -> float:
        chosen = self._answers.choice(choice, [option for option, _ in options])
        if chosen != "own":
            return float(chosen)
        return self._answers.quantity(name, units.NUMBER) or 0.0


def _beside(problem: Problem, points: list[_Point], bends: list[int]) -> Problem:
    """Return a problem of the track under the name of the field it was typed into."""
    if match := _POINT.fullmatch(problem.where):
        point = points[int(match[1])]
        field = point.field_at if match[2] == "at_m" else point.field_value
        return replace(problem, where=field, seen=f"{problem.seen}{point.line}")
    if match := _BEND.fullmatch(problem.where):
        allowed = problem.allowed.replace("from_m", "its begin")
        return replace(problem, where=f"bend_{match[2]}_{bends[int(match[1])]}", allowed=allowed)
    if problem.where in ("track.slope_points", "track.height_points"):
        field = points[0].field_at if points else "point_at_0"
        return replace(problem, where=field)
    return problem
