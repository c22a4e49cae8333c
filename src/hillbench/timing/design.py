"""Runs as a linear model: mean + car + lane + outing + drift, each with what is known of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from hillbench.timing.prior import Prior
from hillbench.timing.run import RunNote, TimedRun

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Column:
    """One coefficient of the model.

    Attributes
    ----------
    kind, name
        What it belongs to, such as ``car`` and the car's name.
    values
        What the coefficient is multiplied with in each run, shape (n,).
    sd
        Standard deviation of the coefficient before any run, s per unit of `values`.
    """

    kind: str
    name: str
    values: Floats
    sd: float


@dataclass(frozen=True, slots=True)
class Design:
    """The runs with a time, ready for the sampler.

    Attributes
    ----------
    runs
        Runs with a time, n of them.
    time_s
        Their times, shape (n,).
    columns
        Coefficients of the model, p of them.
    noted
        Whether a run was noted as other than clean, shape (n,).
    """

    runs: tuple[TimedRun, ...]
    time_s: Floats
    columns: tuple[Column, ...]
    noted: npt.NDArray[np.bool_]

    def loadings(self) -> Floats:
        """Return the columns times their standard deviations, shape (n, p)."""
        return np.stack([column.values * column.sd for column in self.columns], axis=1)

    def weights(self, chosen: dict[tuple[str, str], float]) -> Floats:
        """Return weights of the coefficients by kind and name, in s, shape (p,)."""
        keys = [(column.kind, column.name) for column in self.columns]
        weights = np.zeros(len(keys))
        for key, weight in chosen.items():
            place = keys.index(key)
            weights[place] = weight * self.columns[place].sd
        return weights


def build_design(
    runs: Sequence[TimedRun], prior: Prior, extra: Sequence[Column] = (), *, drift: bool = True
) -> Design:
    """Return the linear model of runs.

    Parameters
    ----------
    runs
        Runs in the order run; those without a time count for the order only.
    prior
        What is known of each part.
    extra
        Further columns, with a value for each run of `runs`.
    drift
        Whether times may drift steadily within an outing.
    """
    runs = tuple(runs)
    timed = np.array([run.time_s is not None for run in runs])
    kept = tuple(run for run in runs if run.time_s is not None)
    columns = [Column("mean", "", np.ones(len(runs)), 10.0 * prior.typical_s)]
    columns += _groups("car", [run.car for run in runs], prior.car_gap_s / np.sqrt(2.0))
    for kind, names, sd in (
        ("lane", [run.lane for run in runs], prior.lane_s),
        ("outing", [run.outing for run in runs], prior.outing_s),
    ):
        if len({name for name, used in zip(names, timed, strict=True) if used}) > 1:
            columns += _groups(kind, names, sd)
    if drift:
        columns += _drifts(runs, timed, prior.drift_s_per_run)
    columns += extra
    return Design(
        runs=kept,
        time_s=np.array([run.time_s for run in kept], dtype=np.float64),
        columns=tuple(
            Column(column.kind, column.name, column.values[timed], column.sd) for column in columns
        ),
        noted=np.array([run.note is not RunNote.CLEAN for run in kept], dtype=np.bool_),
    )


def run_orders(runs: Sequence[TimedRun]) -> Floats:
    """Return the number of each run within its outing, as noted or by place, shape (n,)."""
    places: dict[str | None, int] = {}
    orders = np.empty(len(runs))
    for index, run in enumerate(runs):
        place = places.get(run.outing, 0) + 1
        places[run.outing] = place
        orders[index] = place if run.order is None else run.order
    return orders


def _groups(kind: str, names: Sequence[str | None], sd: float) -> list[Column]:
    present = dict.fromkeys(name for name in names if name is not None)
    codes = {name: code for code, name in enumerate(present)}
    code_of = np.array([-1 if name is None else codes[name] for name in names])
    return [
        Column(kind, name, (code_of == code).astype(np.float64), sd) for name, code in codes.items()
    ]


def _drifts(runs: Sequence[TimedRun], timed: npt.NDArray[np.bool_], sd: float) -> list[Column]:
    """Return one drift for each outing, about the middle of its timed runs."""
    orders = run_orders(runs)
    columns = []
    for outing in dict.fromkeys(run.outing for run in runs):
        inside = np.array([run.outing == outing for run in runs])
        used = orders[inside & timed]
        if used.size > 1 and np.ptp(used) > 0.0:
            values = np.where(inside, orders - used.mean(), 0.0)
            columns.append(Column("drift", outing or "", values, sd))
    return columns
