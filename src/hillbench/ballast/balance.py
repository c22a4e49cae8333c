"""Mass and centre of gravity in whole numbers, and the bands in which plans count as equal.

Masses in mg, moments in mg times hundredths of a millimetre. Every search and check uses
these definitions, so that "best" means the same to all of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

from hillbench.ballast.task import BallastTask

MASS_BAND_MG: Final = 10
WINDOW_BAND: Final = 2
"""Hundredths of a millimetre by which the centre of gravity may lie outside for one band."""

PIECES_BANDS: Final = 5
"""Bands of height (0.01 mm) given up at most for fewer pieces."""

_SLACK: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Balance:
    """What is to be reached and what is settled.

    Attributes
    ----------
    target_mg
        Limit less the guard band of the scale.
    fixed_mg
        Mass of all that is settled.
    fixed_moments
        Its moments along, across and up.
    window
        Least and most place of the centre of gravity along the car, hundredths of a mm.
    side
        Most distance from the centre line, hundredths of a mm; None for any.
    """

    target_mg: int
    fixed_mg: int
    fixed_moments: tuple[int, int, int]
    window: tuple[int, int]
    side: int | None

    @property
    def room_mg(self) -> int:
        """Mass that may be added."""
        return self.target_mg - self.fixed_mg

    def nominal_mg(self, short: int) -> int:
        """Mass to which the bands of place and height refer, once the mass is settled."""
        return self.target_mg - MASS_BAND_MG * short


@dataclass(frozen=True, slots=True)
class Score:
    """How good a plan is, level by level; less is better.

    Attributes
    ----------
    short
        How far short of the target, bands of 10 mg.
    outside
        How far outside the window, bands of 0.02 mm.
    high
        Height of the centre of gravity, bands of 0.01 mm.
    pieces
        Number of pieces, a dab of putty included.
    """

    short: int
    outside: int
    high: int
    pieces: int


def balance_of(task: BallastTask) -> Balance:
    """Return the balance of a task; the window is rounded inwards."""
    moments = [0, 0, 0]
    for thing in task.fixed:
        mass_mg = round(thing.mass_g * 1000.0)
        for axis, place_mm in enumerate((thing.x_mm, thing.y_mm, thing.z_mm)):
            moments[axis] += mass_mg * round(place_mm * 100.0)
    low, high = (share * task.wheelbase_mm for share in task.cg.window_ahead_of_rear_axle)
    side_mm = task.cg.side_max_mm
    return Balance(
        target_mg=math.floor((task.limit_g - task.scale_guard_g) * 1000.0 + _SLACK),
        fixed_mg=sum(round(thing.mass_g * 1000.0) for thing in task.fixed),
        fixed_moments=(moments[0], moments[1], moments[2]),
        window=(math.ceil(low * 100.0 - _SLACK), math.floor(high * 100.0 + _SLACK)),
        side=None if side_mm is None else math.floor(side_mm * 100.0 + _SLACK),
    )


def score(balance: Balance, mass_mg: int, moments: tuple[int, int, int], pieces: int) -> Score:
    """Return the score of a whole car.

    Parameters
    ----------
    balance
        What is to be reached.
    mass_mg
        Mass of the whole car, at most the target.
    moments
        Its moments along, across and up.
    pieces
        Number of pieces in it.
    """
    short = (balance.target_mg - mass_mg) // MASS_BAND_MG
    nominal_mg = balance.nominal_mg(short)
    outside = max(
        0,
        balance.window[0] * mass_mg - moments[0],
        moments[0] - balance.window[1] * mass_mg,
        0 if balance.side is None else abs(moments[1]) - balance.side * mass_mg,
    )
    return Score(
        short=short,
        outside=-(-outside // (WINDOW_BAND * nominal_mg)),
        high=moments[2] // nominal_mg,
        pieces=pieces,
    )
