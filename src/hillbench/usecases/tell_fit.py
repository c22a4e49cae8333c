"""Tell in words what a fit knows, what it does not, and what to do about it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from hillbench.fitting.finding import Finding, Knowledge
from hillbench.fitting.fit import Fit, FitStatus
from hillbench.fitting.misfit import Misfit
from hillbench.fitting.readings import AS_IT_IS, TRACK, TimedRun, has_times

UNKNOWN_WORDS: Final[Mapping[str, str]] = {
    "load_loss": "load loss",
    "rolling_resistance": "rolling resistance",
    "wall_friction": "wall friction",
    "bearing_friction": "bearing friction",
    "bearing_load_exponent": "power of the load in bearing friction",
    "steady_drag_mn": "steady drag",
    "drag_area_cm2": "drag area",
    "scrub_per_deg": "price of a degree of steer",
    "steer_deg": "steer",
    "spin_scale": "shared error of the spin-downs",
    "mass_g": "mass",
    "run_scatter_s": "scatter from run to run",
    "bad_rate": "share of bad runs",
}
"""Each unknown as it is called in a sentence."""

_PHYSICAL: Final = frozenset(UNKNOWN_WORDS) - {
    "run_scatter_s", "bad_rate", "spin_scale", "mass_g", "steer_deg",
}  # fmt: skip
_BY_STATE: Final = frozenset({"load_loss", "bearing_friction"})


def tell_fit(fit: Fit, findings: Sequence[Finding]) -> str:
    """Return the one sentence that answers: what is known of this hill and its cars."""
    if fit.status is FitStatus.NO_READINGS:
        return (
            "Nothing was measured yet, so all that is given here is what is believed beforehand:"
            " time a few runs."
        )
    known, some, vague = _sorted(one for one in findings if _is_told(one))
    from_what = _count(fit)
    told = f"{from_what[:1].upper()}{from_what[1:]} tell nothing for certain yet"
    if known:
        told = f"From {from_what} the {_listed(known)} {_are(known)} known"
        told += f", and for some cars the {_listed(some)}" if some else ""
    elif some:
        told = f"From {from_what} the {_listed(some)} {_are(some)} known for some cars"
    return f"{told}; they tell hardly anything of {_listed(vague)}." if vague else f"{told}."


def _is_told(one: Finding) -> bool:
    """Return whether an unknown is of the hill or the cars; another floor is of no interest."""
    elsewhere = one.name == "rolling_resistance" and one.owner != TRACK
    return one.name in _PHYSICAL and not elsewhere


def _sorted(findings: Iterator[Finding]) -> tuple[list[str], list[str], list[str]]:
    """Return what is known of all it belongs to, of some of them, and of none, in words."""
    knowledge: dict[str, list[Knowledge]] = {}
    for one in findings:
        knowledge.setdefault(UNKNOWN_WORDS[one.name], []).append(one.knowledge)
    known = [word for word, each in knowledge.items() if set(each) == {Knowledge.KNOWN}]
    vague = [word for word, each in knowledge.items() if set(each) == {Knowledge.UNKNOWN}]
    some = [
        word for word, each in knowledge.items() if Knowledge.KNOWN in each and word not in known
    ]
    return known, some, vague


def owner_words(name: str, owner: str) -> str:
    """Return whose an unknown is: a car with its state in brackets, where it has one."""
    if name not in _BY_STATE:
        return owner
    car, _, state = owner.rpartition(", ")
    return car if state == AS_IT_IS else f"{car} ({state})"


def tell_notes(
    fit: Fit, findings: Sequence[Finding], misfit: Misfit, *, name_runs: bool = True
) -> tuple[str, ...]:
    """Return what cannot be known from these readings, and what does not fit, a sentence each.

    Odd runs are named by their place in the evidence, unless they are told elsewhere.
    """
    return (
        *_on_readings(fit),
        *_on_ridges(findings),
        *_on_edges(findings),
        *misfit.causes,
        *(_on_odd_runs(misfit) if name_runs else ()),
        *_on_method(fit),
    )


def _on_readings(fit: Fit) -> Iterator[str]:
    runs = [run for run in fit.evidence.runs if has_times(run)]
    skipped = len(fit.evidence.runs) - len(runs)
    if skipped == 1:
        yield "One run without a time, off the track or without finish is counted apart."
    elif skipped:
        yield f"{skipped} runs without a time, off the track or without finish are counted apart."
    if len(runs) == 1:
        yield (
            "One run cannot tell a bad run from a good one, nor how times scatter: make three"
            " or more."
        )
    if runs and not _masses_vary(runs):
        yield (
            "No car ran at two masses, so steady drag cannot be told from losses that grow with"
            " load, and what weight pays is only believed: make three runs some 10 g heavier."
        )
    if runs and not any(run.gate_times_s for run in runs) and fit.evidence.track.bends:
        yield (
            "There are no gate times, so what the walls take is told from the rest only through"
            " the whole time: a gate half-way would help most."
        )


def _masses_vary(runs: Sequence[TimedRun]) -> bool:
    masses: dict[tuple[str, str], set[float | None]] = {}
    for run in runs:
        masses.setdefault((run.car, run.state), set()).add(run.mass_g)
    return any(len(seen) > 1 for seen in masses.values())


def _on_ridges(findings: Sequence[Finding]) -> Iterator[str]:
    known = {one.owner for one in findings if one.name == "load_loss" and one.left < 0.5}
    parts = [
        one
        for one in findings
        if one.name == "bearing_friction"
        and one.owner in known
        and one.knowledge is not Knowledge.KNOWN
    ]
    if parts:
        yield (
            f"Rolling and bearing friction of {_listed(_owners(parts))} are known"
            " together but not apart: a spin-down, or runs after a change of lubrication, tells"
            " them apart."
        )


def _on_edges(findings: Sequence[Finding]) -> Iterator[str]:
    for one in findings:
        if one.at_edge and one.name in _PHYSICAL:
            end = "low" if one.surprise < 0.0 else "high"
            yield (
                f"The {UNKNOWN_WORDS[one.name]} of {_whose(one)} comes out at the {end} edge of"
                f" what is believable ({one.median:.3g} {one.unit}".rstrip()
                + "): check the"
                " slopes of the track and the masses before you trust it."
            )


def _on_odd_runs(misfit: Misfit) -> Iterator[str]:
    if misfit.odd_runs:
        rows = ", ".join(f"{one.number + 1}" for one in misfit.odd_runs[:8])
        more = " and others" if len(misfit.odd_runs) > 8 else ""
        yield f"Something held the car up in run {rows}{more}; such runs count less, none is lost."


def _on_method(fit: Fit) -> Iterator[str]:
    if fit.status is FitStatus.NOT_CONVERGED:
        yield (
            "The chains of the sampler do not agree yet, so the intervals are rough: look for"
            " readings that contradict each other."
        )
    if not fit.statistics.converged:
        yield "The search for the best fit did not settle, so treat all numbers with care."


def _count(fit: Fit) -> str:
    runs, tests = fit.statistics.runs, fit.statistics.tests + len(fit.evidence.roll_tests)
    parts = [f"{runs} run{'s' * (runs != 1)}"] if runs else []
    parts += [f"{tests} test{'s' * (tests != 1)}"] if tests else []
    return " and ".join(parts)


def _are(names: Sequence[str]) -> str:
    return "is" if len(names) == 1 else "are"


def _owners(findings: Sequence[Finding]) -> list[str]:
    return [owner_words(one.name, one.owner) for one in findings]


def _whose(one: Finding) -> str:
    return "the hill" if one.owner == TRACK else owner_words(one.name, one.owner)


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
