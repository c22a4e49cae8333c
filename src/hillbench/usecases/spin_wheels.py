"""The wheels of a car as the picture of its spin-downs takes them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from hillbench.coasting.spin_rounds import RoundVerdict
from hillbench.pictures.spin_down import Says, SpinRow, SpinWheel
from hillbench.usecases.judge_spin_downs import SpinsJudged
from hillbench.usecases.tell_spin_downs import tell_wheel

_SAYS: Final[Mapping[RoundVerdict, Says]] = {
    RoundVerdict.GAINED: "on",
    RoundVerdict.STOP: "stop",
    RoundVerdict.WORSE: "worse",
    RoundVerdict.UNSURE: "open",
}


def spin_wheels(judged: SpinsJudged) -> tuple[SpinWheel, ...]:
    """Return what is drawn of each wheel that was spun."""
    return tuple(
        SpinWheel(
            one.wheel.capitalize(),
            _SAYS[one.change.verdict] if one.change else "open",
            tell_wheel(one),
            tuple(
                SpinRow(point.name, point.low, point.friction.value, point.high)
                for point in one.points
            ),
        )
        for one in judged.wheels
    )
