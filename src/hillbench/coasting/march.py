"""Cars marched through panels, and where a run ends that does not reach the finish."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.forces import moving_mass, panel_forces
from hillbench.coasting.panels import Panels
from hillbench.coasting.parameters import EXPONENT
from hillbench.coasting.result import Floats, Status

STATUSES: Final = (Status.FINISHED, Status.DID_NOT_START, Status.STALLED, Status.LIFTED_OFF)
"""Meaning of each status number."""

_NEVER: Final = 1e17
_CARS_AT_ONCE: Final = 512


@dataclass(frozen=True, slots=True)
class March:
    """What a march gives for each of n cars.

    Attributes
    ----------
    status
        Number of the status in `STATUSES`, shape (n,).
    end_panel
        Panel in which the run ended early, -1 when finished, shape (n,).
    finish_time_s, finish_speed_m_s
        Not a number unless finished, shape (n,).
    gate_times_s
        Not a number where the gate was not reached, shape (gates, n).
    """

    status: NDArray[np.int8]
    end_panel: NDArray[np.int64]
    finish_time_s: Floats
    finish_speed_m_s: Floats
    gate_times_s: Floats


def march_panels(panels: Panels, parameters: Floats) -> March:
    """March cars through panels.

    Parameters
    ----------
    panels
        Panels of the cars' geometry.
    parameters
        One column a car, shape (14, n); see `car_parameters`.
    """
    time_s, energy, gate_times_s, stop, lift = _run_kernel(panels, parameters, np.empty((0, 0)))
    ended = np.minimum(stop, lift)
    early = ended < _NEVER
    first = np.where(lift <= stop, 3, np.where(stop == 0.0, 1, 2))
    last_rows = np.broadcast_to(panels.table[-1], (parameters.shape[1], panels.table.shape[1]))
    speed = np.sqrt(2.0 * energy / moving_mass(last_rows, parameters))
    passed = panels.gate_panels[:, None] < ended[None, :]
    return March(
        status=np.where(early, first, 0).astype(np.int8),
        end_panel=np.where(early, ended, -1.0).astype(np.int64),
        finish_time_s=np.where(early, np.nan, time_s),
        finish_speed_m_s=np.where(early, np.nan, speed),
        gate_times_s=np.where(passed, gate_times_s, np.nan),
    )


def march_energies(panels: Panels, parameters: Floats) -> Floats:
    """Return the energy of motion of each car at each edge, J, shape (k + 1, n)."""
    history = np.zeros((len(panels.edges_m), parameters.shape[1]))
    _run_kernel(panels, parameters, history)
    return history


def find_end_places(
    panels: Panels, parameters: Floats, end_panel: NDArray[np.int64], status: NDArray[np.int8]
) -> Floats:
    """Return where the nose is when runs end before the finish, m, shape (n,).

    Parameters
    ----------
    panels, parameters
        As for `march_panels`, of the cars that did not finish.
    end_panel, status
        As `march_panels` gave them.
    """
    places = np.empty(len(end_panel))
    for first in range(0, len(end_panel), _CARS_AT_ONCE):
        part = slice(first, first + _CARS_AT_ONCE)
        columns = parameters[:, part]
        energies = march_energies(panels, columns)
        into = _way_into_panel(panels, columns, energies, end_panel[part], status[part])
        places[part] = panels.edges_m[end_panel[part]] + into
    return places


def _way_into_panel(
    panels: Panels,
    parameters: Floats,
    energies: Floats,
    end_panel: NDArray[np.int64],
    status: NDArray[np.int8],
) -> Floats:
    rows = panels.table[end_panel]
    length = rows[:, 0]
    cars = np.arange(len(end_panel))
    before, after = energies[end_panel, cars], energies[end_panel + 1, cars]
    moving = moving_mass(rows, parameters)
    forces = panel_forces(rows, parameters, before / moving)
    holding = np.maximum(forces.fall_n + forces.loss_n(), 1e-30)
    stalled = np.where(status == 1, 0.0, before / holding)
    change = after - before
    wanted = forces.lift_speed_2 * moving / 2.0 - before
    safe = np.where(np.abs(change) > 1e-30, change, 1.0)
    lifted = np.where(wanted <= 0.0, 0.0, wanted / safe * length)
    return np.clip(np.where(status == 3, lifted, stalled), 0.0, length)


def _run_kernel(
    panels: Panels, parameters: Floats, history: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    # The compiler takes half a second to load: not before the first run.
    from hillbench.coasting import kernel

    load_dependent = bool(np.any(parameters[EXPONENT] != 0.0))
    return kernel.march(
        panels.table,
        panels.gate_panels,
        np.ascontiguousarray(parameters),
        load_dependent,
        history,
    )
