"""Plans at once, laid by hand in one order of pieces after another, and ever better ones."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from typing import Final

from hillbench.ballast.hand import Hand
from hillbench.ballast.kind import Kind
from hillbench.ballast.layout import Layout, in_order, lay_out
from hillbench.ballast.places import Posed

_KEYS: Final[tuple[Callable[[Kind], float], ...]] = (
    lambda kind: -kind.mass_mg,
    lambda kind: -kind.mass_mg / min(lay.long * lay.broad for lay in kind.lays),
    lambda kind: -kind.mass_mg / kind.lays[0].long / kind.lays[0].broad / kind.lays[0].rise,
    lambda kind: kind.lays[0].rise,
)
"""What comes first: heavy pieces, much mass on little floor, dense ones, low ones."""

_GOLDEN: Final = 0.6180339887498949
_FLIP: Final = 0.05

Order = list[int]
"""Kinds in the order in which they are laid, one entry for each piece."""


def orders_of(problem: Posed) -> list[Order]:
    """Return the orders in which a builder would lay pieces first."""
    kinds = problem.kinds
    pieces = [i for i, kind in enumerate(kinds) if not kind.is_putty for _ in range(kind.count)]
    return [sorted(pieces, key=lambda i, key=key: key(kinds[i])) for key in _KEYS]  # type: ignore[misc]


def lay_by_hand(problem: Posed, order: Order, *, tidy: bool) -> Layout:
    """Return a plan laid without search.

    Parameters
    ----------
    problem
        What is allowed.
    order
        Kinds in the order in which they are laid; what does not go in is left out.
    tidy
        Whether to lay each piece against something on two sides: more goes in.
    """
    hand = Hand(problem, tidy=tidy)
    left: dict[int, int] = {}
    for index in order:
        kind = problem.kinds[index]
        if left.setdefault(kind.stock_index, kind.count) and hand.lay(index):
            left[kind.stock_index] -= 1
    dabs = [i for i, kind in enumerate(problem.kinds) if kind.is_putty]
    dabs.sort(key=lambda i: (problem.kinds[i].mass_mg < hand.spare_mg, problem.kinds[i].mass_mg))
    any(hand.lay(index) for index in dabs)
    return lay_out(problem, in_order(hand.laid))


def improvements(
    problem: Posed, best: Layout, rank: Callable[[Layout], tuple[int, ...]], tries: int
) -> Iterator[Layout]:
    """Yield ever better plans, got by moving pieces within the order in which they are laid.

    The moves follow multiples of the golden ratio, so that they are the same each time.
    """
    least, choices = rank(best), _fractions()
    current = min(
        ((order, tidy) for order in orders_of(problem) for tidy in (False, True)),
        key=lambda one: rank(lay_by_hand(problem, one[0], tidy=one[1])),
        default=([], False),
    )
    if not current[0]:
        return
    reached = rank(lay_by_hand(problem, current[0], tidy=current[1]))
    for _ in range(tries):
        order, tidy = list(current[0]), current[1] ^ (next(choices) < _FLIP)
        for _ in range(1 + int(3 * next(choices))):
            piece = order.pop(int(next(choices) * len(order)))
            order.insert(int(next(choices) ** 2 * (len(order) + 1)), piece)
        layout = lay_by_hand(problem, order, tidy=tidy)
        if rank(layout) <= reached:
            current, reached = (order, tidy), rank(layout)
        if rank(layout) < least:
            least = rank(layout)
            yield layout


def _fractions() -> Iterator[float]:
    """Yield fractions spread evenly from 0 to 1, in an order without rhythm."""
    for number in itertools.count(1):
        yield (number * number * _GOLDEN) % 1.0
