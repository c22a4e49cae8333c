"""A cavity as typed into the form, read with every problem beside its field."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from hillbench import units
from hillbench.ballast.cavity import KeepOut
from hillbench.ballast.measured_cavity import (
    BODY_STYLES,
    CaliperReadings,
    MeasuredCavity,
    require_measured,
)
from hillbench.ballast.outline import PhotoOutline
from hillbench.errors import InvalidInput, Problem
from hillbench.web.cavity_fields import FORM, READINGS, labels_of
from hillbench.web.form_rows import Pairs, Row, is_blank, rows_of, with_rows
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Answers, Typed, default_unit

_KEEP_OUT: Final = re.compile(r"keep_outs\[(\d+)\](?:\.(\w+))?")
_COLUMN_OF: Final = {
    "x_mm": "long",
    "y_mm": "wide",
    "z_mm": "high",
    "radius_mm": "long",
    "clearance_mm": "gap",
}
_MOST_PROBLEMS: Final = 12
_AXLES: Final = 2


class CavityReader:
    """Reads one form of a cavity.

    Parameters
    ----------
    pairs
        Name and text of each field.
    preferences
        Units of bare numbers.
    outlines
        Traced on photos, which the form leaves as they are.
    """

    def __init__(
        self, pairs: Pairs, preferences: Preferences, outlines: tuple[PhotoOutline, ...] = ()
    ) -> None:
        pairs = with_rows(pairs, "keep", rows_of(pairs, "keep"))
        self._pairs = pairs
        self._unit = default_unit(units.LENGTH, preferences)
        self._outlines = outlines
        self._answers = Answers(FORM, pairs, preferences, labels_of(pairs))
        self._rows: list[int] = []

    @property
    def as_typed(self) -> Typed:
        """The form as typed."""
        return self._answers.as_typed

    def measured(self) -> MeasuredCavity:
        """Return what was measured.

        Raises
        ------
        InvalidInput
            With every problem, each under the name of its field.
        """
        answers = self._answers
        style = answers.choice("body_style", BODY_STYLES)
        values = {one.name: answers.quantity(one.name, units.LENGTH) for one in READINGS}
        floor_mm = values["floor_mm"] or 0.0
        keep_outs = tuple(self._keep_outs(floor_mm))
        answers.require()
        readings = CaliperReadings(**{name: value or 0.0 for name, value in values.items()})
        measured = MeasuredCavity(style, readings, keep_outs, self._outlines)
        try:
            return require_measured(measured)
        except InvalidInput as wrong:
            axles = _AXLES if readings.axle_top_mm > 0.0 else 0
            raise InvalidInput(
                [self._beside(problem, axles) for problem in wrong.problems]
            ) from None

    def refused(self, wrong: InvalidInput) -> Typed:
        """Return the form as typed, the first problems beside their fields."""
        return self._answers.refused(InvalidInput(wrong.problems[:_MOST_PROBLEMS]))

    def _keep_outs(self, floor_mm: float) -> Iterator[KeepOut]:
        for number, row in enumerate(rows_of(self._pairs, "keep")):
            if not is_blank(row, ("name", "at", "long", "wide")):
                self._rows.append(number)
                yield self._keep_out(number, row, floor_mm)

    def _keep_out(self, number: int, row: Row, floor_mm: float) -> KeepOut:
        def length(column: str, *, empty: float | None = None) -> float | None:
            text, name = row.get(column, "").strip(), f"keep_{column}_{number}"
            if not text:
                if empty is None:
                    allowed = f"a length such as 12.5 {self._unit}"
                    self._answers.problems.append(Problem(name, "empty", allowed, "type it"))
                return empty
            return self._answers.parse(name, text, units.LENGTH, self._unit)

        shape = "cylinder" if row.get("shape") == "cylinder" else "box"
        at, side = length("at") or 0.0, length("side", empty=0.0) or 0.0
        long_mm = length("long") or 0.0
        heights = tuple(
            None if not row.get(column, "").strip() else floor_mm + (length(column) or 0.0)
            for column in ("low", "high")
        )
        gap = length("gap", empty=0.0) or 0.0
        name = row.get("name", "").strip() or f"keep-out {number + 1}"
        if shape == "cylinder":
            return KeepOut(name, shape, at, side, heights, long_mm / 2.0, gap)
        half, half_wide = long_mm / 2.0, (length("wide") or 0.0) / 2.0
        return KeepOut(
            name,
            shape,
            (round(at - half, 3), round(at + half, 3)),
            (round(side - half_wide, 3), round(side + half_wide, 3)),
            heights,
            None,
            gap,
        )

    def _beside(self, problem: Problem, axles: int) -> Problem:
        """Return a problem of the cavity under the name of the field it was typed into."""
        match = _KEEP_OUT.fullmatch(problem.where)
        if match is None or not axles <= int(match[1]) < axles + len(self._rows):
            return problem
        number = self._rows[int(match[1]) - axles]
        column = _COLUMN_OF.get(match[2] or "", "name")
        if column in ("long", "wide") and "ends" in problem.allowed:
            allowed = "more than 0"
            return Problem(f"keep_{column}_{number}", "0 or less", allowed, "measure it again")
        return replace(problem, where=f"keep_{column}_{number}")
