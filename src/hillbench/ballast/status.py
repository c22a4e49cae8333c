"""What is known of a plan: proven, found or impossible."""

from __future__ import annotations

from enum import StrEnum

from hillbench.ballast.aims import Level
from hillbench.ballast.layout import Layout
from hillbench.ballast.places import Posed
from hillbench.ballast.solve import Outcome


class Status(StrEnum):
    """What is known of a plan."""

    PROVEN = "proven best"
    FOUND = "best found"
    IMPOSSIBLE = "impossible"


def status_of(posed: Posed, outcome: Outcome) -> Status:
    """Return what is known of the best layout.

    Notes
    -----
    Impossible is what the stock could do and the cavity cannot: no plan of the greatest mass
    has its centre of gravity inside the limits, or a piece is left over that the limit has
    mass for and the cavity no room. Where the stock itself ends, or no sum of pieces comes
    nearer, the plan is the best there is.
    """
    mass, window = outcome.level(Level.MASS), outcome.level(Level.WINDOW)
    if mass.proven and window.proven and window.value > 0:
        return Status.IMPOSSIBLE
    if mass.proven and spare_names(posed, outcome.layout):
        return Status.IMPOSSIBLE
    return Status.PROVEN if outcome.is_proven else Status.FOUND


def spare_names(posed: Posed, layout: Layout) -> tuple[str, ...]:
    """Return the kinds left over that the limit would have mass for."""
    short_mg = posed.balance.target_mg - layout.mass_mg
    used: dict[int, int] = {}
    for piece in layout.laid:
        index = posed.kind(piece.place).stock_index
        used[index] = used.get(index, 0) + 1
    return tuple(
        dict.fromkeys(
            kind.name
            for kind in posed.kinds
            if not kind.is_putty
            and kind.mass_mg <= short_mg
            and used.get(kind.stock_index, 0) < kind.count
        )
    )


def bound_g(posed: Posed, outcome: Outcome) -> float:
    """Return the greatest mass that any plan can reach, as far as proven, g."""
    return posed.balance.nominal_mg(outcome.level(Level.MASS).bound) / 1000.0
