"""How many pieces of each class: exact in mass, height and number, relaxed in room."""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import numpy as np

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.balance import MASS_BAND_MG, WINDOW_BAND
from hillbench.ballast.deadline import Deadline
from hillbench.ballast.packing import Found, free_cells
from hillbench.ballast.places import Place, Posed
from hillbench.ballast.rectangles import bounds

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

Counts = dict[int, int]
"""Number of pieces by class of placement; classes with none are left out."""

_Counted = tuple[Place, Any]

_SCOUT_GAP = 0.02
"""How near to the best the counts are to be where nothing is to be proven."""


class Master:
    """The relaxed question of one level; cuts make it exact as far as needed.

    Parameters
    ----------
    problem
        What is allowed.
    level
        What is to be least.
    settled
        Bounds of the levels before.
    fill
        Share of the free area that pieces may take; below 1 the answers are no bounds, but
        more of them go in.

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

    def __init__(self, problem: Posed, level: Level, settled: Settled, fill: float = 1.0) -> None:
        from ortools.sat.python import cp_model

        self._problem = problem
        self.model = cp_model.CpModel()
        self._value: Any = 0
        self._level = level
        self._fill = fill
        self._at_least: dict[tuple[int, ...], dict[int, cp_model.IntVar]] = {}
        self.counts = [
            self.model.new_int_var(0, problem.kind(place).count, "") for place in problem.places
        ]
        self._by_stock()
        self._mass()
        self._room()
        self._support()
        self._level_bounds(settled)

    def solve(self, deadline: Deadline) -> tuple[Found, Counts, int]:
        """Return whether counts remain, the best of them and the bound that they prove."""
        from ortools.sat.python import cp_model

        solver = deadline.new_solver()
        parameters: Any = solver.parameters
        # Hundreds of short questions: long preparations cost more than they gain.
        parameters.max_presolve_iterations = 1
        parameters.symmetry_level = 0
        parameters.cp_model_probing_level = 0
        parameters.use_lns = False
        if self._fill < 1.0:
            parameters.relative_gap_limit = _SCOUT_GAP
        status = deadline.solve(solver, self.model)
        if status == cp_model.INFEASIBLE:
            return Found.NO, {}, 0
        if status != cp_model.OPTIMAL:
            return Found.OPEN, {}, 0
        counts = {i: solver.value(n) for i, n in enumerate(self.counts) if solver.value(n)}
        bound = round(solver.objective_value)
        if self._fill < 1.0:
            return Found.YES, counts, bound
        # Cuts only raise the bound: the next answer with this value is known to be best.
        self.model.add(self._value >= bound)
        return Found.YES, counts, bound

    def forbid(self, groups: Sequence[tuple[tuple[int, ...], int]]) -> None:
        """Forbid that every group of classes has at least its number of pieces at once."""
        self.model.add_bool_or([~self._reaches(group, least) for group, least in groups])

    def forbid_exactly(self, counts: Mapping[int, int]) -> None:
        """Forbid these counts and no others."""
        literals: list[Any] = []
        for index in range(len(self.counts)):
            number = counts.get(index, 0)
            literals.append(self._reaches((index,), number + 1))
            if number:
                literals.append(~self._reaches((index,), number))
        self.model.add_bool_or(literals)

    def bound_exactly(self, counts: Mapping[int, int], least_bands: int) -> None:
        """Say that these counts lie at least so many bands outside the window."""
        literals: list[Any] = [self.model.new_bool_var("")]
        self.model.add(self.outside >= least_bands).only_enforce_if(literals[0])
        for index in range(len(self.counts)):
            number = counts.get(index, 0)
            literals.append(self._reaches((index,), number + 1))
            if number:
                literals.append(~self._reaches((index,), number))
        self.model.add_bool_or(literals)

    def _reaches(self, group: tuple[int, ...], least: int) -> cp_model.IntVar:
        """Return the literal of a group having at least so many pieces."""
        known = self._at_least.setdefault(group, {})
        if least not in known:
            literal = self.model.new_bool_var("")
            total = sum(self.counts[index] for index in group)
            self.model.add(total >= least).only_enforce_if(literal)
            self.model.add(total < least).only_enforce_if(~literal)
            known[least] = literal
        return known[least]

    def _by_stock(self) -> None:
        """Take no more of anything than there is."""
        of_stock: dict[int, list[Any]] = defaultdict(list)
        most: dict[int, int] = {}
        for place, number in zip(self._problem.places, self.counts, strict=True):
            kind = self._problem.kind(place)
            of_stock[kind.stock_index].append(number)
            most[kind.stock_index] = max(most.get(kind.stock_index, 0), kind.count)
        for index, numbers in of_stock.items():
            self.model.add(sum(numbers) <= most[index])

    def _mass(self) -> None:
        """Add up mass and height exactly, the putty's included."""
        model, problem, balance = self.model, self._problem, self._problem.balance
        hard: list[_Counted] = []
        dabs: list[_Counted] = []
        for place, number in zip(problem.places, self.counts, strict=True):
            (dabs if problem.kind(place).is_putty else hard).append((place, number))
        room_mg = balance.room_mg
        spare = model.new_int_var(0, room_mg, "")
        model.add(spare == room_mg - sum(problem.kind(p).mass_mg * n for p, n in hard))
        height: Any = balance.fixed_moments[2]
        height += sum(5 * problem.kind(p).mass_mg * problem.centre_z(p) * n for p, n in hard)
        self.dab: Any = 0
        if dabs:
            self.dab = model.new_int_var(0, room_mg, "")
            holds = model.new_int_var(0, room_mg, "")
            model.add(holds == sum(min(problem.kind(p).mass_mg, room_mg) * n for p, n in dabs))
            model.add_min_equality(self.dab, [spare, holds])
            height += self._dab_height(dabs)
        self.mass_mg = balance.target_mg - spare + self.dab
        self._height = height
        self._pieces = sum(self.counts)

    def _dab_height(self, dabs: Sequence[_Counted]) -> cp_model.IntVar:
        problem = self._problem
        highest = max(problem.centre_z(place) for place, _ in dabs)
        lifted = self.model.new_int_var(0, problem.balance.room_mg * highest * 5, "")
        for place, number in dabs:
            product = 5 * problem.centre_z(place) * self.dab
            self.model.add(lifted == product).only_enforce_if(number)
        return lifted

    def _room(self) -> None:
        """Bound the area of what lies in each slab by the cells free there."""
        problem = self._problem
        levels = sorted({z for place in problem.places for z in (place.z, place.top)})
        seen: set[tuple[int, ...]] = set()
        for low, high in itertools.pairwise(levels):
            inside = tuple(p.index for p in problem.places if p.z <= low and p.top >= high)
            if not inside or inside in seen:
                continue
            seen.add(inside)
            areas = [
                problem.cells(problem.places[i].lay.long)
                * problem.cells(problem.places[i].lay.broad)
                * self.counts[i]
                for i in inside
            ]
            self.model.add(sum(areas) <= int(self._fill * free_cells(problem, low, high)))

    def _support(self) -> None:
        """Let what lies on pieces have pieces of that height, and area enough, below it."""
        problem, model = self._problem, self.model
        upper: dict[tuple[int, int], list[Place]] = defaultdict(list)
        below: dict[tuple[int, int], list[Place]] = defaultdict(list)
        for place in problem.places:
            if place.layer > 1:
                upper[place.layer, place.z].append(place)
            if problem.kind(place).carries:
                below[place.layer + 1, place.top].append(place)
        for key, places in upper.items():
            carriers = below[key]
            least = [self._resting_area(place) * self.counts[place.index] for place in places]
            most = [p.lay.long * p.lay.broad * self.counts[p.index] for p in carriers]
            model.add(sum(least) <= sum(most))

    def _resting_area(self, place: Place) -> int:
        """Return the least area on its carrier that a piece needs, hundredths of a mm²."""
        hang, lay = self._problem.hang, place.lay
        return max(lay.long - 2 * hang(lay.long), 1) * max(lay.broad - 2 * hang(lay.broad), 1)

    def _level_bounds(self, settled: Settled) -> None:
        model, balance = self.model, self._problem.balance
        short = balance.target_mg - self.mass_mg
        band = model.new_int_var(0, balance.room_mg // MASS_BAND_MG + 1, "")
        if settled.short is not None:
            model.add(band == settled.short)
        model.add(short >= MASS_BAND_MG * band)
        model.add(short < MASS_BAND_MG * (band + 1))
        self.outside = model.new_int_var(0, 1 << 20, "")
        height = model.new_int_var(-(1 << 20), 1 << 20, "")
        if settled.short is not None:
            nominal = balance.nominal_mg(settled.short)
            model.add(self._height < nominal * (height + 1))
            self._along(nominal)
        if settled.outside is not None:
            model.add(self.outside <= settled.outside)
        if settled.high is not None:
            model.add(height <= settled.high)
        self._value = (band, self.outside, height, self._pieces)[self._level]
        model.minimize(self._value)

    def _along(self, nominal_mg: int) -> None:
        """Let the moments that the classes can have reach the window."""
        model, balance, problem = self.model, self._problem.balance, self._problem
        for axis, limits in ((0, balance.window), (1, _side_limits(balance.side))):
            if limits is None:
                continue
            least: Any = balance.fixed_moments[axis]
            most: Any = balance.fixed_moments[axis]
            spans = [_centres(problem, place, axis) for place in problem.places]
            dab_spans = []
            for place, number, span in zip(problem.places, self.counts, spans, strict=True):
                if problem.kind(place).is_putty:
                    dab_spans.append(span)
                    continue
                mass_mg = problem.kind(place).mass_mg
                least += 5 * mass_mg * span[0] * number
                most += 5 * mass_mg * span[1] * number
            if dab_spans:
                least += 5 * min(span[0] for span in dab_spans) * self.dab
                most += 5 * max(span[1] for span in dab_spans) * self.dab
            slack = WINDOW_BAND * nominal_mg * self.outside
            model.add(most >= limits[0] * self.mass_mg - slack)
            model.add(least <= limits[1] * self.mass_mg + slack)


def _side_limits(side: int | None) -> tuple[int, int] | None:
    return None if side is None else (-side, side)


def _centres(problem: Posed, place: Place, axis: int) -> tuple[int, int]:
    """Return the least and most place of a piece's centre, twentieths of a mm."""
    room = problem.room
    start = (room.x_low, room.y_low)[axis]
    ends = []
    edges = ((place.lay.long, place.lay.broad), (place.lay.broad, place.lay.long))
    for mask, edge in zip(place.masks, edges, strict=True):
        if np.any(mask):
            span = bounds(mask)[2 * axis : 2 * axis + 2]
            ends += [2 * (start + room.step * cell) + edge[axis] for cell in (span[0], span[1] - 1)]
    return min(ends), max(ends)
