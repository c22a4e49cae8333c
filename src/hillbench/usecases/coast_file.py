"""Answer a question asked in a file: what a run will take."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, field

from hillbench import constants
from hillbench.coasting.car import Car
from hillbench.coasting.losses import Losses
from hillbench.coasting.result import Run
from hillbench.coasting.run import coast
from hillbench.coasting.surroundings import Surroundings
from hillbench.coasting.track import Track
from hillbench.usecases.question import read_question


@dataclass(frozen=True, slots=True)
class CoastQuestion:
    """One run asked for.

    Attributes
    ----------
    track, car, losses
        What runs where, and what slows it.
    air_density_kg_m3
        Density of the air, kg/m³.
    gravity_m_s2
        Acceleration of free fall, m/s².
    """

    track: Track
    car: Car
    losses: Losses = field(default=Losses())
    air_density_kg_m3: float = constants.AIR_DENSITY_20C_KG_M3
    gravity_m_s2: float = constants.STANDARD_GRAVITY_M_S2


@dataclass(frozen=True, slots=True)
class MarginAnswer:
    """Speed at a bend or crest beside its limit.

    Attributes
    ----------
    at_m
        Where the nose is when the car is closest to the limit, m.
    kind
        ``tip``, ``wheel_climb``, ``wall`` or ``lift_off``.
    speed_m_s, limit_m_s
        Speed there and speed at the limit, m/s; the limit is null where no speed does it.
    """

    at_m: float
    kind: str
    speed_m_s: float
    limit_m_s: float | None


@dataclass(frozen=True, slots=True)
class CoastAnswer:
    """One computed run.

    Attributes
    ----------
    status
        ``finished``, ``did_not_start``, ``stalled`` or ``lifted_off``.
    finish_time_s, finish_speed_m_s, time_error_s
        Time and speed at the finish and estimated numerical error of the time; null unless
        finished.
    gate_times_s
        Time at each gate, s; null for a gate not reached.
    where_m
        Place of the nose where the run ended early, m; null when finished.
    energy_mj
        Energy of the start, what each loss took and what is left as motion, mJ; the losses
        and the motion sum to the start.
    margins
        Each bend and crest that the car passed.
    """

    status: str
    finish_time_s: float | None
    finish_speed_m_s: float | None
    gate_times_s: tuple[float | None, ...]
    time_error_s: float | None
    where_m: float | None
    energy_mj: dict[str, float]
    margins: tuple[MarginAnswer, ...]


def read_coast_question(text: str) -> CoastQuestion:
    """Return the question in a JSON text; raises `InvalidInput` with every problem of form."""
    return read_question(text, CoastQuestion)


def run_question(question: CoastQuestion) -> Run:
    """Compute the run that is asked for; raises `InvalidInput` with every problem of content."""
    surroundings = Surroundings(question.air_density_kg_m3, question.gravity_m_s2)
    return coast(question.track, question.car, question.losses, surroundings)


def answer_of(run: Run) -> CoastAnswer:
    """Return a run in the form of the answer file."""
    return CoastAnswer(
        status=str(run.status),
        finish_time_s=run.finish_time_s,
        finish_speed_m_s=run.finish_speed_m_s,
        gate_times_s=run.gate_times_s,
        time_error_s=run.time_error_s,
        where_m=run.where_m,
        energy_mj=asdict(run.energy),
        margins=tuple(
            MarginAnswer(
                margin.at_m,
                str(margin.kind),
                margin.speed_m_s,
                margin.limit_m_s if math.isfinite(margin.limit_m_s) else None,
            )
            for margin in run.margins
        ),
    )
