"""The question where ballast goes as typed, read with every problem beside its field."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from hillbench import units
from hillbench.ballast.entries import require_task
from hillbench.ballast.measured_cavity import MeasuredCavity
from hillbench.ballast.stock import Putty, StockPiece, Strip
from hillbench.ballast.task import BallastTask, FixedMass
from hillbench.errors import InvalidInput, Problem
from hillbench.records.drawer_entities import DrawerItem
from hillbench.usecases.plan_ballast import check_time_limit
from hillbench.usecases.plan_car_ballast import BARE, BallastWish, task_of
from hillbench.usecases.question import read_question
from hillbench.web.ballast_fields import DENSITY, FORM, METALS, PERCENT, labels_of
from hillbench.web.form_rows import Pairs, Row, is_blank, rows_of, with_rows
from hillbench.web.preferences import Preferences
from hillbench.web.typed import Answers, Typed, default_unit

_ROW: Final = re.compile(r"(fixed|stock)\[(\d+)\](?:\.(.+))?")
_FIXED: Final = {"mass_g": "mass", "x_mm": "x", "y_mm": "y", "z_mm": "z"}
_STOCK: Final = {
    "size_mm": "long",
    "mass_g": "mass",
    "count": "count",
    "tape_mm": "tape",
    "metal": "metal",
    "shape": "shape",
}
_ELSEWHERE: Final = {
    "cg.window_ahead_of_rear_axle": "window_low_percent",
    "cg.side_max_mm": "side_max_mm",
    "putty.max_g": "putty_g",
    "putty.density_g_cm3": "putty_density_g_cm3",
    "--time-limit": "time_limit_s",
    "fixed": "bare_mass_g",
}
_SHORTEST_STRIP_MM: Final = 5.0
_STRIP_STEP_MM: Final = 2.0
_MOST_PROBLEMS: Final = 12


@dataclass(frozen=True, slots=True)
class BallastEntry:
    """What the form asks.

    Attributes
    ----------
    name
        What the plan is called; may be empty.
    task
        The question to the planner.
    time_limit_s
        Most time for the search, s.
    """

    name: str
    task: BallastTask
    time_limit_s: float


class BallastReader:
    """Reads one form of the question.

    Parameters
    ----------
    pairs
        Name and text of each field.
    preferences
        Units of bare numbers.
    drawer
        Ballast pieces in the drawer.
    """

    def __init__(
        self, pairs: Pairs, preferences: Preferences, drawer: tuple[DrawerItem, ...]
    ) -> None:
        for kind in ("fixed", "stock"):
            pairs = with_rows(pairs, kind, rows_of(pairs, kind))
        self._pairs = pairs
        self._answers = Answers(FORM, pairs, preferences, labels_of(pairs))
        self._mass = default_unit(units.MASS, preferences)
        self._length = default_unit(units.LENGTH, preferences)
        self._drawer = drawer
        self._fields: dict[str, list[str]] = {"fixed": ["bare"], "stock": []}

    @property
    def as_typed(self) -> Typed:
        """The form as typed."""
        return self._answers.as_typed

    def entry(self, measured: MeasuredCavity) -> BallastEntry:
        """Return all that the form asks, in a cavity.

        Raises
        ------
        InvalidInput
            With every problem, each under the name of its field.
        """
        answers = self._answers
        wish = self._wish()
        limit_s = answers.quantity("time_limit_s", units.TIME, unit="s")
        answers.require()
        try:
            check_time_limit(limit_s)
            task = require_task(task_of(measured, wish))
        except InvalidInput as wrong:
            raise InvalidInput([self._beside(problem) for problem in wrong.problems]) from None
        return BallastEntry(answers.text("name").strip(), task, limit_s or 0.0)

    def refused(self, wrong: InvalidInput) -> Typed:
        """Return the form as typed, the first problems beside their fields."""
        return self._answers.refused(InvalidInput(wrong.problems[:_MOST_PROBLEMS]))

    def _wish(self) -> BallastWish:
        answers = self._answers
        low = answers.quantity("window_low_percent", PERCENT)
        high = answers.quantity("window_high_percent", PERCENT)
        for name, share in (("window_low_percent", low), ("window_high_percent", high)):
            if share is not None and not 0.0 <= share <= 100.0:
                allowed = "between 0 (the rear axle) and 100 % (the front axle)"
                answers.problems.append(Problem(name, f"{share:g} %", allowed))
        if low is not None and high is not None and not answers.problems and low > high:
            allowed = f"at least {low:g} %, where the window begins"
            answers.problems.append(Problem("window_high_percent", f"{high:g} %", allowed))
        putty_g = answers.quantity("putty_g", units.MASS, required=False)
        density = answers.quantity("putty_density_g_cm3", DENSITY, required=False)
        return BallastWish(
            limit_g=answers.quantity("limit_g", units.MASS) or 0.0,
            scale_guard_g=answers.quantity("scale_guard_g", units.MASS) or 0.0,
            window=((low or 0.0) / 100.0, (high or 0.0) / 100.0),
            side_max_mm=answers.quantity("side_max_mm", units.LENGTH, required=False),
            fixed=(self._bare(), *self._changes()),
            stock=(*self._from_drawer(), *self._typed_stock()),
            putty=Putty(density or 9.0, putty_g) if putty_g else None,
        )

    def _bare(self) -> FixedMass:
        answers = self._answers
        return FixedMass(
            BARE,
            answers.quantity("bare_mass_g", units.MASS) or 0.0,
            answers.quantity("bare_x_mm", units.LENGTH) or 0.0,
            0.0,
            answers.quantity("bare_z_mm", units.LENGTH) or 0.0,
        )

    def _changes(self) -> Iterator[FixedMass]:
        for number, row in enumerate(rows_of(self._pairs, "fixed")):
            if is_blank(row, ("name", "mass", "x")):
                continue
            self._fields["fixed"].append(str(number))
            yield FixedMass(
                row.get("name", "").strip() or f"change {number + 1}",
                self._number(f"fixed_mass_{number}", row, "mass", units.MASS),
                self._number(f"fixed_x_{number}", row, "x", units.LENGTH),
                self._number(f"fixed_y_{number}", row, "y", units.LENGTH),
                self._number(f"fixed_z_{number}", row, "z", units.LENGTH),
            )

    def _from_drawer(self) -> Iterator[StockPiece]:
        for item in self._drawer:
            field = f"use_{item.id}"
            if not self._answers.text(field).strip():
                continue
            wanted = self._answers.quantity(field, units.NUMBER) or 0.0
            if wanted != int(wanted) or not 0.0 <= wanted <= item.stock:
                allowed = f"a whole number up to {item.stock:g}, what is in the drawer"
                self._answers.problems.append(Problem(field, f"{wanted:g}", allowed))
            elif wanted:
                self._fields["stock"].append(field)
                yield piece_of(item, int(wanted))

    def _typed_stock(self) -> Iterator[StockPiece]:
        for number, row in enumerate(rows_of(self._pairs, "stock")):
            if not is_blank(row, ("name", "mass", "long")):
                self._fields["stock"].append(str(number))
                yield self._piece(number, row)

    def _piece(self, number: int, row: Row) -> StockPiece:
        shape, name = row.get("shape", "box"), row.get("name", "").strip()
        mass_g = self._number(f"stock_mass_{number}", row, "mass", units.MASS)
        count = self._number(f"stock_count_{number}", row, "count", units.NUMBER)
        sizes = [
            self._number(f"stock_{column}_{number}", row, column, units.LENGTH)
            for column in (("long", "wide") if shape == "cylinder" else ("long", "wide", "thick"))
        ]
        strip = None
        if shape == "strip":
            longest = max(sizes[0], 0.1)
            strip = Strip(
                min(_SHORTEST_STRIP_MM, longest), longest, _STRIP_STEP_MM, mass_g / longest
            )
        elif shape == "cylinder":
            sizes.append(sizes[1])
        metal = row.get("metal", "")
        return StockPiece(
            name=name or f"piece {number + 1}",
            size_mm=tuple(sizes[1:] if strip else sizes),
            count=int(count),
            mass_g=None if strip else mass_g,
            shape="cylinder" if shape == "cylinder" else "box",
            lie_flat=row.get("flat", "yes") == "yes",
            flat_top=shape != "cylinder",
            tape_mm=self._number(f"stock_tape_{number}", row, "tape", units.LENGTH, empty=True),
            strip=strip,
            metal=metal if metal in METALS and not strip else "",
        )

    def _number(
        self,
        name: str,
        row: Row,
        column: str,
        dimension: units.Dimension,
        *,
        empty: bool = False,
    ) -> float:
        """Return one number of a row; an empty one is a problem unless `empty` allows it."""
        text = row.get(column, "").strip()
        if not text:
            if not empty:
                self._answers.problems.append(Problem(name, "empty", "a number", "type it"))
            return 0.0
        unit = {units.MASS.name: self._mass, units.LENGTH.name: self._length}.get(
            dimension.name, ""
        )
        return self._answers.parse(name, text, dimension, unit) or 0.0

    def _beside(self, problem: Problem) -> Problem:
        """Return a problem of the task under the name of the field it was typed into."""
        if problem.where in _ELSEWHERE:
            return replace(problem, where=_ELSEWHERE[problem.where])
        if problem.where.startswith("cavity") or problem.where == "grid_mm":
            inner = problem.where.partition(".")[2] or "as a whole"
            return replace(problem, where=f"The inside of the casting ({inner})")
        match = _ROW.fullmatch(problem.where)
        if match is None:
            return problem
        kind, index, column = match[1], int(match[2]), match[3] or ""
        if index >= len(self._fields[kind]):
            return problem
        return replace(problem, where=_field(kind, self._fields[kind][index], column))


def _field(kind: str, known: str, column: str) -> str:
    """Return the field of a column in a row of the form, or of the car as it is."""
    if known.startswith("use_"):
        return known
    if known == "bare":
        return f"bare_{column}" if column != "y_mm" else "bare_x_mm"
    columns = _FIXED if kind == "fixed" else _STOCK
    first = column.partition(".")[0]
    return f"{kind}_{columns.get(first, 'name')}_{known}"


def piece_of(item: DrawerItem, count: int) -> StockPiece:
    """Return a kind of piece in the drawer as the planner takes it."""
    entry = {**item.details, "name": item.name, "count": count}
    return read_question(json.dumps(entry), StockPiece)
