"""The sheet of film: its size and the margins that the printer cannot reach."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.errors import Problem


@dataclass(frozen=True, slots=True)
class SheetSize:
    """A sheet of film.

    Attributes
    ----------
    width_mm, height_mm
        Its edges, mm.
    margin_left_mm, margin_top_mm, margin_right_mm, margin_bottom_mm
        Rims left free, mm.
    """

    width_mm: float = 210.0
    height_mm: float = 297.0
    margin_left_mm: float = 6.0
    margin_top_mm: float = 6.0
    margin_right_mm: float = 6.0
    margin_bottom_mm: float = 6.0

    @property
    def usable_width_mm(self) -> float:
        """Width between the margins, mm."""
        return self.width_mm - self.margin_left_mm - self.margin_right_mm

    @property
    def usable_height_mm(self) -> float:
        """Height between the margins, mm."""
        return self.height_mm - self.margin_top_mm - self.margin_bottom_mm

    @property
    def usable_area_mm2(self) -> float:
        """Area between the margins, mm²."""
        return self.usable_width_mm * self.usable_height_mm


def check_sheet(sheet: SheetSize, where: str) -> list[Problem]:
    """Return what is wrong with a sheet."""
    problems = []
    for name in ("width_mm", "height_mm"):
        value = getattr(sheet, name)
        if not 20.0 <= value <= 2000.0:
            problems.append(Problem(f"{where}.{name}", f"{value:g} mm", "20 to 2000 mm"))
    for side in ("left", "top", "right", "bottom"):
        value = getattr(sheet, f"margin_{side}_mm")
        if not 0.0 <= value <= 100.0:
            problems.append(Problem(f"{where}.margin_{side}_mm", f"{value:g} mm", "0 to 100 mm"))
    if not problems and min(sheet.usable_width_mm, sheet.usable_height_mm) < 5.0:
        seen = f"{sheet.usable_width_mm:g} × {sheet.usable_height_mm:g} mm inside its margins"
        problems.append(Problem(where, seen, "at least 5 mm each way", "make the margins smaller"))
    return problems
