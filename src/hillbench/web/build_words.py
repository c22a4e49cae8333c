"""A build in words: where it stands, what the scale says, where a result is entered."""

from __future__ import annotations

from hillbench.building.guard_band import Verdict
from hillbench.building.ledger import Line
from hillbench.building.step import Link, Step
from hillbench.records.build_entities import BuildRecord, BuildState
from hillbench.usecases.build_shown import ShownBuild
from hillbench.usecases.ledger_of_build import Ledger
from hillbench.usecases.note_step import minutes_words
from hillbench.web.showing import Showing
from hillbench.web.templating import count


def link_of(step: Step, car_id: int) -> tuple[str, str] | None:
    """Return address and words of the page on which a step's result is entered.

    Parameters
    ----------
    step
        The step.
    """
    if step.link is Link.TESTS:
        return f"/cars/{car_id}/tests", "Enter what you measured"
    if step.link is Link.CLOCK:
        return f"/clock?car={car_id}", "Time it"
    return None


def weighing_words(line: Line, show: Showing) -> str:
    """Return what a weighing says against the ledger; nothing where there is none.

    Parameters
    ----------
    line
        Line of the ledger.
    show
        Writes masses as the reader prefers them.
    """
    gap, weighed, expected = line.difference, line.entry.weighed, line.expected
    if weighed is None:
        return ""
    said = f"The scale says {show.mass(weighed.value, weighed.standard_uncertainty)}"
    if gap is None or expected is None:
        return f"{said}: from here the ledger goes on."
    told = f"{said}, expected was {show.mass(expected.value, expected.standard_uncertainty)}"
    if not line.disagrees:
        return f"{told}: they agree."
    more = "more" if gap.value > 0.0 else "less"
    return f"{told}: {show.mass(abs(gap.value))} {more}, beyond what is uncertain."


def ledger_words(ledger: Ledger, build: BuildRecord, show: Showing) -> str:
    """Return the ledger in one sentence.

    Parameters
    ----------
    ledger
        The ledger.
    build
        Its build.
    show
        Writes masses as the reader prefers them.
    """
    if ledger.final is None:
        return "The car was never weighed, so the ledger has nothing to begin from: weigh it first."
    final = show.mass(ledger.final.value, ledger.final.standard_uncertainty)
    verb = "weighs" if ledger.is_weighed else "is expected to weigh"
    sentence = f"The finished car {verb} {final}"
    if ledger.verdict is None or build.limit_g is None:
        return f"{sentence}."
    chance = chance_words(ledger.verdict.probability_over)
    return (
        f"{sentence}; the chance that a scale of {show.step(build.other_scale_step_g)} finds it "
        f"over {show.mass(build.limit_g).trimmed()} is {chance}."
    )


def verdict_words(verdict: Verdict, show: Showing) -> str:
    """Return what may still be added, or must come off.

    Parameters
    ----------
    verdict
        How a mass stands against its limit.
    show
        Writes masses as the reader prefers them.
    """
    most = show.mass(verdict.most_g)
    room = show.mass(abs(verdict.room_g))
    if verdict.room_g >= 0.0:
        return f"Up to {most} on your scale the chance stays below 5 %: {room} may still go in."
    return f"Up to {most} on your scale the chance stays below 5 %: take {room} off."


def chance_words(chance: float) -> str:
    """Return a chance in percent, without a false 0 or 100.

    Parameters
    ----------
    chance
        From 0 to 1.
    """
    if chance < 0.001:
        return "below 0.1 %"
    if chance > 0.999:
        return "above 99.9 %"
    return f"{100.0 * chance:.1f} %" if chance < 0.1 else f"{100.0 * chance:.0f} %"


def build_words(shown: ShownBuild) -> str:
    """Return where a build stands, in one sentence.

    Parameters
    ----------
    shown
        The build.
    """
    total = len(shown.steps)
    if shown.build.state is not BuildState.IN_HAND:
        return f"This build is {shown.build.state}: {shown.done_count} of {total} steps were done."
    if shown.done_count == total:
        return f"All {count(total, 'step')} done: finish the build."
    parts = [f"{shown.done_count} of {total} steps done"]
    parts.append(f"about {minutes_words(shown.minutes_left)} of work left")
    sentence = ", ".join(parts) + "."
    if shown.dates is None:
        return sentence
    if shown.dates.unplaced:
        number = count(len(shown.dates.unplaced), "step")
        return f"{sentence} There is too little time: {number} find no place before the day."
    spare = minutes_words(shown.dates.spare_minutes)
    return f"{sentence} It can be ready in time, with {spare} at the bench to spare."
