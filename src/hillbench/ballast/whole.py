"""One model of everything: counts, places, supports and balance together."""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.balance import WINDOW_BAND
from hillbench.ballast.benders import Verdict
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.layout import Laid, Layout, in_order, lay_out
from hillbench.ballast.master import Master
from hillbench.ballast.packing import Found
from hillbench.ballast.places import Place, Problem
from hillbench.ballast.rectangles import Rectangle, bounds, cover

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


@dataclass(frozen=True, slots=True, eq=False)
class _Way:
    """One class of placements, turned or not, that a piece may take."""

    place: Place
    turned: bool
    taken: Any

    @property
    def edges(self) -> tuple[int, int]:
        lay = self.place.lay
        return (lay.depth, lay.width) if self.turned else (lay.width, lay.depth)


@dataclass(slots=True)
class _Copy:
    """One piece that may be used."""

    ways: list[_Way]
    corner: tuple[Any, Any]
    extent: tuple[Any, Any]
    cells: tuple[Any, Any]
    heights: tuple[Any, Any]
    present: Any
    hangs: tuple[Any, Any]
    sides: dict[tuple[int, str, int], Any] = field(default_factory=dict)


class Whole:
    """The exact question of one level in one model.

    Parameters
    ----------
    problem
        What is allowed.
    level
        What is to be least.
    settled
        Bounds of the levels before.
    """

    def __init__(self, problem: Problem, level: Level, settled: Settled) -> None:
        self._problem = problem
        self._settled = settled
        self._master = Master(problem, level, settled)
        self._model = self._master.model
        self._copies: list[_Copy] = []
        used: dict[int, list[Any]] = defaultdict(list)
        for group in self._groups():
            copies = [self._copy(places) for places in group]
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
        if settled.mass is not None:
            self._weigh(settled.mass)

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

    def _copy(self, places: list[Place]) -> _Copy:
        model, cells, hang = self._model, self._problem.cells, self._problem.hang
        shape = self._problem.room.floor.shape
        ways = [
            _Way(place, turned, model.new_bool_var(""))
            for place in places
            for turned in (False, True)
            if place.masks[turned].any() and not (turned and place.lay.width == place.lay.depth)
        ]
        present = model.new_bool_var("")
        model.add(sum(way.taken for way in ways) == present)
        copy = _Copy(
            ways=ways,
            corner=(model.new_int_var(0, shape[0], ""), model.new_int_var(0, shape[1], "")),
            extent=_chosen(ways, lambda way: way.edges),
            cells=_chosen(ways, lambda way: (cells(way.edges[0]), cells(way.edges[1]))),
            heights=_chosen(ways, lambda way: (way.place.z, way.place.top)),
            present=present,
            hangs=_chosen(ways, lambda way: (hang(way.edges[0]), hang(way.edges[1]))),
        )
        for axis in range(2):
            model.add(copy.corner[axis] == 0).only_enforce_if(~present)
        for way in ways:
            self._allow(copy, way)
        return copy

    def _allow(self, copy: _Copy, way: _Way) -> None:
        """Keep the corner inside what a way allows."""
        mask = way.place.masks[way.turned]
        span = bounds(mask)
        for axis in range(2):
            self._model.add_linear_constraint(
                copy.corner[axis], span[2 * axis], span[2 * axis + 1] - 1
            ).only_enforce_if(way.taken)
        inner = mask[span[0] : span[1], span[2] : span[3]]
        for x0, x1, y0, y1 in cover(~inner):
            hole = (x0 + span[0], x1 + span[0], y0 + span[2], y1 + span[2])
            self._model.add_bool_or([*self._beside(copy, hole), ~way.taken])

    def _beside(self, copy: _Copy, hole: Rectangle) -> list[cp_model.IntVar]:
        """Return the literals of a corner lying on each side of a hole."""
        literals = []
        for axis in range(2):
            for side, limit in (("below", hole[2 * axis]), ("from", hole[2 * axis + 1])):
                key = (axis, side, limit)
                if key not in copy.sides:
                    literal = self._model.new_bool_var("")
                    corner = copy.corner[axis]
                    bound = corner < limit if side == "below" else corner >= limit
                    self._model.add(bound).only_enforce_if(literal)
                    copy.sides[key] = literal
                literals.append(copy.sides[key])
        return literals

    def _break_symmetry(self, copies: list[_Copy]) -> None:
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

    def _bearing(self, copy: _Copy) -> dict[tuple[int, int], list[Any]]:
        """Return, by layer and height above, how a piece can carry another."""
        bearing: dict[tuple[int, int], list[Any]] = defaultdict(list)
        for way in copy.ways:
            if self._problem.kind(way.place).carries:
                bearing[way.place.layer + 1, way.place.top].append(way.taken)
        return bearing

    def _rest(
        self,
        copy: _Copy,
        below: _Copy,
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

    def _keep_apart(self, first: _Copy, second: _Copy) -> None:
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

    def _moment(self, copy: _Copy, axis: int) -> Any:  # noqa: ANN401 (an expression)
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


def _chosen(ways: list[_Way], values: Callable[[_Way], tuple[int, int]]) -> tuple[Any, Any]:
    """Return the pair of values of the way that is taken; zero where none is."""
    pairs = [(way.taken, values(way)) for way in ways]
    return (
        sum(pair[0] * taken for taken, pair in pairs),
        sum(pair[1] * taken for taken, pair in pairs),
    )
