"""Densities of ballast metals: a piece whose mass and size disagree is questioned."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Final

from hillbench.ballast.stock import StockPiece
from hillbench.errors import Problem

DENSITY_G_CM3: Final[Mapping[str, tuple[float, float]]] = {
    "lead": (11.0, 11.4),
    "tungsten": (16.85, 19.3),
    "steel": (7.7, 8.0),
    "zinc": (6.6, 7.2),
    "brass": (8.3, 8.8),
    "bismuth": (9.7, 9.8),
    "tin": (7.2, 7.4),
}
"""Least and most density of each metal, g/cm³.

Pure metals: periodictable 2.1.0 (NIST and ILL tables); tungsten heavy alloy from 16.85:
ASTM B777-15, table 1; steel, zinc and brass: DIN EN 12524 (2000); antimonial lead and zinc
alloy lie a little below the pure metal.
"""

DENSEST_G_CM3: Final = 22.6
"""Density of osmium, the densest metal, g/cm³, from memory."""

_DOUBT: Final = 0.15
"""Share by which sizes read with a caliper and rounded corners may mislead."""


def density_g_cm3(piece: StockPiece) -> float:
    """Return what mass and size of a piece say of its density, g/cm³."""
    volume_mm3 = math.prod((*piece.size_mm, piece.size_mm[-1])[:3])
    if piece.shape == "cylinder":
        volume_mm3 *= math.pi / 4.0
    return (piece.mass_g or 0.0) / volume_mm3 * 1000.0


def questioned(where: str, piece: StockPiece) -> Iterator[Problem]:
    """Yield a problem where the mass and size of a piece contradict each other or its metal."""
    density = density_g_cm3(piece)
    remedy = "weigh and measure one again"
    if density > DENSEST_G_CM3:
        seen = f"{piece.mass_g:g} g in its size, {density:.3g} g/cm³"
        yield Problem(where, seen, f"at most {DENSEST_G_CM3:g} g/cm³, the densest metal", remedy)
        return
    if not piece.metal:
        return
    if piece.metal not in DENSITY_G_CM3:
        names = ", ".join(DENSITY_G_CM3)
        yield Problem(f"{where}.metal", repr(piece.metal), f"one of {names}, or left out")
        return
    least, most = DENSITY_G_CM3[piece.metal]
    if not least * (1 - _DOUBT) <= density <= most * (1 + _DOUBT):
        seen = f"{density:.3g} g/cm³ by its mass and size"
        yield Problem(where, seen, f"about {least:g} to {most:g} g/cm³ for {piece.metal}", remedy)
