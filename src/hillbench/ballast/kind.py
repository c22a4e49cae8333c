"""Stock as the solver sees it: kinds with whole sizes and masses, and how each may lie."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

from hillbench.ballast.stock import Putty, StockPiece, Strip

_SLACK: Final = 1e-7
PUTTY_NAME: Final = "putty"
_DAB_SHARES: Final = (0.25, 0.5, 1.0)
_DAB_HEIGHTS: Final = (15, 30)
"""Heights of a dab, tenths of a millimetre."""


@dataclass(frozen=True, slots=True)
class Lay:
    """One way in which a kind may lie, up to a quarter turn; tenths of a millimetre.

    Attributes
    ----------
    long, broad
        Edges of its footprint, the longer first.
    rise
        Height, tape included.
    """

    long: int
    broad: int
    rise: int


@dataclass(frozen=True, slots=True)
class Kind:
    """Pieces that are alike.

    Attributes
    ----------
    name
        As in the stock.
    stock_index
        Place in the stock; that of the putty is the length of the stock.
    mass_mg
        Mass of one; of a dab of putty, the most it holds.
    count
        How many there are.
    lays
        Ways in which it may lie.
    tape
        Thickness of the tape in its height, tenths of a millimetre.
    carries
        Whether another piece may lie on it.
    is_putty
        Whether its mass is trimmed to the limit.
    cylinder
        Whether it is round.
    cut_mm
        Length to which a strip is cut, mm; 0 for anything else.
    """

    name: str
    stock_index: int
    mass_mg: int
    count: int
    lays: tuple[Lay, ...]
    tape: int = 0
    carries: bool = True
    is_putty: bool = False
    cylinder: bool = False
    cut_mm: float = 0.0


def kinds_of(stock: tuple[StockPiece, ...], putty: Putty | None, room_mg: int) -> list[Kind]:
    """Return the kinds of a stock; lengths are rounded up and masses to the nearest mg.

    Parameters
    ----------
    stock
        Pieces in the drawer; each must have passed the checks of its entries.
    putty
        Filler, if any.
    room_mg
        Mass that may be added; counts are cut to what it allows.
    """
    kinds = []
    for index, piece in enumerate(stock):
        if piece.strip is None:
            kinds.append(_kind(piece, index, piece.size_mm, piece.mass_g or 0.0, 0.0))
        else:
            kinds += _cuts(piece, piece.strip, index)
    if putty is not None:
        kinds += _dabs(putty, len(stock))
    return [
        kind
        if kind.is_putty
        else replace(kind, count=max(min(kind.count, room_mg // kind.mass_mg), 0))
        for kind in kinds
    ]


def _kind(
    piece: StockPiece, index: int, size_mm: tuple[float, ...], mass_g: float, cut_mm: float
) -> Kind:
    sizes = tuple(math.ceil(edge * 10.0 - _SLACK) for edge in size_mm)
    if len(sizes) == 2:
        sizes = (sizes[0], sizes[1], sizes[1])
    tape = math.ceil(piece.tape_mm * 10.0 - _SLACK)
    round_ = piece.shape == "cylinder"
    return Kind(
        name=piece.name,
        stock_index=index,
        mass_mg=max(round(mass_g * 1000.0), 1),
        count=piece.count,
        lays=_lays(sizes, tape, flat=piece.lies_flat),
        tape=tape,
        carries=piece.flat_top and not round_,
        cylinder=round_,
        cut_mm=cut_mm,
    )


def _lays(sizes: tuple[int, ...], tape: int, *, flat: bool) -> tuple[Lay, ...]:
    found = set()
    for upright in range(3):
        if flat and sizes[upright] != min(sizes):
            continue
        rest = sorted((sizes[i] for i in range(3) if i != upright), reverse=True)
        found.add(Lay(rest[0], rest[1], sizes[upright] + tape))
    return tuple(sorted(found, key=lambda lay: (lay.rise, lay.long, lay.broad)))


def _cuts(piece: StockPiece, strip: Strip, index: int) -> list[Kind]:
    section = piece.size_mm[-2:]
    longest = min(strip.max_mm, piece.size_mm[0]) if len(piece.size_mm) == 3 else strip.max_mm
    steps = math.floor((longest - strip.min_mm) / strip.step_mm + 1e-9)
    lengths = [strip.min_mm + strip.step_mm * number for number in range(steps + 1)]
    return [
        _kind(piece, index, (length, *section), length * strip.g_per_mm, length)
        for length in lengths
    ]


def _dabs(putty: Putty, index: int) -> list[Kind]:
    """Return a few flat dabs of putty; at most one of them all is used."""
    kinds = []
    for share in _DAB_SHARES:
        volume = putty.max_g * share / putty.density_g_cm3 * 1e6
        for rise in _DAB_HEIGHTS:
            edge = max(5 * math.ceil(math.sqrt(volume / rise) / 5.0), 10)
            held_mg = min(putty.max_g * share, edge * edge * rise / 1e6 * putty.density_g_cm3)
            kinds.append(
                Kind(
                    name=PUTTY_NAME,
                    stock_index=index,
                    mass_mg=max(math.floor(held_mg * 1000.0 + _SLACK), 1),
                    count=1,
                    lays=(Lay(edge, edge, rise),),
                    carries=False,
                    is_putty=True,
                )
            )
    return kinds
