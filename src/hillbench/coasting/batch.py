"""Many runs down one track at once, as arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hillbench.coasting.car_batch import CarBatch, car_parameters
from hillbench.coasting.march import March, find_end_places, march_panels
from hillbench.coasting.panels import PANEL_LENGTH_M, lay_panels
from hillbench.coasting.result import Floats
from hillbench.coasting.surroundings import Surroundings
from hillbench.coasting.track import Track


@dataclass(frozen=True, slots=True)
class BatchResult:
    """Runs of a batch, one value a car.

    Attributes
    ----------
    status
        Number of the status in `STATUSES`, shape (n,).
    finish_time_s, finish_speed_m_s, time_error_s
        Time and speed at the finish and estimated error of the time, not a number unless
        finished, shape (n,).
    gate_times_s
        Time at each gate, not a number where it was not reached, shape (gates, n).
    where_m
        Place of the nose where a run ended early, not a number when finished, shape (n,).
    """

    status: NDArray[np.int8]
    finish_time_s: Floats
    finish_speed_m_s: Floats
    time_error_s: Floats
    gate_times_s: Floats
    where_m: Floats


def coast_batch(
    track: Track,
    cars: CarBatch,
    surroundings: Surroundings | None = None,
    panel_length_m: float = PANEL_LENGTH_M,
) -> BatchResult:
    """Run every car of a batch down a track.

    Parameters
    ----------
    track
        A track without problems (`check_track`).
    cars
        Cars and their losses. Those of one wheelbase and nose share their tables, so a batch
        is quickest when few of these differ.
    surroundings
        Gravity and air; standard gravity and room air where None.
    panel_length_m
        Longest panel of the coarse march, m.

    Notes
    -----
    Each run is marched twice, with n and with 2n panels. The error falls with the square of
    the panel length, so (4 t₂ₙ - tₙ) / 3 is taken (L. F. Richardson, "The approximate
    arithmetical solution by finite differences...", Phil. Trans. R. Soc. A 210 (1911) 307)
    and a third of the difference, which is the error of the finer march, is reported: the
    extrapolated time is closer than that. Panels depend on the track and the geometry only
    and every other quantity enters smoothly, so results may be differentiated by finite
    differences within one call.
    """
    surroundings = surroundings or Surroundings()
    result = _empty_result(len(cars), len(track.gates_at_m))
    for wheelbase_m, nose_m, chosen in _geometries(cars):
        part = cars if len(chosen) == len(cars) else cars.take(chosen)
        parameters = car_parameters(part, surroundings)
        marches = [
            march_panels(lay_panels(track, wheelbase_m, nose_m, panel_length_m, divide), parameters)
            for divide in (1, 2)
        ]
        _extrapolate_into(result, chosen, marches[0], marches[1])
        fine = lay_panels(track, wheelbase_m, nose_m, panel_length_m, 2)
        ended = np.flatnonzero(marches[1].status)
        result.where_m[chosen[ended]] = find_end_places(
            fine, parameters[:, ended], marches[1].end_panel[ended], marches[1].status[ended]
        )
    return result


def _extrapolate_into(
    result: BatchResult, chosen: NDArray[np.intp], coarse: March, fine: March
) -> None:
    result.status[chosen] = fine.status
    # A car that finishes on one of the two only has nothing to extrapolate from.
    both = (coarse.status == 0) & (fine.status == 0)
    change = np.where(both, (fine.finish_time_s - coarse.finish_time_s) / 3.0, 0.0)
    result.finish_time_s[chosen] = fine.finish_time_s + change
    result.time_error_s[chosen] = np.where(fine.status == 0, np.abs(change), np.nan)
    speed_change = (fine.finish_speed_m_s - coarse.finish_speed_m_s) / 3.0
    result.finish_speed_m_s[chosen] = fine.finish_speed_m_s + np.where(both, speed_change, 0.0)
    gate_change = (fine.gate_times_s - coarse.gate_times_s) / 3.0
    passed_both = np.isfinite(gate_change)
    result.gate_times_s[:, chosen] = fine.gate_times_s + np.where(passed_both, gate_change, 0.0)


def _geometries(cars: CarBatch) -> list[tuple[float, float, NDArray[np.intp]]]:
    """Return each pair of wheelbase and nose, m, with the cars that have it."""
    if len(cars) == 0:
        return []
    both = np.column_stack([cars.wheelbase_mm, cars.nose_ahead_of_front_axle_mm]) / 1e3
    if np.all(both == both[0]):
        return [(float(both[0, 0]), float(both[0, 1]), np.arange(len(cars)))]
    kinds, which = np.unique(both, axis=0, return_inverse=True)
    order = np.argsort(which, kind="stable")
    bounds = np.searchsorted(which[order], np.arange(1, len(kinds)))
    parts = np.split(order, bounds)
    return [(float(kind[0]), float(kind[1]), part) for kind, part in zip(kinds, parts, strict=True)]


def _empty_result(count: int, gates: int) -> BatchResult:
    return BatchResult(
        status=np.zeros(count, dtype=np.int8),
        finish_time_s=np.empty(count),
        finish_speed_m_s=np.empty(count),
        time_error_s=np.empty(count),
        gate_times_s=np.empty((gates, count)),
        where_m=np.full(count, np.nan),
    )
