"""One run of one car, in full."""

from __future__ import annotations

import numpy as np

from hillbench.coasting import parameters as row
from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car import Car, check_car
from hillbench.coasting.car_batch import CarBatch, car_parameters
from hillbench.coasting.forces import Forces, mix, moving_mass, panel_forces
from hillbench.coasting.losses import Losses, check_losses
from hillbench.coasting.march import STATUSES, march_energies
from hillbench.coasting.margins import find_margins
from hillbench.coasting.panels import PANEL_LENGTH_M, Panels, lay_panels
from hillbench.coasting.result import EnergyBudget, Floats, Run, Trace
from hillbench.coasting.surroundings import Surroundings, check_surroundings
from hillbench.coasting.track import Track, check_track
from hillbench.errors import InvalidInput


def coast(
    track: Track,
    car: Car,
    losses: Losses,
    surroundings: Surroundings | None = None,
    panel_length_m: float = PANEL_LENGTH_M,
) -> Run:
    """Compute one run of a car down a track.

    Parameters
    ----------
    track, car, losses, surroundings
        What runs where; standard gravity and room air where `surroundings` is None.
    panel_length_m
        Longest panel of the coarser of two marches, m.

    Raises
    ------
    InvalidInput
        With every problem found in the track, the car, the losses and the surroundings.

    Notes
    -----
    A car that does not start, stalls or lifts off gets that status and the place, never a
    time. Times are extrapolated as in `coast_batch`; trace, energies and margins are those
    of the finer march.
    """
    surroundings = surroundings or Surroundings()
    problems = (
        *check_track(track),
        *check_car(car),
        *check_losses(losses),
        *check_surroundings(surroundings),
    )
    if problems:
        raise InvalidInput(problems)
    cars = CarBatch.of([car], [losses])
    result = coast_batch(track, cars, surroundings, panel_length_m)
    where_m = _number(result.where_m[0])
    panels = lay_panels(
        track,
        car.wheelbase_mm / 1e3,
        car.nose_ahead_of_front_axle_mm / 1e3,
        panel_length_m,
        2,
    )
    parameters = car_parameters(cars, surroundings)
    path = _Path(panels, parameters, where_m)
    return Run(
        status=STATUSES[result.status[0]],
        finish_time_s=_number(result.finish_time_s[0]),
        finish_speed_m_s=_number(result.finish_speed_m_s[0]),
        gate_times_s=tuple(_number(gate[0]) for gate in result.gate_times_s),
        time_error_s=_number(result.time_error_s[0]),
        where_m=where_m,
        energy=path.energy_budget(),
        margins=find_margins(car, losses, panels, path.lengths_m, path.speed_2, surroundings),
        trace=path.trace(),
    )


class _Path:
    """The panels a car went through, the last one cut where the run ended."""

    def __init__(self, panels: Panels, parameters: Floats, where_m: float | None) -> None:
        energies = march_energies(panels, parameters)[:, 0]
        end_m = panels.edges_m[-1] if where_m is None else where_m
        count = int(np.searchsorted(panels.edges_m, end_m - 1e-12))
        self.edges_m: Floats = np.append(panels.edges_m[:count], end_m)
        self.lengths_m: Floats = np.diff(self.edges_m)
        table = panels.table[:count]
        self._moving: Floats = moving_mass(table, parameters)
        share = self.lengths_m / table[:, 0]
        cut = share[-1] if count else 0.0
        last = energies[max(count - 1, 0)] * (1.0 - cut) + energies[count] * cut
        if energies[count] == 0.0:  # the car stopped at the cut, not at the end of the panel
            last = 0.0
        self._energies: Floats = np.append(energies[:count], last)
        self.speed_2: Floats = (self._energies[1:] + self._energies[:-1]) / self._moving
        self._forces: Forces = panel_forces(table, parameters, self.speed_2)
        self._weight_n = float(parameters[row.WEIGHT, 0])
        self._rise_m: Floats = share * (
            mix(table, 1, parameters[row.LAMBDA])
            + parameters[row.CG_HEIGHT] * mix(table, 3, parameters[row.LAMBDA])
        )

    def energy_budget(self) -> EnergyBudget:
        """Return where the energy of the start went, mJ."""

        def taken(force_n: Floats) -> float:
            return 1e3 * float(np.dot(force_n, self.lengths_m))

        forces = self._forces
        return EnergyBudget(
            start=1e3 * self._weight_n * (0.0 - float(np.sum(self._rise_m))),
            bearings=taken(forces.bearings_n),
            rolling=taken(forces.rolling_n),
            steady_drag=taken(forces.steady_drag_n),
            air=taken(forces.air_n),
            walls=taken(forces.walls_n),
            finish_motion=1e3 * float(self._energies[-1]),
        )

    def trace(self) -> Trace:
        """Return the run along the track; forces at an edge are those of the panel before it."""
        roots = np.sqrt(self._energies)
        together = np.maximum(roots[1:] + roots[:-1], 1e-30)
        times = self.lengths_m * np.sqrt(2.0 * self._moving) / together
        before = np.concatenate([self._moving[:1], self._moving]) if len(times) else np.ones(1)
        return Trace(
            at_m=self.edges_m,
            time_s=np.concatenate([[0.0], np.cumsum(times)]),
            speed_m_s=np.sqrt(2.0 * self._energies / before),
            height_m=np.sum(self._rise_m) * -1.0 + np.concatenate([[0.0], np.cumsum(self._rise_m)]),
            load_g=_at_edges(self._forces.normal_n / self._weight_n),
            wall_force_mn=_at_edges(self._forces.wall_n * 1e3),
        )


def _at_edges(of_panels: Floats) -> Floats:
    return np.concatenate([of_panels[:1], of_panels]) if len(of_panels) else np.zeros(1)


def _number(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
