"""Why counts do not go in, as cuts that forbid as much as possible besides."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from hillbench.ballast.master import Counts
from hillbench.ballast.places import Mask, Place, Posed

Fits = Callable[[Counts], bool]
"""Tells whether counts may go in, by room alone; true where it is not known."""


def smallest_unfit(counts: Counts, fits: Fits, problem: Posed) -> Counts:
    """Return a smallest part of the counts that does not go in.

    Parameters
    ----------
    counts
        Counts that do not go in.
    fits
        Whether counts go in, by room alone: then any part of what goes in goes in too.
    problem
        What is allowed.
    """
    left = dict(counts)
    by_size = sorted(counts, key=lambda i: _bulk(problem.places[i]))
    for index in by_size:
        while left.get(index):
            fewer = {i: n - (i == index) for i, n in left.items() if n - (i == index)}
            if not fewer or fits(fewer):
                break
            left = fewer
    return left


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
