"""What a fit knows now, beside what was known before."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import numpy as np

from hillbench.coasting import parameters as row
from hillbench.coasting.car_batch import car_parameters
from hillbench.coasting.result import Floats
from hillbench.fitting.evidence import Setup
from hillbench.fitting.fit import Fit
from hillbench.fitting.unknown import Shape, Unknown

PRIOR_DRAWS: Final = 2000

_KNOWN: Final = 0.35
_PARTLY: Final = 0.75
_UNLIKELY: Final = 2.0


class Knowledge(StrEnum):
    """How much the readings tell of one unknown."""

    KNOWN = "known"
    PARTLY = "partly known"
    UNKNOWN = "not known"
    MEASURED = "as measured"


@dataclass(frozen=True, slots=True)
class Finding:
    """One unknown before and after the readings.

    Attributes
    ----------
    name, owner, unit
        What it is, whose, and in which unit.
    prior_low, prior_median, prior_high
        5, 50 and 95 % points beforehand.
    low, median, high
        The same afterwards.
    left
        Standard deviation afterwards over that beforehand, both of the score.
    knowledge
        What that means.
    surprise
        How far the median is from the prior's, in standard deviations of the prior.
    source
        Source of the prior.
    """

    name: str
    owner: str
    unit: str
    prior_low: float
    prior_median: float
    prior_high: float
    low: float
    median: float
    high: float
    left: float
    knowledge: Knowledge
    surprise: float
    source: str

    @property
    def at_edge(self) -> bool:
        """Whether it came out where the prior hardly expected it."""
        return abs(self.surprise) > _UNLIKELY


def find_unknowns(fit: Fit) -> tuple[Finding, ...]:
    """Return every unknown before and after, in the order of the fit."""
    values = fit.layout.values(fit.draws)
    return tuple(
        _finding(one, fit.draws[:, number], values[:, number])
        for number, one in enumerate(fit.layout.unknowns)
    )


def find_load_losses(fit: Fit, rng: np.random.Generator) -> tuple[Finding, ...]:
    """Return the loss in proportion to load of each setup: rolling and bearings together.

    Notes
    -----
    c_r = Crr + μb r_axle/r_wheel (m - m_wheels)/m is what times can tell; its two parts are
    told apart only by a spin-down, a change of lubrication or other wheels.
    """
    before = rng.standard_normal((PRIOR_DRAWS, fit.draws.shape[1]))
    found = []
    for owner, setup in _one_setup_each(fit):
        prior = _load_loss(fit, setup, before)
        after = _load_loss(fit, setup, fit.draws)
        left = float(np.std(np.log(after)) / np.std(np.log(prior)))
        low, median, high = np.quantile(prior, [0.05, 0.5, 0.95])
        surprise = float(np.mean(np.log(after / median)) / np.std(np.log(prior)))
        found.append(
            Finding(
                "load_loss", owner, "", float(low), float(median), float(high),
                *_central(after), left, _knowledge(left), surprise, "its parts' priors",
            )
        )  # fmt: skip
    return tuple(found)


def _one_setup_each(fit: Fit) -> Iterator[tuple[str, Setup]]:
    seen: set[str] = set()
    for setup in (*fit.objective.timing.setups, *fit.objective.predictor.coast_setups):
        if setup.surface == "track" and setup.owner not in seen:
            seen.add(setup.owner)
            yield setup.owner, setup


def _load_loss(fit: Fit, setup: Setup, scores: Floats) -> Floats:
    batch = fit.layout.batch(scores, [setup])
    loss: Floats = car_parameters(batch, fit.evidence.surroundings)[row.LOAD_LOSS]
    return loss


def _finding(one: Unknown, scores: Floats, values: Floats) -> Finding:
    left = float(np.std(scores))
    # What is normal beforehand was itself measured; the runs need not tell it again.
    knowledge = Knowledge.MEASURED if one.shape is Shape.NORMAL else _knowledge(left)
    low, high = one.prior_interval()
    return Finding(
        one.name, one.owner, one.unit, low, float(one.values(0.0)), high,
        *_central(values), left, knowledge, float(np.median(scores)), one.source,
    )  # fmt: skip


def _knowledge(left: float) -> Knowledge:
    if left < _KNOWN:
        return Knowledge.KNOWN
    return Knowledge.PARTLY if left < _PARTLY else Knowledge.UNKNOWN


def _central(values: Floats) -> tuple[float, float, float]:
    low, median, high = np.quantile(values, [0.05, 0.5, 0.95])
    return float(low), float(median), float(high)
