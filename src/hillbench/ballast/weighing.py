"""The centre of gravity of pieces that are being laid, as part of a packing model."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from hillbench.ballast.balance import MASS_BAND_MG, WINDOW_BAND
from hillbench.ballast.places import Place, Posed

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

_FAR: Final = 1 << 15
"""More bands outside the window than any car can be."""


@dataclass(frozen=True, slots=True)
class Aim:
    """What to ask of a packing besides room.

    Attributes
    ----------
    supported
        Whether pieces above the floor must rest on one.
    window_bands
        Most bands outside the window; None to leave it out.
    goal
        ``any`` (the first found), ``window`` (least bands outside) or ``polish``.
    """

    supported: bool = True
    window_bands: int | None = None
    goal: str = "any"


@dataclass(slots=True)
class Item:
    """One piece to be laid: its class and mass, its turn, its corner, and its ends."""

    place: Place
    mass_mg: int
    turned: Any
    along: Any
    across: Any
    ends: tuple[Any, Any]
    intervals: tuple[Any, Any]


def edges_of(item: Item, axis: int) -> tuple[int, int]:
    """Return an edge of a piece as it lies and after a quarter turn."""
    lay = item.place.lay
    return (lay.long, lay.broad) if axis == 0 else (lay.broad, lay.long)


def weigh(model: cp_model.CpModel, problem: Posed, items: Sequence[Item], aim: Aim) -> None:
    """Hold the centre of gravity in its window, or aim at it.

    Parameters
    ----------
    model
        The model to add to.
    problem
        What is allowed.
    items
        The pieces.
    aim
        How far outside the window they may lie, and what is to be least.
    """
    balance = problem.balance
    mass_mg = balance.fixed_mg + sum(item.mass_mg for item in items)
    moments = [_moment(problem, items, axis) for axis in range(2)]
    short = (balance.target_mg - mass_mg) // MASS_BAND_MG
    most = balance.nominal_mg(short) * WINDOW_BAND
    bands: Any = 0
    if aim.window_bands != 0:
        bands = model.new_int_var(0, aim.window_bands or _FAR, "")
    model.add(balance.window[0] * mass_mg - moments[0] <= most * bands)
    model.add(moments[0] - balance.window[1] * mass_mg <= most * bands)
    if balance.side is not None:
        model.add(moments[1] - balance.side * mass_mg <= most * bands)
        model.add(-moments[1] - balance.side * mass_mg <= most * bands)
    if aim.goal == "window":
        model.minimize(bands)
    elif aim.goal == "polish":
        _centre(model, moments, mass_mg, balance.window)


def _centre(
    model: cp_model.CpModel, moments: Sequence[Any], mass_mg: int, window: tuple[int, int]
) -> None:
    """Aim at the centre line and the middle of the window, in bands of a window.

    Bands keep the numbers small: with the moments themselves the solver prepares for half a
    minute.
    """
    off = [model.new_int_var(0, _FAR, "") for _ in range(2)]
    middle, unit = window[0] + window[1], WINDOW_BAND * mass_mg
    for sign in (1, -1):
        model.add(sign * (2 * moments[0] - middle * mass_mg) <= 2 * unit * off[0])
        model.add(sign * moments[1] <= unit * off[1])
    model.minimize(off[0] + off[1])


def _moment(problem: Posed, items: Sequence[Item], axis: int) -> Any:  # noqa: ANN401 (an expression)
    """Return the moment of the whole car along (0) or across (1)."""
    room = problem.room
    total: Any = problem.balance.fixed_moments[axis]
    for item in items:
        edges = edges_of(item, axis)
        low = (item.along, item.across)[axis]
        start = (room.x_low, room.y_low)[axis]
        length = edges[0] + (edges[1] - edges[0]) * item.turned
        total += 5 * item.mass_mg * (2 * (start + room.step * low) + length)
    return total
