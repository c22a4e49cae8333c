"""Changes to a car or its drawer that may make room, mass or balance."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Final

from hillbench.ballast.cavity import Cavity
from hillbench.ballast.metal import DENSITY_G_CM3
from hillbench.ballast.stock import Putty, StockPiece
from hillbench.ballast.task import BallastTask

EFFORTS: Final = {"edge": 1, "putty": 1, "clearance": 2, "swap": 2, "buy": 2, "remove": 3}
"""How much work or money a change is, least first."""

NEEDED: Final = ("axle", "post", "wheel", "screw", "rivet")
"""Words in the names of what a car cannot do without."""

_PUTTY_G_CM3: Final = 9.0
_MORE_PUTTY_G: Final = 4.0

_TUNGSTEN_G_CM3: Final = sum(DENSITY_G_CM3["tungsten"]) / 2.0

_CUBE: Final = StockPiece(
    "5 mm tungsten cube",
    (5.0, 5.0, 5.0),
    2,
    mass_g=round(0.125 * _TUNGSTEN_G_CM3, 2),
    metal="tungsten",
)
_PLATE: Final = StockPiece(
    "tungsten plate of 15 × 10 × 2 mm",
    (15.0, 10.0, 2.0),
    1,
    mass_g=round(0.3 * _TUNGSTEN_G_CM3, 2),
    metal="tungsten",
)
_SHOP: Final = (
    ("two 5 mm tungsten cubes", _CUBE),
    ("four 5 mm tungsten cubes", replace(_CUBE, count=4)),
    ("a tungsten plate of 15 × 10 × 2 mm", _PLATE),
)
"""Dense pieces that are worth having, tried even where the drawer has none."""

_SWAPPED: Final = 3
"""Kinds of the drawer, the heaviest, of which one is left out for something denser."""

Apply = Callable[[BallastTask], BallastTask]


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that may be changed.

    Attributes
    ----------
    sort
        A key of `EFFORTS`.
    text
        What to do, as the beginning of a sentence.
    apply
        Returns a task with it.
    """

    sort: str
    text: str
    apply: Apply

    @property
    def effort(self) -> int:
        """How much work it is; less is easier."""
        return EFFORTS[self.sort]


def changes(task: BallastTask) -> Iterator[Change]:
    """Yield every single change worth trying."""
    yield from _in_the_car(task.cavity)
    yield from _in_the_drawer(task)
    yield from _from_the_shop(task)


def _in_the_car(cavity: Cavity) -> Iterator[Change]:
    for number, keep_out in enumerate(cavity.keep_outs):
        if not any(word in keep_out.name.lower() for word in NEEDED):
            yield Change("remove", f"taking out the {keep_out.name}", _without(number))
    for number, surface in enumerate(cavity.ceiling):
        if surface.clearance_mm > 0.0:
            yield Change("clearance", f"going right up to the {surface.name}", _closer(number))


def _in_the_drawer(task: BallastTask) -> Iterator[Change]:
    for number, piece in enumerate(task.stock):
        if piece.lies_flat:
            change = _stock(number, lambda one: replace(one, lie_flat=False))
            yield Change("edge", f"laying the {piece.name} on edge", change)
    if task.putty is None:
        putty = Putty(_PUTTY_G_CM3, _MORE_PUTTY_G)
        words = f"up to {_MORE_PUTTY_G:g} g of putty"
        yield Change("putty", words, lambda one: replace(one, putty=putty))
    elif task.putty.max_g < _MORE_PUTTY_G:
        more = replace(task.putty, max_g=_MORE_PUTTY_G)
        words = f"up to {_MORE_PUTTY_G:g} g of putty in place of {task.putty.max_g:g} g"
        yield Change("putty", words, lambda one: replace(one, putty=more))


def _from_the_shop(task: BallastTask) -> Iterator[Change]:
    for number, piece in enumerate(task.stock):
        change = _stock(number, lambda one: replace(one, count=one.count + 1))
        yield Change("buy", f"one more {piece.name}", change)
    heaviest = sorted(
        (number for number, piece in enumerate(task.stock) if piece.count and piece.mass_g),
        key=lambda number: -(task.stock[number].mass_g or 0.0),
    )[:_SWAPPED]
    for words, piece in _SHOP:
        yield Change("buy", words, _bought(piece))
        for number in heaviest:
            old = task.stock[number]
            change = _both(_bought(piece), _stock(number, _one_less))
            yield Change("swap", f"{words} instead of one {old.name}", change)


def _one_less(piece: StockPiece) -> StockPiece:
    return replace(piece, count=piece.count - 1)


def _without(number: int) -> Apply:
    def apply(task: BallastTask) -> BallastTask:
        kept = task.cavity.keep_outs[:number] + task.cavity.keep_outs[number + 1 :]
        return replace(task, cavity=replace(task.cavity, keep_outs=kept))

    return apply


def _closer(number: int) -> Apply:
    def apply(task: BallastTask) -> BallastTask:
        surfaces = list(task.cavity.ceiling)
        surfaces[number] = replace(surfaces[number], clearance_mm=0.0)
        return replace(task, cavity=replace(task.cavity, ceiling=tuple(surfaces)))

    return apply


def _stock(number: int, changed: Callable[[StockPiece], StockPiece]) -> Apply:
    def apply(task: BallastTask) -> BallastTask:
        stock = list(task.stock)
        stock[number] = changed(stock[number])
        return replace(task, stock=tuple(stock))

    return apply


def _bought(piece: StockPiece) -> Apply:
    return lambda task: replace(task, stock=(*task.stock, piece))


def _both(first: Apply, second: Apply) -> Apply:
    return lambda task: second(first(task))


def pair(first: Change, second: Change) -> Change:
    """Return two changes made together.

    Parameters
    ----------
    first, second
        Of different sorts or things; the harder one comes first in the words. A change of
        what is taken out comes last, since it renumbers what is left.
    """
    easier, harder = sorted((first, second), key=lambda one: one.effort)
    return Change(
        harder.sort, f"{harder.text} and {easier.text}", _both(easier.apply, harder.apply)
    )


def binding(cavity: Cavity) -> Iterator[tuple[str, Cavity]]:
    """Yield each keep-out and surface with the cavity as it would be without it."""
    for number, keep_out in enumerate(cavity.keep_outs):
        kept = cavity.keep_outs[:number] + cavity.keep_outs[number + 1 :]
        yield keep_out.name, replace(cavity, keep_outs=kept)
    for number, surface in enumerate(cavity.ceiling):
        raised = replace(
            surface,
            clearance_mm=0.0,
            from_mm=_raised(surface.from_mm),
            to_mm=_raised(surface.to_mm),
            lean=None if surface.lean is None else 0.0,
        )
        ceiling = (*cavity.ceiling[:number], raised, *cavity.ceiling[number + 1 :])
        yield surface.name, replace(cavity, ceiling=ceiling)


_RAISED_MM: Final = 10.0


def _raised(end_mm: tuple[float, ...] | None) -> tuple[float, ...] | None:
    return None if end_mm is None else (end_mm[0], end_mm[1] + _RAISED_MM)
