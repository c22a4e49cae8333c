"""Tell a computed run in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from hillbench.coasting.result import EnergyBudget, Run, Status

LOSS_WORDS: Final[Mapping[str, str]] = {
    "bearings": "bearing friction",
    "rolling": "rolling resistance",
    "steady_drag": "steady drag",
    "air": "air drag",
    "walls": "wall scrub",
}
"""Each loss as it is called in a sentence."""

_SHARES: Final = (
    (0.29, "a quarter"),
    (0.38, "a third"),
    (0.45, "two fifths"),
    (0.55, "half"),
    (0.63, "three fifths"),
    (0.71, "two thirds"),
    (0.85, "three quarters"),
    (1.01, "nearly all"),
)


def tell_run(run: Run) -> str:
    """Return the one sentence that answers: how long, or where and why it ended."""
    if run.status is Status.FINISHED and run.finish_time_s is not None:
        return f"About {run.finish_time_s:.2f} s; {tell_main_loss(run.energy)}."
    where = f"{run.where_m or 0.0:.2f} m"
    if run.status is Status.DID_NOT_START:
        return (
            "The car does not start: at the start line the slope pulls less than its friction"
            " holds; raise the start, or free the wheels."
        )
    if run.status is Status.STALLED:
        return f"The car stalls {where} from the start; {tell_main_loss(run.energy)}."
    return (
        f"The car lifts off the track {where} from the start, where it is too fast for the crest;"
        " no time can be given beyond."
    )


def tell_main_loss(energy: EnergyBudget) -> str:
    """Return which loss is the largest and how much of all losses it takes, as a clause."""
    losses = energy.losses()
    total = sum(losses.values())
    if total <= 1e-9 * max(energy.start, 1e-9):
        return "nothing is lost on the way"
    name, most = max(losses.items(), key=lambda item: item[1])
    share = most / total
    if share < 0.24:
        return f"the largest loss is {LOSS_WORDS[name]}"
    words = next(words for limit, words in _SHARES if share < limit)
    return f"{words} of what is lost is {LOSS_WORDS[name]}"
