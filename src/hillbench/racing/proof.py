"""Whether a schedule is proven to be as good as can be."""

from __future__ import annotations

import math

from hillbench.racing.counts import PairMeetings


def is_proven_best(
    meetings: PairMeetings, cars: int, lanes: int, rounds: int, *, rest_first: bool
) -> bool:
    """Return whether no schedule of these aims has more even meetings.

    Parameters
    ----------
    meetings
        What the schedule has.
    cars, lanes, rounds
        Its size.
    rest_first
        Whether no car may run twice running, and none does.

    Notes
    -----
    Meetings at their bound are best. Where the bound is proven to be out of reach, the next
    best is a spread of two: counts with a fixed sum that are not all equal, or not all at two
    neighbouring numbers, spread over three.
    """
    if meetings.at_bound:
        return True
    if meetings.most - meetings.least != 2 or rounds != 1 or cars <= lanes:
        return False
    equal = meetings.bound_least == meetings.bound_most
    # Heats of a symmetric design share λ cars, any two of them (Ryser 1950).
    rest_forbids = rest_first and equal and meetings.bound_least > 0
    return rest_forbids or bound_is_impossible(cars, lanes)


def bound_is_impossible(cars: int, lanes: int) -> bool:
    """Return whether the determinant forbids one round whose meetings reach their bound.

    Parameters
    ----------
    cars, lanes
        More cars than lanes.

    Notes
    -----
    One round has as many heats as cars, so the incidence matrix N is square and det(N Nᵀ) is
    the square of a whole number. Where all pairs meet equally often, or the odd ones out make
    a perfect matching, the eigenvalues of N Nᵀ are known and the product can be tested
    (M. P. Schützenberger, A non-existence theorem for an infinite family of symmetrical block
    designs, Annals of Eugenics 14 (1949), 286-287; R. C. Bose and W. S. Connor, Combinatorial
    properties of group divisible incomplete block designs, Annals of Mathematical Statistics
    23 (1952), 367-383). False means not decided.
    """
    floor, more = divmod(lanes * (lanes - 1), cars - 1)
    half = cars // 2
    determinant: int
    if more == 0:
        determinant = lanes**2 * (lanes - floor) ** (cars - 1)
    elif more == 1 and cars % 2 == 0:
        determinant = lanes**2 * (lanes - floor + 1) ** (half - 1) * (lanes - floor - 1) ** half
    elif more == cars - 2 and cars % 2 == 0:
        determinant = lanes**2 * (lanes - floor - 2) ** (half - 1) * (lanes - floor) ** half
    else:
        return False
    return determinant < 0 or math.isqrt(determinant) ** 2 != determinant
