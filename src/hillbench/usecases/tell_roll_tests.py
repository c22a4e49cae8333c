"""Tell in words how a car rolls, which axle it is, and what these rolls cannot tell."""

from __future__ import annotations

from typing import Final

from hillbench.pictures.scale import figure
from hillbench.records.bench_test_entities import Turned
from hillbench.uncertainty import Estimate
from hillbench.usecases.judge_roll_tests import RollsJudged, Scrub
from hillbench.usecases.judge_spin_downs import WHAT_MATTERS_S

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
    told = tell_steer(judged.axles.steer.steer_angle_deg)
    return told if is_straight(judged) else f"{told.removesuffix('.')}{_matters(judged)}."


def tell_steer(angle: Estimate) -> str:
    """Return a steer angle, degrees, in one sentence."""
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


def is_straight(judged: RollsJudged) -> bool:
    """Return whether no steer can be told from none."""
    angle = judged.axles.steer.steer_angle_deg
    return abs(angle.value) <= _NINETY_PERCENT * angle.standard_uncertainty


def tell_axle(judged: RollsJudged) -> str:
    """Return which axle it is, or what would tell; empty where that is of no matter.

    It is not where the car rolls straight enough, or where turning an axle over told it.
    """
    if is_straight(judged) or _matters(judged) or _bent_axles(judged):
        return ""
    axles = judged.axles
    front, rear = _told_axle("front", axles.front_deg), _told_axle("rear", axles.rear_deg)
    if axles.probability_front >= SURE:
        return f"It is the front axle: {front}, {rear} ({_odds(axles.probability_front)})."
    if axles.probability_rear >= SURE:
        return f"It is the rear axle: {rear}, {front} ({_odds(axles.probability_rear)})."
    return (
        f"Which axle it is, these rolls cannot tell ({front}, {rear}). {_what_would_tell(judged)}"
    )


def tell_turning(judged: RollsJudged) -> str:
    """Return what turning an axle end for end told; empty where none was turned."""
    if not judged.turned:
        return ""
    chances = _turned_axles(judged)
    told = [
        f"It is the {name} axle itself that is bent: turned over, the car steers to the other side"
        f" ({_odds(chances[name])})."
        for name in _bent_axles(judged)
    ]
    told += [
        f"It is not the {name} axle itself: turning it over changes little, so look at its seat."
        for name, chance in chances.items()
        if chance <= 1.0 - SURE
    ]
    best = _best_turned(judged)
    return " ".join([*told, best] if best else told)


def _bent_axles(judged: RollsJudged) -> tuple[str, ...]:
    return tuple(name for name, chance in _turned_axles(judged).items() if chance >= SURE)


def _turned_axles(judged: RollsJudged) -> dict[str, float]:
    """Return the chance that the axle itself is bent, for each that was turned between rolls."""
    turned = {"front": {Turned.FRONT, Turned.BOTH}, "rear": {Turned.REAR, Turned.BOTH}}
    seen = {roll.turned for roll in judged.rolls}
    return {
        name: chance
        for (name, states), chance in zip(
            turned.items(), judged.axles.probability_axle, strict=True
        )
        if seen & states and seen - states  # it stood both ways round
    }


def _best_turned(judged: RollsJudged) -> str:
    """Return the way round that is measurably straighter than the present one."""
    angles = judged.axles.as_turned_deg
    best = min(range(4), key=lambda place: _most(angles[place]))
    now = judged.axles.steer.steer_angle_deg
    least_now = abs(now.value) - _NINETY_PERCENT * now.standard_uncertainty
    if _most(angles[best]) >= least_now:
        return ""
    told = f"{_degrees(abs(angles[best].value))} ± {_degrees(angles[best].standard_uncertainty)}"
    return f"It is straightest {_TURNED[best]}: {told}."


def _matters(judged: RollsJudged) -> str:
    """Return that a steer is too little to matter, where it is."""
    lost_s = judged.scrub.lost_s
    if lost_s is None or lost_s[0] >= WHAT_MATTERS_S:
        return ""
    return f", too little to matter on {judged.scrub.track_name}"


def tell_scrub(scrub: Scrub) -> str:
    """Return what the steer costs."""
    told = (
        "Held straight by the walls, an axle that points aside slides and leans: about "
        f"{_share(scrub.rolling)} of its weight ({_share(scrub.rolling_least)} where it never "
        f"touches a wall, {_share(scrub.rolling_most)} on hard treads)"
    )
    if scrub.lost_s is None:
        return f"{told}."
    middle, least, most = scrub.lost_s
    return (
        f"{told}. On {scrub.track_name} that takes about {_seconds(middle)} ({_seconds(least)} to "
        f"{_seconds(most)}); a fit of runs says better."
    )


def _share(share: float) -> str:
    return f"{100.0 * share:.2g}{_NO_BREAK}%"


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
        f"{name} {figure(angle.value, _decimals(angle))}° ± {_degrees(angle.standard_uncertainty)}"
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
