"""Why counts do not go in, as cuts that forbid as much as possible besides."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

import numpy as np

from hillbench.ballast.master import Counts
from hillbench.ballast.places import Mask, Place, Posed

MOST_CUTS: Final = 2
"""Parts looked for in one set of counts."""

Fits = Callable[[Counts], bool]
"""Tells whether counts may go in, by room alone; true where it is not known."""


def smallest_unfits(counts: Counts, fits: Fits, problem: Posed) -> list[Counts]:
    """Return smallest parts of the counts that do not go in: several, since each is a cut.

    Parameters
    ----------
    counts
        Counts that do not go in.
    fits
        Whether counts go in, by room alone: then any part of what goes in goes in too.
    problem
        What is allowed.
    """
    by_size = sorted(counts, key=lambda i: _bulk(problem.places[i]))
    orders = [by_size, by_size[::-1]]
    orders += [by_size[turn:] + by_size[:turn] for turn in range(1, len(by_size), 2)]
    found: list[Counts] = []
    for order in orders[:MOST_CUTS]:
        part = _smallest(counts, fits, order)
        if part not in found:
            found.append(part)
    return found


def _smallest(counts: Counts, fits: Fits, order: list[int]) -> Counts:
    """Take away piece by piece, in an order, what is not needed for the rest not to go in."""
    left = dict(counts)
    for index in order:
        while left.get(index):
            fewer = {i: n - (i == index) for i, n in left.items() if n - (i == index)}
            if not fewer or fits(fewer):
                break
            left = fewer
    return left


class Memory:
    """What is known to go in or not, so that no question is asked twice."""

    def __init__(self) -> None:
        self._fit: list[Counts] = []
        self._unfit: list[Counts] = []

    def using(self, ask: Callable[[Counts], bool | None]) -> Fits:
        """Return the question whether counts may go in, asked only where it is not known.

        Parameters
        ----------
        ask
            Tells whether counts go in, by room alone; None where it does not come to an end.
        """

        def fits(counts: Counts) -> bool:
            if any(_part_of(counts, other) for other in self._fit):
                return True
            if any(_part_of(other, counts) for other in self._unfit):
                return False
            answer = ask(counts)
            if answer is not None:
                (self._fit if answer else self._unfit).append(counts)
            return answer is not False

        return fits


def _part_of(part: Counts, counts: Counts) -> bool:
    return all(counts.get(index, 0) >= number for index, number in part.items())


def lifted(unfit: Counts, problem: Posed) -> list[tuple[tuple[int, ...], int]]:
    """Return groups of classes, disjoint, each with the number that is too many together.

    A class joins the group of one that needs no more room anywhere: putting the smaller
    piece in its stead would go in too.
    """
    groups: dict[int, list[int]] = {index: [index] for index in unfit}
    order = sorted(unfit, key=lambda i: _bulk(problem.places[i]))
    for place in problem.places:
        if place.index in unfit:
            continue
        home = next((i for i in order if _dominates(place, problem.places[i], problem)), None)
        if home is not None:
            groups[home].append(place.index)
    return [(tuple(groups[index]), number) for index, number in unfit.items()]


def _bulk(place: Place) -> int:
    return place.lay.long * place.lay.broad * place.lay.rise


def _dominates(large: Place, small: Place, problem: Posed) -> bool:
    """Return whether wherever the larger lies, the smaller would go in its room."""
    if large.z > small.z or large.top < small.top:
        return False
    cells = problem.cells
    if cells(large.lay.long) < cells(small.lay.long):
        return False
    if cells(large.lay.broad) < cells(small.lay.broad):
        return False
    return all(_within(own, other) for own, other in zip(large.masks, small.masks, strict=True))


def _within(inner: Mask, outer: Mask) -> bool:
    """Return whether every corner allowed to the larger is allowed to the smaller."""
    if not inner.any():
        return True
    rows, columns = inner.shape
    if outer.shape[0] < rows or outer.shape[1] < columns:
        return False
    return not bool(np.any(inner & ~outer[:rows, :columns]))
