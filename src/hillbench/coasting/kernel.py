"""The marching kernel: many cars down one table of panels, compiled."""

from __future__ import annotations

from typing import Final

import numpy as np
from numba import njit

from hillbench.coasting.parameters import (
    BEARING,
    CG_HEIGHT,
    COUNT,
    DRAG,
    EXPONENT,
    GRAVITY,
    LAMBDA,
    LEAST_ARM,
    LOAD_LOSS,
    MASS,
    PITCH,
    ROLLING,
    STEADY,
    WALL,
    WEIGHT,
    WHEELS,
)
from hillbench.coasting.result import Floats

BLOCK: Final = 64
"""Cars marched side by side: fills the vector units and keeps their state in the first cache."""

# Rows of the state of a block, after those of the parameters.
_ENERGY: Final = COUNT
_ROOT: Final = COUNT + 1
_TIME: Final = COUNT + 2
_STOP: Final = COUNT + 3
_LIFT: Final = COUNT + 4
_ROWS: Final = COUNT + 5
_NEVER: Final = 1e18


@njit(error_model="numpy", inline="always")
def _step(row: Floats, work: Floats, index: int) -> tuple[float, float, float, float]:
    """Return a car's energy after a panel, its moving mass, and its load as press + swing v²."""
    energy = work[_ENERGY * BLOCK + index]
    share = work[LAMBDA * BLOCK + index]
    cg_height = work[CG_HEIGHT * BLOCK + index]
    mass = work[MASS * BLOCK + index]
    weight = work[WEIGHT * BLOCK + index]
    load_loss = work[LOAD_LOSS * BLOCK + index]
    steady = work[STEADY * BLOCK + index]
    wall = work[WALL * BLOCK + index]
    pitch, wheels = work[PITCH * BLOCK + index], work[WHEELS * BLOCK + index]
    other = 1.0 - share
    bow = share * row[5] + other * row[6]
    arm = 1.0 - cg_height * bow
    arm = arm if arm > LEAST_ARM else LEAST_ARM  # noqa: FURB136 (max() ends vectorising)
    moving = mass * arm * arm + pitch * bow * bow + wheels
    fall = share * row[1] + other * row[2] + cg_height * (share * row[3] + other * row[4])
    press = weight * (share * row[7] + other * row[8])
    swing = mass * (share * row[9] + other * row[10]) * arm
    side = share * row[11] + other * row[12]
    tilt = work[GRAVITY * BLOCK + index] * (share * row[13] + other * row[14])
    # Where the car goes over from one wall to the other within the panel, `turn` is the part of
    # it before, and each end counts with the sign and the part of its own side.
    near = 2.0 * energy * side - tilt * moving
    guess = energy - weight * fall - (load_loss * press + steady) * row[0]
    far = 2.0 * guess * side - tilt * moving
    crosses = near * far < 0.0
    turn = near / (near - far) if crosses else 1.0
    lean = wall if (near > 0.0 or (near == 0.0 and far > 0.0)) else -wall
    lean_near = lean * turn
    lean_far = lean * (turn - 1.0) if crosses else lean
    constant = load_loss * press + steady - 0.5 * (lean_near + lean_far) * tilt
    square = load_loss * swing + work[DRAG * BLOCK + index]
    square_near = (square + lean_near * side) * row[0]
    square_far = (square + lean_far * side) * row[0]
    after = (energy * (moving - square_near) - moving * (weight * fall + constant * row[0])) / (
        moving + square_far
    )
    return after, moving, press, swing


@njit(error_model="numpy", cache=True)
def march(
    table: Floats,
    gate_panels: np.ndarray[tuple[int, ...], np.dtype[np.int64]],
    parameters: Floats,
    load_dependent: bool,
    history: Floats,
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """March cars from rest through the panels.

    Parameters
    ----------
    table
        Panels, shape (k, 15); see `Panels.table`.
    gate_panels
        Panel at whose end each gate stands, shape (gates,).
    parameters
        One column a car, shape (14, n), SI units; rows as in `parameters`.
    load_dependent
        Whether any car's bearing friction depends on its load.
    history
        Energy of motion at each edge, filled in when its shape is (k + 1, n); else (0, 0).

    Returns
    -------
    tuple of arrays
        Time at the finish (n,), energy of motion there (n,), times at the gates (gates, n),
        and the first panel in which a car stopped (n,) or lifted off (n,), 1e18 for never.

    Notes
    -----
    In a panel of length h the loss is a + b v². With E = ½ M v² and v² taken at the mean of
    both ends, E₁ = (E₀ (M − b h) − M (ΔV + a h)) / (M + b h), and the time is
    2 h / (v₀ + v₁), exact under constant acceleration and from rest. All rows of the state
    sit in one array at fixed offsets, since the compiler gives up vectorising when it has
    to prove many arrays apart.
    """
    panels = table.shape[0]
    count = parameters.shape[1]
    finish_time = np.empty(count)
    finish_energy = np.empty(count)
    gate_times = np.empty((gate_panels.shape[0], count))
    stop = np.empty(count)
    lift = np.empty(count)
    keep = history.shape[0] > 0
    work = np.empty(_ROWS * BLOCK)
    row = np.empty(15)
    for first in range(0, count, BLOCK):
        last = min(first + BLOCK, count)
        for index in range(BLOCK):
            car = min(first + index, count - 1)
            for name in range(COUNT):
                work[name * BLOCK + index] = parameters[name, car]
            work[_ENERGY * BLOCK + index] = 0.0
            work[_ROOT * BLOCK + index] = 0.0
            work[_TIME * BLOCK + index] = 0.0
            work[_STOP * BLOCK + index] = _NEVER
            work[_LIFT * BLOCK + index] = _NEVER
        for panel in range(panels):
            for column in range(15):
                row[column] = table[panel, column]
            if load_dependent:
                _set_load_loss(row, work)
            _advance(row, float(panel), work)
            if keep:
                for index in range(last - first):
                    history[panel + 1, first + index] = work[_ENERGY * BLOCK + index]
            for gate in range(gate_panels.shape[0]):
                if gate_panels[gate] == panel:
                    for index in range(last - first):
                        gate_times[gate, first + index] = work[_TIME * BLOCK + index]
        for index in range(last - first):
            finish_time[first + index] = work[_TIME * BLOCK + index]
            finish_energy[first + index] = work[_ENERGY * BLOCK + index]
            stop[first + index] = work[_STOP * BLOCK + index]
            lift[first + index] = work[_LIFT * BLOCK + index]
    return finish_time, finish_energy, gate_times, stop, lift


@njit(error_model="numpy", cache=True)
def _advance(row: Floats, panel: float, work: Floats) -> None:
    for index in range(BLOCK):
        energy = work[_ENERGY * BLOCK + index]
        after, moving, press, swing = _step(row, work, index)
        stopped = work[_STOP * BLOCK + index]
        work[_STOP * BLOCK + index] = panel if (after <= 0.0 and panel < stopped) else stopped
        after = max(0.0, after)
        load = press * moving + swing * (energy + after)
        lifted = work[_LIFT * BLOCK + index]
        work[_LIFT * BLOCK + index] = panel if (load < 0.0 and panel < lifted) else lifted
        root = np.sqrt(after)
        mean_root = work[_ROOT * BLOCK + index] + root
        work[_TIME * BLOCK + index] += row[0] * np.sqrt(2.0 * moving) / mean_root
        work[_ENERGY * BLOCK + index] = after
        work[_ROOT * BLOCK + index] = root


@njit(error_model="numpy", cache=True)
def _set_load_loss(row: Floats, work: Floats) -> None:
    """Set the loss over load of each car from its load in the middle of the panel."""
    for index in range(BLOCK):
        energy = work[_ENERGY * BLOCK + index]
        after, moving, press, swing = _step(row, work, index)
        load = press + swing * (energy + max(after, 0.0)) / moving
        share = max(load, 1e-12) / work[WEIGHT * BLOCK + index]
        work[LOAD_LOSS * BLOCK + index] = (
            work[ROLLING * BLOCK + index]
            + work[BEARING * BLOCK + index] * share ** work[EXPONENT * BLOCK + index]
        )
