"""Screw threads of the 60° form: the table of sizes and the basic dimensions."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from hillbench import constants
from hillbench.fastening.tables import read_table, to_mm


class System(StrEnum):
    """Which standard's limits a thread has."""

    UNIFIED = "unified"
    METRIC = "metric"


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread by its basic dimensions.

    Attributes
    ----------
    designation
        As in the table: ``2-56``, ``M2x0.4``.
    system
        Unified inch or ISO metric.
    series
        ``UNC``, ``UNF`` or ``metric coarse``.
    major_mm
        Basic major diameter D, mm.
    pitch_mm
        Pitch P, mm.

    Notes
    -----
    Basic profile with H = P √3/2: D2 = D - 3H/4 and D1 = D - 5H/4. ASME B1.1-2003, fig. 1;
    ISO 68-1:1998. The formulas are the same in both systems.
    """

    designation: str
    system: System
    series: str
    major_mm: float
    pitch_mm: float

    @property
    def sharp_height_mm(self) -> float:
        """Height H of the sharp V, mm."""
        return self.pitch_mm * math.sqrt(3.0) / 2.0

    @property
    def pitch_diameter_mm(self) -> float:
        """Basic pitch diameter D2, mm."""
        return self.major_mm - 0.75 * self.sharp_height_mm

    @property
    def minor_mm(self) -> float:
        """Basic minor diameter D1 of the internal thread, mm."""
        return self.major_mm - 1.25 * self.sharp_height_mm

    @property
    def root_mm(self) -> float:
        """Minor diameter d3 of a screw with rounded root, mm.

        Notes
        -----
        Unified UNR: d - 11H/8 (ASME B1.1-2003). Metric: d - 17H/12 (ISO 898-1:2013, 9.1.6.1).
        """
        share = 11.0 / 8.0 if self.system is System.UNIFIED else 17.0 / 12.0
        return self.major_mm - share * self.sharp_height_mm

    @property
    def stress_area_mm2(self) -> float:
        """Tensile stress area, mm².

        Notes
        -----
        π/4 (d - 9√3/16 P)², which is π/4 (d - 0.9743/n)² in ASME B1.1-2003, app. B, and the
        mean of pitch and root diameter in ISO 898-1:2013, 9.1.6.1 (d - 0.9382 P). The two
        standards round differently shaped roots and differ by 0.036 P.
        """
        factor = 9.0 * math.sqrt(3.0) / 16.0
        if self.system is System.METRIC:
            return math.pi / 4.0 * ((self.pitch_diameter_mm + self.root_mm) / 2.0) ** 2
        return math.pi / 4.0 * (self.major_mm - factor * self.pitch_mm) ** 2

    @property
    def root_area_mm2(self) -> float:
        """Section at the minor diameter D - 2 hb with hb = 3H/4, mm². ASME B1.1-2003."""
        return math.pi / 4.0 * (self.major_mm - 1.5 * self.sharp_height_mm) ** 2

    @property
    def lead_angle_deg(self) -> float:
        """Lead angle at the basic pitch diameter, degrees: tan λ = P / (π D2)."""
        return math.degrees(math.atan(self.pitch_mm / (math.pi * self.pitch_diameter_mm)))

    @property
    def size(self) -> str:
        """The part of the designation that names the diameter: ``2`` or ``M2``."""
        separator = "x" if self.system is System.METRIC else "-"
        return self.designation.partition(separator)[0]


def unified_thread(designation: str, series: str, major_in: float, count: float) -> Thread:
    """Return a Unified thread.

    Parameters
    ----------
    designation, series
        What it is called.
    major_in
        Basic major diameter, inches; for a number size 0.060 + 0.013 times the number.
    count
        Threads per inch.
    """
    inch = constants.MM_PER_INCH
    return Thread(designation, System.UNIFIED, series, major_in * inch, inch / count)


@cache
def threads() -> tuple[Thread, ...]:
    """Return every thread of the table, inch sizes first."""
    found = []
    for row in read_table("threads"):
        name, series, pitch = row["designation"], row["series"], float(row["pitch_or_count"])
        if row["unit"] == "in":
            found.append(unified_thread(name, series, float(row["major"]), pitch))
        else:
            major_mm = to_mm(row["major"], row["unit"])
            found.append(Thread(name, System.METRIC, series, major_mm, pitch))
    return tuple(found)
