"""The heaviest plan inside the window, as far as it is soon found by hand."""

from __future__ import annotations

import itertools
from dataclasses import replace
from typing import Final

from hillbench.ballast.deadline import Deadline
from hillbench.ballast.first import improvements, lay_by_hand, orders_of
from hillbench.ballast.layout import Layout, lay_out
from hillbench.ballast.places import Posed

_TRIES: Final = 40
"""Plans laid by hand besides the first ones."""


def thinned(posed: Posed, layout: Layout, deadline: Deadline) -> Layout | None:
    """Return the heaviest plan inside the window got by leaving out up to two pieces."""
    soon = heaviest(posed, deadline)
    known = [layout, *([soon] if soon is not None else [])]
    known += [lay_by_hand(posed, order, tidy=True) for order in orders_of(posed)]
    best: Layout | None = None
    for one in known:
        bearing = {piece.parent for piece in one.laid}
        loose = [i for i in range(len(one.laid)) if i not in bearing]
        for out in itertools.chain([()], *(itertools.combinations(loose, n) for n in (1, 2))):
            thinner = _leaving_out(posed, one, set(out))
            if thinner.score.outside == 0 and (best is None or thinner.mass_mg > best.mass_mg):
                best = thinner
    return best


def _leaving_out(posed: Posed, layout: Layout, out: set[int]) -> Layout:
    kept = [i for i in range(len(layout.laid)) if i not in out]
    number = {old: new for new, old in enumerate(kept)} | {-1: -1}
    laid = [replace(layout.laid[i], parent=number[layout.laid[i].parent]) for i in kept]
    return lay_out(posed, tuple(laid))


def heaviest(posed: Posed, deadline: Deadline, tries: int = _TRIES) -> Layout | None:
    """Return the heaviest plan inside the window that is soon found by hand."""

    def rank(layout: Layout) -> tuple[int, ...]:
        return layout.score.outside, layout.score.short, layout.score.high

    best: Layout | None = None
    for order, tidy in itertools.product(orders_of(posed), (False, True)):
        layout = lay_by_hand(posed, order, tidy=tidy)
        if best is None or rank(layout) < rank(best):
            best = layout
        if rank(best)[:2] == (0, 0):
            return best
    best = best or lay_out(posed, ())
    later = improvements(posed, best, rank, tries)
    while not deadline.is_over and (layout_ := next(later, None)) is not None:
        best = layout_
        if rank(best)[:2] == (0, 0):
            break
    return best
