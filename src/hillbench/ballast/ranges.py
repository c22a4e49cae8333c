"""Which classes to look at and up to which value: few first, then more."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.ballast.aims import Level, Settled
from hillbench.ballast.relaxation import relax
from hillbench.ballast.sums import Sums

_STEPS: Final = (6, 15, 35, 80)
"""Bands above the bound of the relaxation that are looked at, one after the other."""

Range = tuple[NDArray[np.bool_] | None, int | None]
"""Classes that may occur and the greatest value; None for all and for any."""


def ranges(
    sums: Sums, level: Level, settled: Settled, known: Callable[[], int | None]
) -> Iterator[Range]:
    """Yield ranges that each hold the one before; the last holds all that is better than known.

    Parameters
    ----------
    sums
        The task as sums over counts.
    level
        What is to be least.
    settled
        Bounds of the levels before.
    known
        Returns the best value known, if any.
    """
    relaxation = None
    if level is not Level.WINDOW:
        relaxation = relax(sums.problem, sums.rows, sums.loads, level, settled)
    if relaxation is None:
        yield None, None
        return
    if level is Level.PIECES:
        yield None if settled.high is None else relaxation.kept(settled.high), None
        return
    for step in _STEPS:
        ceiling, best = relaxation.least + step, known()
        if best is not None:
            ceiling = min(ceiling, best - 1)
        yield relaxation.kept(ceiling), ceiling
    best = known()
    yield None, None if best is None else best - 1
