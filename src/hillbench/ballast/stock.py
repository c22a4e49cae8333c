"""What lies in the drawer: ballast pieces, strip and putty."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Strip:
    """Strip that is cut to length.

    Attributes
    ----------
    min_mm, max_mm, step_mm
        Shortest and longest piece and the steps in between, mm.
    g_per_mm
        Mass of each mm of length, g/mm.
    """

    min_mm: float
    max_mm: float
    step_mm: float
    g_per_mm: float


@dataclass(frozen=True, slots=True)
class StockPiece:
    """One kind of ballast piece and how many there are.

    Attributes
    ----------
    name
        What it is called in the steps.
    size_mm
        Length, width and thickness, mm; a cylinder: length, diameter, diameter; a strip:
        width and thickness (with a length before them, that of the whole strip).
    count
        How many there are; of a strip, how many pieces may be cut.
    mass_g
        Mass of one, g; a strip has its own.
    shape
        ``box`` or ``cylinder``.
    lie_flat
        Whether the thickness stays upright; by default for pieces with tape.
    flat_top
        Whether another piece may lie on it; never on a round one.
    tape_mm
        Thickness of the tape under it, mm.
    strip
        Lengths to which it may be cut.
    metal
        Name of its metal, to question a size and mass that disagree; empty for any.
    """

    name: str
    size_mm: tuple[float, ...]
    count: int
    mass_g: float | None = None
    shape: str = "box"
    lie_flat: bool | None = None
    flat_top: bool = True
    tape_mm: float = 0.0
    strip: Strip | None = None
    metal: str = ""

    @property
    def lies_flat(self) -> bool:
        """Whether its thickness stays upright."""
        return self.tape_mm > 0.0 if self.lie_flat is None else self.lie_flat


@dataclass(frozen=True, slots=True)
class Putty:
    """Filler that trims the last of the mass.

    Attributes
    ----------
    density_g_cm3
        Density, g/cm³.
    max_g
        Most that may be used, g.
    """

    density_g_cm3: float
    max_g: float
