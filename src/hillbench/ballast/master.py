"""How many pieces of each class: exact in mass, height and number, relaxed in room."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.balance import MASS_BAND_MG
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.loads import Column, band_moment
from hillbench.ballast.packing import Found
from hillbench.ballast.rows import Rows
from hillbench.ballast.sums import Sums

Counts = dict[int, int]
"""Number of pieces by class of placement; classes with none are left out."""

Groups = Sequence[tuple[tuple[int, ...], int]]

_SCOUT_GAP = 0.02
"""How near to the best the counts are to be where nothing is to be proven."""

_FAR = 1 << 15
"""More bands than any car is outside its window or high."""


@dataclass(frozen=True, slots=True, eq=False)
class Scope:
    """Which counts are looked at.

    Attributes
    ----------
    fill
        Share of the free area that pieces may take; below 1 the answers are no bounds, but
        more of them go in.
    kept
        Classes that may occur; None for all.
    ceiling
        Greatest value of the level; None for any.
    """

    fill: float = 1.0
    kept: NDArray[np.bool_] | None = None
    ceiling: int | None = None


class Master:
    """The relaxed question of one level; cuts make it exact as far as needed.

    Parameters
    ----------
    sums
        The task as sums over counts.
    level
        What is to be least.
    settled
        Bounds of the levels before.
    scope
        Which counts are looked at.

    Attributes
    ----------
    model
        The model, to which a search may add.
    counts
        Number of pieces of each class.
    outside
        Bands outside the window, a lower bound.
    dab
        Mass of the putty, mg.
    mass_mg
        Mass of the whole car.
    """

    def __init__(self, sums: Sums, level: Level, settled: Settled, scope: Scope = Scope()) -> None:
        from ortools.sat.python import cp_model

        problem, loads = sums.problem, sums.loads
        self._problem, self._loads, self._scope = problem, loads, scope
        self.model = cp_model.CpModel()
        size = len(problem.places)
        kept = np.ones(size, dtype=np.bool_) if scope.kept is None else scope.kept
        most = np.where(np.concatenate([kept, kept[list(loads.dabs)]]), loads.most, 0)
        self._columns: list[Any] = [
            self.model.new_int_var(0, int(each), "") if each else 0 for each in most
        ]
        self._used = np.flatnonzero(most)
        self._most = most
        self.counts = self._columns[:size]
        self._at_least: dict[tuple[tuple[int, ...], int], Any] = {}
        self._rows(sums.rows)
        self.dab = sum(self._columns[size:])
        self.mass_mg = problem.balance.fixed_mg + self._sum(loads.mass)
        self._trim()
        self._value: Any = 0
        self._level_bounds(level, settled)

    def solve(self, deadline: Deadline) -> tuple[Found, Counts, int]:
        """Return whether counts remain, the best of them and the bound that they prove."""
        from ortools.sat.python import cp_model

        solver = deadline.new_solver()
        parameters: Any = solver.parameters
        parameters.use_lns = False
        # Tens of short questions: long preparations cost more than they gain.
        parameters.max_presolve_iterations = 1
        parameters.symmetry_level = 0
        parameters.cp_model_probing_level = 0
        if self._scope.fill < 1.0:
            parameters.relative_gap_limit = _SCOUT_GAP
        status = deadline.solve(solver, self.model)
        if status == cp_model.INFEASIBLE:
            return Found.NO, {}, 0
        if status != cp_model.OPTIMAL:
            return Found.OPEN, {}, 0
        values = [solver.value(count) for count in self.counts]
        counts = {index: number for index, number in enumerate(values) if number}
        bound = round(solver.objective_value)
        if self._scope.fill == 1.0:
            # Cuts only raise the bound: the next answer with this value is known to be best.
            self.model.add(self._value >= bound)
        return Found.YES, counts, bound

    def forbid(self, groups: Groups) -> None:
        """Forbid that every group of classes has at least its number of pieces at once."""
        reached = [self._reaches(group, least) for group, least in groups]
        self.model.add_bool_or([~one for one in reached])

    def forbid_exactly(self, counts: Mapping[int, int]) -> None:
        """Forbid these counts and no others."""
        self.model.add_bool_or(self._differs(counts))

    def bound_exactly(self, counts: Mapping[int, int], least_bands: int) -> None:
        """Say that these counts lie at least so many bands outside the window."""
        literal = self.model.new_bool_var("")
        self.model.add(self.outside >= least_bands).only_enforce_if(literal)
        self.model.add_bool_or([literal, *self._differs(counts)])

    def _differs(self, counts: Mapping[int, int]) -> list[Any]:
        """Return literals of which one holds just if the counts are others."""
        rest = tuple(i for i in range(len(self.counts)) if i not in counts)
        literals = [self._reaches(rest, 1)]
        for index, number in counts.items():
            literals += [self._reaches((index,), number + 1), ~self._reaches((index,), number)]
        return literals

    def _reaches(self, group: tuple[int, ...], least: int) -> Any:  # noqa: ANN401 (a literal)
        """Return the literal of a group having at least so many pieces."""
        group = tuple(index for index in group if self._most[index])
        if (group, least) not in self._at_least:
            literal = self.model.new_bool_var("")
            total = sum(self._columns[index] for index in group)
            if group:
                self.model.add(total >= least).only_enforce_if(literal)
                self.model.add(total < least).only_enforce_if(~literal)
            else:
                self.model.add(literal == 0)
            self._at_least[group, least] = literal
        return self._at_least[group, least]

    def _sum(self, column: Column) -> Any:  # noqa: ANN401 (an expression of the solver)
        from ortools.sat.python import cp_model

        used = self._used[: np.searchsorted(self._used, len(column))]
        used = used[column[used] != 0]
        columns = [self._columns[index] for index in used]
        return cp_model.LinearExpr.weighted_sum(columns, column[used].tolist())

    def _rows(self, rows: Rows) -> None:
        """Keep to stock, room and support, leaving out rows that cannot bind."""
        most = self._most[: rows.matrix.shape[1]]
        limits = np.where(rows.of_room, (self._scope.fill * rows.limits).astype(int), rows.limits)
        seen: set[tuple[bytes, int]] = set()
        binding = (np.maximum(rows.matrix, 0) @ most) > limits
        for row, limit in zip(rows.matrix[binding], limits[binding], strict=True):
            key = (np.where(most > 0, row, 0).tobytes(), int(limit))
            if key not in seen:
                seen.add(key)
                self.model.add(self._sum(row) <= int(limit))

    def _trim(self) -> None:
        """Let the dab be full, or else bring the car to its target."""
        model, size = self.model, len(self.counts)
        full = model.new_bool_var("")
        for number, index in enumerate(self._loads.dabs):
            held, count = int(self._loads.most[size + number]), self.counts[index]
            if not self._most[index]:
                continue
            dab = self._columns[size + number]
            model.add(dab <= held * count)
            model.add(dab == held).only_enforce_if(full, count)
            target = self._problem.balance.target_mg
            model.add(self.mass_mg == target).only_enforce_if(~full, count)
        model.add(self.mass_mg <= self._problem.balance.target_mg)

    def _level_bounds(self, level: Level, settled: Settled) -> None:
        model, balance, loads = self.model, self._problem.balance, self._loads
        most_short = balance.room_mg // MASS_BAND_MG + 1
        band = model.new_int_var(0, most_short, "")
        if settled.short is not None:
            model.add(band == settled.short)
        short = balance.target_mg - self.mass_mg - MASS_BAND_MG * band
        model.add_linear_constraint(short, 0, MASS_BAND_MG - 1)
        self.outside = model.new_int_var(0, _FAR, "")
        height = model.new_int_var(-_FAR, _FAR, "")
        slack: Any = 0
        if settled.short is not None:
            nominal = balance.nominal_mg(settled.short)
            lifted = self._sum(loads.height) + balance.fixed_moments[2]
            model.add(lifted < nominal * (height + 1))
            slack = band_moment(balance, settled.short) * self.outside
        if settled.short is not None or settled.outside == 0:
            for row, limit in loads.balance_rows(balance):
                model.add(self._sum(row) <= limit + slack)
        if settled.outside is not None:
            model.add(self.outside <= settled.outside)
        if settled.high is not None:
            model.add(height <= settled.high)
        self._value = (band, self.outside, height, sum(self.counts))[level]
        if self._scope.ceiling is not None:
            model.add(self._value <= self._scope.ceiling)
        model.minimize(self._value)
