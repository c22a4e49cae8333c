"""Tell in words how a car rolls, which axle it is, and what these rolls cannot tell."""

from __future__ import annotations

from typing import Final

from hillbench.pictures.scale import figure
from hillbench.uncertainty import Estimate
from hillbench.usecases.judge_roll_tests import RollsJudged, Scrub

SURE: Final = 0.9
"""Probability from which on an axle is named."""

_NINETY_PERCENT: Final = 1.645
_FINE_AIM_DEG: Final = 0.15
_NO_BREAK: Final = "\N{NO-BREAK SPACE}"
_TURNED: Final = (
    "as built",
    "with the front axle turned end for end",
    "with the rear axle turned end for end",
    "with both axles turned end for end",
)


def tell_rolls(judged: RollsJudged | None) -> str:
    """Return the one sentence that answers: straight, or to which side and how much."""
    if judged is None:
        return "It was not rolled yet. Two metres of flat floor and a straight line tell a lot."
    angle = judged.axles.steer.steer_angle_deg
    reach = _NINETY_PERCENT * angle.standard_uncertainty
    if abs(angle.value) <= reach:
        return (
            f"It rolls straight, as far as these rolls tell: the axles stand within "
            f"{_degrees(abs(angle.value) + reach)} of each other."
        )
    side = "left" if angle.value > 0.0 else "right"
    return (
        f"It steers to the {side} by {_degrees(abs(angle.value))} ± "
        f"{_degrees(angle.standard_uncertainty)}."
    )


def tell_axle(judged: RollsJudged) -> str:
    """Return which axle it is, or what would tell."""
    axles, chance = judged.axles, judged.axles.probability_front
    front, rear = _told_axle("front", axles.front_deg), _told_axle("rear", axles.rear_deg)
    if chance >= SURE:
        return f"It is the front axle: {front}, {rear} ({_odds(chance)})."
    if chance <= 1.0 - SURE:
        return f"It is the rear axle: {rear}, {front} ({_odds(1.0 - chance)})."
    return (
        f"Which axle it is, these rolls cannot tell ({front}, {rear}). {_what_would_tell(judged)}"
    )


def tell_turning(judged: RollsJudged) -> str:
    """Return which way round the axles are best; empty where no axle was turned."""
    if not judged.turned:
        return ""
    angles = judged.axles.as_turned_deg
    best = min(range(4), key=lambda place: _most(angles[place]))
    told = f"{_degrees(abs(angles[best].value))} ± {_degrees(angles[best].standard_uncertainty)}"
    return f"It is straightest {_TURNED[best]}: {told}."


def tell_scrub(scrub: Scrub) -> str:
    """Return what the steer costs."""
    share = f"{figure(1e3 * scrub.rolling, 2)}{_NO_BREAK}‰ of its weight"
    told = (
        f"Held straight by the walls, an axle that points aside slides: about {share} more "
        f"resistance ({figure(1e3 * scrub.rolling_low, 2)} to "
        f"{figure(1e3 * scrub.rolling_high, 2)}{_NO_BREAK}‰)"
    )
    if scrub.lost_s is None:
        return f"{told}."
    middle, low, high = scrub.lost_s
    return (
        f"{told}, which takes {_seconds(middle)} on {scrub.track_name} "
        f"({_seconds(low)} to {_seconds(high)}). A fit of runs says better."
    )


def _what_would_tell(judged: RollsJudged) -> str:
    todo = []
    if not judged.tail_first:
        todo.append("roll it tail first as well")
    if not judged.back:
        todo.append("roll it back along the same floor, to take the floor's own slope out")
    if judged.aim_uncertainty_deg > _FINE_AIM_DEG:
        todo.append("set it off with its body against a straightedge, good to 0.1°")
    if not judged.turned:
        todo.append("turn one axle end for end and roll again")
    if not todo:
        return "More rolls of the same kind will tell slowly; swap in a straight axle to be sure."
    return f"What would tell: {'; '.join(todo)}."


def _told_axle(name: str, angle: Estimate) -> str:
    return (
        f"{name} {figure(angle.value, _decimals(angle))} ± {_degrees(angle.standard_uncertainty)}"
    )


def _most(angle: Estimate) -> float:
    return abs(angle.value) + _NINETY_PERCENT * angle.standard_uncertainty


def _degrees(angle_deg: float) -> str:
    return f"{angle_deg:.2g}°"


def _decimals(angle: Estimate) -> int:
    return 2 if angle.standard_uncertainty >= 0.02 else 3


def _seconds(time_s: float) -> str:
    return f"{figure(time_s, 3 if abs(time_s) < 0.1 else 2)}{_NO_BREAK}s"


def _odds(chance: float) -> str:
    return f"{min(round(100 * chance), 99)}{_NO_BREAK}% sure"
