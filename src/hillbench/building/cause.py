"""What may explain that the scale and the ledger disagree."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from hillbench import constants
from hillbench.building.step import MassChange
from hillbench.uncertainty import Estimate

_COVERAGE: Final = 2.0
_MOST: Final = 3
_LEAST_UNCERTAINTY_G: Final = 0.005
_PART_UNCERTAINTY: Final = 0.03
"""Of the mass noted for a loose part, relative; common practice, no source."""

_MISSING, _EXTRA, _AHEAD, _LOOSE, _CUT, _UNIT = 1.0, 0.5, 0.3, 0.6, 0.5, 0.2
"""How often each happens against a piece that was left out; common practice, no source."""

_CUT_SHARE: Final = 3.0
"""Most that is cut away against what was meant to be."""


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the car that may lie beside the scale.

    Attributes
    ----------
    name
        What it is called.
    mass_g
        Its mass, g.
    """

    name: str
    mass_g: float


@dataclass(frozen=True, slots=True)
class Suspects:
    """What may have gone another way than noted.

    Attributes
    ----------
    done
        Changes since the last weighing.
    coming
        Changes of the steps that are still to come.
    loose
        Parts that may be forgotten.
    weighed_g
        What the scale said, g.
    """

    done: tuple[MassChange, ...]
    coming: tuple[MassChange, ...]
    loose: tuple[Part, ...]
    weighed_g: float


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing that explains a difference.

    Attributes
    ----------
    text
        What happened, as a clause that begins with a capital.
    effect_g
        Difference it makes, g.
    left_g
        What remains unexplained, g.
    chance
        Its share among all that explain the difference; what nobody thought of is not in it.
    """

    text: str
    effect_g: float
    left_g: float
    chance: float


def likely_causes(difference: Estimate, suspects: Suspects) -> tuple[Cause, ...]:
    """Return what explains a difference within its uncertainty, likeliest first, at most three.

    Parameters
    ----------
    difference
        Weighed less expected, g.
    suspects
        What may have gone another way.

    Notes
    -----
    Each single cause has a weight before the scale is asked, and explains the difference as well
    as a normal distribution of its remainder says (Bayes). Two things at once are not tried.
    """
    tried = [
        (_score(difference, effect_g, uncertainty_g, weight), text, effect_g)
        for text, effect_g, uncertainty_g, weight in _candidates(difference.value, suspects)
        if abs(difference.value - effect_g)
        <= _COVERAGE
        * math.hypot(difference.standard_uncertainty, uncertainty_g, _LEAST_UNCERTAINTY_G)
    ]
    total = math.fsum(score for score, _, _ in tried)
    tried.sort(reverse=True)
    return tuple(
        Cause(text, effect_g, difference.value - effect_g, score / total)
        for score, text, effect_g in tried[:_MOST]
        if total > 0.0
    )


def _score(difference: Estimate, effect_g: float, uncertainty_g: float, weight: float) -> float:
    spread = math.hypot(difference.standard_uncertainty, uncertainty_g, _LEAST_UNCERTAINTY_G)
    return weight / spread * math.exp(-0.5 * ((difference.value - effect_g) / spread) ** 2)


def _candidates(gap_g: float, suspects: Suspects) -> Iterator[tuple[str, float, float, float]]:
    """Yield cause, effect, its uncertainty and weight beforehand."""
    for change in suspects.done:
        if change.mass_g > 0.0:
            yield from _of_added(change)
        elif change.mass_g < 0.0:
            yield from _of_cut(gap_g, change)
    for change in suspects.coming:
        if change.mass_g > 0.0:
            text = f"{change.name} is on the scale already"
            yield text, change.total_g, change.total_uncertainty_g, _AHEAD
    for part in suspects.loose:
        text = f"{part.name} is not on the scale"
        yield text, -part.mass_g, part.mass_g * _PART_UNCERTAINTY, _LOOSE
    yield from _of_unit(gap_g, suspects.weighed_g)


def _of_added(change: MassChange) -> Iterator[tuple[str, float, float, float]]:
    for number in range(1, change.count + 1):
        which = change.name if change.count == 1 else f"{number} of {change.count} × {change.name}"
        text = f"{which} {'is' if number == 1 else 'are'} missing"
        effect_g = change.mass_g * number
        yield text, -effect_g, change.uncertainty_g * number, _MISSING / number
    text = f"One more {change.name} is in the car"
    yield text, change.mass_g, change.uncertainty_g, _EXTRA


def _of_cut(gap_g: float, change: MassChange) -> Iterator[tuple[str, float, float, float]]:
    planned_g = -change.total_g
    taken_g = planned_g - gap_g
    if 0.0 < taken_g <= _CUT_SHARE * planned_g:
        than = "less" if taken_g < planned_g else "more"
        taken = f"{taken_g:.2f} g, not {planned_g:.2f} g"
        text = f"{than.capitalize()} was taken off: {change.name} {taken}"
        yield text, gap_g, planned_g / 3.0, _CUT
    text = f"What was taken off still lies on the scale: {change.name}"
    yield text, planned_g, change.total_uncertainty_g, _EXTRA


def _of_unit(gap_g: float, weighed_g: float) -> Iterator[tuple[str, float, float, float]]:
    expected_g = weighed_g - gap_g
    for unit, size_g in (
        ("ounces", constants.GRAM_PER_OUNCE),
        ("grains", constants.GRAM_PER_GRAIN),
    ):
        text = f"The scale shows {unit}, not grams"
        meant_g = expected_g / size_g
        yield text, meant_g - expected_g, 0.02 * meant_g, _UNIT
