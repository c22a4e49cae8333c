"""One model of everything: counts, places, supports and balance together."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.balance import WINDOW_BAND
from hillbench.ballast.benders import Verdict
from hillbench.ballast.copies import Copy, add_copy
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Laid, Layout, in_order, lay_out
from hillbench.ballast.master import Master
from hillbench.ballast.packing import Found
from hillbench.ballast.places import Place
from hillbench.ballast.sums import Sums

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


class Whole:
    """The exact question of one level in one model.

    Parameters
    ----------
    sums
        The task as sums over counts.
    level
        What is to be least.
    settled
        Bounds of the levels before.
    """

    def __init__(self, sums: Sums, level: Level, settled: Settled) -> None:
        problem = self._problem = sums.problem
        self._settled = settled
        self._master = Master(sums, level, settled)
        self._model = self._master.model
        self._copies: list[Copy] = []
        used: dict[int, list[Any]] = defaultdict(list)
        for group in self._groups():
            copies = [add_copy(self._model, problem, places) for places in group]
            self._break_symmetry(copies)
            self._copies += copies
        for copy in self._copies:
            for way in copy.ways:
                used[way.place.index].append(way.taken)
        for index, count in enumerate(self._master.counts):
            self._model.add(count == sum(used[index]))
        self._parents = self._carry()
        for first, second in itertools.combinations(self._copies, 2):
            self._keep_apart(first, second)
        if settled.short is not None:
            self._weigh(settled.short)

    def solve(
        self,
        deadline: Deadline,
        report: Callable[[Layout], None] = lambda _: None,
        bounded: Callable[[int], None] = lambda _: None,
    ) -> Verdict:
        """Return the best value of the level.

        Parameters
        ----------
        deadline
            When to stop.
        report
            Called with each layout found.
        bounded
            Called with each lower bound proven.
        """
        from ortools.sat.python import cp_model

        read = self._read

        class Telling(cp_model.CpSolverSolutionCallback):
            def on_solution_callback(self) -> None:
                report(read(self))
                if deadline.is_over:
                    self.stop_search()

        solver = deadline.new_solver()
        solver.best_bound_callback = lambda bound: bounded(_ceiling(bound))
        status = deadline.solve(solver, self._model, Telling())
        if status == cp_model.INFEASIBLE:
            return Verdict(Found.NO, 0, None)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Verdict(Found.OPEN, 0, None)
        layout = self._read(solver)
        bound = _ceiling(solver.best_objective_bound)
        return Verdict(Found.YES if status == cp_model.OPTIMAL else Found.OPEN, bound, layout)

    def _groups(self) -> list[list[list[Place]]]:
        """Return, for each entry of the stock, the classes of each piece that may be used."""
        of_stock: dict[int, list[Place]] = defaultdict(list)
        for place in self._problem.places:
            of_stock[self._problem.kind(place).stock_index].append(place)
        return [
            [places] * max(self._problem.kind(place).count for place in places)
            for places in of_stock.values()
        ]

    def _break_symmetry(self, copies: list[Copy]) -> None:
        for first, second in itertools.pairwise(copies):
            number = [
                sum((way.place.index + 1) * way.taken for way in copy.ways)
                for copy in (first, second)
            ]
            self._model.add(number[0] >= number[1])

    def _carry(self) -> dict[int, list[tuple[int, Any]]]:
        """Let each piece above the floor rest on one that may carry it."""
        parents: dict[int, list[tuple[int, Any]]] = {}
        bearing = [self._bearing(copy) for copy in self._copies]
        for number, copy in enumerate(self._copies):
            upper: dict[tuple[int, int], list[Any]] = defaultdict(list)
            for way in copy.ways:
                if way.place.layer > 1:
                    upper[way.place.layer, way.place.z].append(way.taken)
            literals = []
            for other, below in enumerate(self._copies):
                if other != number and upper.keys() & bearing[other].keys():
                    literal = self._model.new_bool_var("")
                    literals.append((other, literal))
                    self._rest(copy, below, upper, bearing[other], literal)
            taken = [one for group in upper.values() for one in group]
            self._model.add(sum(literal for _, literal in literals) == sum(taken))
            parents[number] = literals
        return parents

    def _bearing(self, copy: Copy) -> dict[tuple[int, int], list[Any]]:
        """Return, by layer and height above, how a piece can carry another."""
        bearing: dict[tuple[int, int], list[Any]] = defaultdict(list)
        for way in copy.ways:
            if self._problem.kind(way.place).carries:
                bearing[way.place.layer + 1, way.place.top].append(way.taken)
        return bearing

    def _rest(
        self,
        copy: Copy,
        below: Copy,
        upper: dict[tuple[int, int], list[Any]],
        bearing: dict[tuple[int, int], list[Any]],
        literal: cp_model.IntVar,
    ) -> None:
        add, step = self._model.add, self._problem.room.step
        for key, taken in upper.items():
            carrying = sum(bearing.get(key, []))
            add(sum(taken) <= carrying).only_enforce_if(literal)
        for axis in range(2):
            low, base = step * copy.corner[axis], step * below.corner[axis]
            add(low >= base - copy.hangs[axis]).only_enforce_if(literal)
            add(
                low + copy.extent[axis] <= base + below.extent[axis] + copy.hangs[axis]
            ).only_enforce_if(literal)

    def _keep_apart(self, first: Copy, second: Copy) -> None:
        model = self._model
        literals = [~first.present, ~second.present]
        for one, other in ((first, second), (second, first)):
            for low, size, high in (
                (one.corner[0], one.cells[0], other.corner[0]),
                (one.corner[1], one.cells[1], other.corner[1]),
                (one.heights[1], 0, other.heights[0]),
            ):
                literal = model.new_bool_var("")
                model.add(low + size <= high).only_enforce_if(literal)
                literals.append(literal)
        model.add_bool_or(literals)

    def _weigh(self, mass_band: int) -> None:
        """Hold the centre of gravity to its window exactly."""
        balance, add, master = self._problem.balance, self._model.add, self._master
        slack = WINDOW_BAND * balance.nominal_mg(mass_band) * master.outside
        for axis, limits in ((0, balance.window), (1, balance.side)):
            if limits is None:
                continue
            low, high = limits if isinstance(limits, tuple) else (-limits, limits)
            moment: Any = balance.fixed_moments[axis]
            moment += sum(self._moment(copy, axis) for copy in self._copies)
            add(moment >= low * master.mass_mg - slack)
            add(moment <= high * master.mass_mg + slack)

    def _moment(self, copy: Copy, axis: int) -> Any:  # noqa: ANN401 (an expression)
        """Return the moment of one piece, nothing where it is left out."""
        problem, model = self._problem, self._model
        room = problem.room
        start = (room.x_low, room.y_low)[axis]
        centre = 2 * start * copy.present + 2 * room.step * copy.corner[axis] + copy.extent[axis]
        kinds = {problem.kind(way.place) for way in copy.ways}
        masses = {kind.mass_mg for kind in kinds}
        if len(masses) == 1 and not any(kind.is_putty for kind in kinds):
            return 5 * masses.pop() * centre
        moment = model.new_int_var(-(1 << 40), 1 << 40, "")
        if any(kind.is_putty for kind in kinds):
            place = model.new_int_var(-(1 << 20), 1 << 20, "")
            model.add(place == centre)
            model.add_multiplication_equality(moment, [self._master.dab, place])
            return 5 * moment
        model.add(moment == 0).only_enforce_if(~copy.present)
        for way in copy.ways:
            mass_mg = problem.kind(way.place).mass_mg
            model.add(moment == mass_mg * centre).only_enforce_if(way.taken)
        return 5 * moment

    def _read(self, solver: Any) -> Layout:  # noqa: ANN401 (a solver or its callback)
        laid: list[tuple[int, Laid]] = []
        number: dict[int, int] = {}
        for index, copy in enumerate(self._copies):
            way = next((way for way in copy.ways if solver.value(way.taken)), None)
            if way is None:
                continue
            number[index] = len(laid)
            kind = self._problem.kind(way.place)
            mass_mg = solver.value(self._master.dab) if kind.is_putty else kind.mass_mg
            corner = (solver.value(copy.corner[0]), solver.value(copy.corner[1]))
            laid.append((index, Laid(way.place, way.turned, *corner, -1, mass_mg)))
        placed = []
        for index, piece in laid:
            parent = next((i for i, one in self._parents[index] if solver.value(one)), None)
            carrier = -1 if parent is None else number[parent]
            placed.append(
                Laid(piece.place, piece.turned, piece.along, piece.across, carrier, piece.mass_mg)
            )
        return lay_out(self._problem, in_order(placed))


def _ceiling(bound: float) -> int:
    """Return the least whole value that a bound of the solver allows."""
    return math.ceil(bound - 1e-6)
