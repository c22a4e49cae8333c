"""Tell in words what spin-downs say: stop here, or go on."""

from __future__ import annotations

from hillbench.coasting.spin_rounds import SURE, RoundChange, RoundVerdict
from hillbench.coasting.spin_series import StartSource
from hillbench.pictures.scale import figure
from hillbench.usecases.judge_spin_downs import SpinsJudged, WhatMatters, WheelRounds

_NO_BREAK = "\N{NO-BREAK SPACE}"


def tell_spins(judged: SpinsJudged | None) -> str:
    """Return the one sentence that answers: go on with this, or stop."""
    if judged is None:
        return "No wheel was spun yet. Spin each five times before you do anything to it."
    change = judged.change
    if change is None:
        return (
            f"Its bearings stand at a friction of {told_friction(judged)} ({judged.rounds[-1]}). "
            "Do a round and spin the same wheels again: only then it shows what a round gains."
        )
    return {
        RoundVerdict.GAINED: _gained,
        RoundVerdict.STOP: _stop,
        RoundVerdict.WORSE: _worse,
        RoundVerdict.UNSURE: _unsure,
    }[change.verdict](judged, change)


def tell_wheel(one: WheelRounds) -> str:
    """Return what the last round did to one wheel."""
    change = one.change
    if change is None:
        return "measured once"
    told = _told_fall(change)
    if change.verdict is RoundVerdict.GAINED:
        return f"{told}: go on"
    if change.verdict is RoundVerdict.WORSE:
        return f"{told}: clean it first"
    if change.verdict is RoundVerdict.STOP:
        small = change.probability_gained >= SURE
        return f"{told}: {'too little to matter' if small else 'nothing measurable'}, stop here"
    if change.spins_still_needed is None:
        return f"{told}: not clear, and more spins now cannot tell"
    return f"{told}: not clear, spin it {change.spins_still_needed} more times"


def tell_matters(matters: WhatMatters) -> str:
    """Return what is taken to matter, and why."""
    share = percent(matters.share)
    if matters.seconds is None:
        return (
            f"A fall of {share} in all bearings is taken to be worth a round; with a hill on which"
            " the car finishes it would be told from seconds."
        )
    return (
        f"On {matters.track_name} a fall of {share} in all bearings is worth "
        f"{matters.seconds:.2g}{_NO_BREAK}s; less than that is taken not to matter."
    )


def tell_notes(judged: SpinsJudged) -> tuple[str, ...]:
    """Return what these spins cannot tell, a sentence each."""
    notes = []
    starts = {one.points[-1].start for one in judged.wheels}
    if StartSource.ASSUMED in starts:
        notes.append(
            "Without a start speed the friction itself is known to about a third only; how it "
            "changed from round to round is known far better, if the same finger flicks. Count "
            "the turns, or film the wheel, and it is known to about 12 %."
        )
    if len(judged.wheels) < 4:
        spun = "1 wheel was" if len(judged.wheels) == 1 else f"{len(judged.wheels)} wheels were"
        notes.append(f"Only {spun} spun; the others are taken to be alike.")
    shares = [
        one.points[-1].viscous_share
        for one in judged.wheels
        if one.points[-1].viscous_share is not None
    ]
    if shares:
        mean = sum(shares) / len(shares)
        notes.append(
            f"About {percent(mean)} of the energy of a spin went into viscous drag (oil, and the "
            "air about the wheel); that part is not in the friction given here."
        )
    return tuple(notes)


def told_friction(judged: SpinsJudged) -> str:
    """Return the friction of the car with its uncertainty."""
    friction = judged.friction
    return f"{friction.value:.2f} ± {max(friction.standard_uncertainty, 0.005):.2f}"


def percent(share: float) -> str:
    """Return a share in percent, whole where it is more than 10 %."""
    decimals = 0 if abs(share) >= 0.0995 or round(100 * share, 1) == round(100 * share) else 1
    return f"{figure(100.0 * share, decimals)}{_NO_BREAK}%"


def _stop(judged: SpinsJudged, change: RoundChange) -> str:
    if change.probability_gained >= SURE:
        why = f"the last round gained {_interval(change)}, too little to matter"
    else:
        why = f"the last round gained nothing measurable, {_interval(change)}"
    return f"Stop here: {why}. The bearings stand at {told_friction(judged)}."


def _gained(judged: SpinsJudged, change: RoundChange) -> str:
    gained = judged.gained_s
    worth = ""
    if gained is not None:
        worth = f", worth {gained[0]:.2g}{_NO_BREAK}s on {judged.matters.track_name}"
    return (
        f"Another round is worth it: the last one took {_interval(change)} off the friction{worth}."
    )


def _worse(_judged: SpinsJudged, change: RoundChange) -> str:
    rise = percent(change.ratio - 1.0)
    return (
        f"The last round made it worse by {rise}: more powder will not help. Clean axle and bore, "
        "and begin anew."
    )


def _unsure(_judged: SpinsJudged, change: RoundChange) -> str:
    if change.spins_still_needed is None:
        return (
            f"Not clear: the last round gained {_interval(change)}, and there were too few spins "
            "before it for more to tell now. Spin five times before and after the next round."
        )
    return (
        f"Not clear yet: the last round gained {_interval(change)}. Spin each wheel "
        f"{change.spins_still_needed} more times as it is now, then it can be said."
    )


def _told_fall(change: RoundChange) -> str:
    word = "fell" if change.ratio <= 1.0 else "rose"
    low, high = sorted((1.0 - change.ratio_high, 1.0 - change.ratio_low))
    if word == "rose":
        low, high = -high, -low
    return f"{word} by {percent(abs(1.0 - change.ratio))} ({_range(low, high)})"


def _interval(change: RoundChange) -> str:
    low, high = 1.0 - change.ratio_high, 1.0 - change.ratio_low
    return f"{percent(1.0 - change.ratio)} ({_range(low, high)})"


def _range(low: float, high: float) -> str:
    return f"{percent(low).split(_NO_BREAK)[0]} to {percent(high)}"
