"""A mass against the limit of a class: how likely another scale finds it over.

Notes
-----
JCGM 106:2012, "The role of measurement uncertainty in conformity assessment": what is known
of the mass is a normal distribution round the estimate (7.2), the probability of conformity
its part within the limit (7.3), and a guard band keeps the estimate so far inside that the
chance of being over stays small (8.3).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from statistics import NormalDist

from hillbench.errors import InvalidInput, Problem
from hillbench.uncertainty import Estimate

_ALMOST = 1e-9


@dataclass(frozen=True, slots=True)
class OtherScale:
    """The scale that decides.

    Attributes
    ----------
    resolution_g
        Its smallest step, g; 0 for one that is read without steps.
    uncertainty_g
        Standard uncertainty of its calibration, g.
    """

    resolution_g: float
    uncertainty_g: float = 0.0


@dataclass(frozen=True, slots=True)
class Verdict:
    """A mass against its limit.

    Attributes
    ----------
    probability_over
        Chance that the other scale shows more than the limit.
    guard_g
        How far below the limit the estimate must stay for the chance allowed, g; negative
        where the step of the other scale gives something away.
    most_g
        Largest estimate for which the chance stays within what is allowed, g.
    room_g
        What may still be added, g; negative for what must come off.
    """

    probability_over: float
    guard_g: float
    most_g: float
    room_g: float


def probability_within(
    estimate: float, uncertainty: float, most: float, least: float = -math.inf
) -> float:
    """Return the probability that a quantity lies within its limits.

    Parameters
    ----------
    estimate, uncertainty
        Best estimate and its standard uncertainty, in any unit.
    most, least
        Upper and lower limit, same unit.

    Notes
    -----
    p = Φ((T_U − y)/u) − Φ((T_L − y)/u). JCGM 106:2012, 7.4.
    """
    if uncertainty == 0.0:
        return float(least <= estimate <= most)
    known = NormalDist(estimate, uncertainty)
    below = 0.0 if least == -math.inf else known.cdf(least)
    return known.cdf(most) - below


def first_reading_over_g(limit_g: float, resolution_g: float) -> float:
    """Return the mass from which a scale shows more than the limit, g.

    Parameters
    ----------
    limit_g
        The most that may be shown, g.
    resolution_g
        Smallest step of the scale, g; 0 for one without steps.

    Notes
    -----
    Half a step below the first step above the limit: a scale of 0.1 g shows 57.0 g up to
    57.05 g. A limit between two steps is passed by the step above it.
    """
    if resolution_g == 0.0:
        return limit_g
    steps = math.floor(limit_g / resolution_g + _ALMOST) + 1
    return (steps - 0.5) * resolution_g


def judge_mass(
    mass: Estimate, limit_g: float, other: OtherScale, chance_allowed: float = 0.05
) -> Verdict:
    """Return how a mass stands against the limit of its class on another scale.

    Parameters
    ----------
    mass
        Of the finished car on the builder's own scale, g.
    limit_g
        The most that may be shown, g.
    other
        The scale that decides.
    chance_allowed
        Chance of being over that is accepted, above 0 and at most 0.5.

    Raises
    ------
    InvalidInput
        If the limit or a step is not a positive mass, or the chance is none.

    Notes
    -----
    The estimate and the other scale's calibration combine in quadrature (JCGM 100:2008, 5.1.2).
    Its step enters through the reading at which it turns over, exactly, and not as an
    uncertainty of its own: P(over) = 1 − Φ((t − y)/u). The guard band is w = z u with
    Φ(z) = 1 − chance (JCGM 106:2012, 8.3.2 and annex A).
    """
    problems = tuple(_problems(limit_g, other, chance_allowed))
    if problems:
        raise InvalidInput(problems)
    turns_g = first_reading_over_g(limit_g, other.resolution_g)
    uncertainty_g = math.hypot(mass.standard_uncertainty, other.uncertainty_g)
    within = probability_within(mass.value, uncertainty_g, turns_g)
    most_g = turns_g - NormalDist().inv_cdf(1.0 - chance_allowed) * uncertainty_g
    return Verdict(1.0 - within, limit_g - most_g, most_g, most_g - mass.value)


def _problems(limit_g: float, other: OtherScale, chance: float) -> list[Problem]:
    found = []
    if not 0.0 < limit_g < 10_000.0:
        found.append(Problem("limit_g", f"{limit_g:g} g", "more than 0 and below 10000 g"))
    for where, value_g in (
        ("other_scale_step_g", other.resolution_g),
        ("other_scale_uncertainty_g", other.uncertainty_g),
    ):
        if not 0.0 <= value_g <= 10.0:
            found.append(Problem(where, f"{value_g:g} g", "between 0 and 10 g"))
    if not 0.0 < chance <= 0.5:
        allowed = "more than 0 and at most 0.5"
        found.append(Problem("chance_allowed", f"{chance:g}", allowed, "0.05 is usual"))
    return found
