"""What is wrong with measured runs and tests before they are fitted."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

from hillbench.coasting.car import check_car
from hillbench.coasting.surroundings import check_surroundings
from hillbench.coasting.track import check_track
from hillbench.errors import InvalidInput, Problem
from hillbench.fitting.evidence import Evidence, setup_of
from hillbench.fitting.readings import CoastOut, TimedRun, has_times

NOTES: Final = ("clean", "snag", "off track", "no finish")
"""Notes that a run may carry."""

MOST_READINGS: Final = 20_000

_POSITIVE: Final = {
    "coast_outs": ("distance_m", "distance_uncertainty_m"),
    "spin_downs": ("start_turns_per_s", "stop_time_s"),
    "roll_tests": ("length_m",),
}
_NOT_NEGATIVE: Final = {
    "coast_outs": ("entry_speed_uncertainty_m_s", "level_uncertainty_deg"),
    "spin_downs": (
        "start_turns_per_s_uncertainty",
        "stop_time_uncertainty_s",
        "turns_uncertainty",
        "wheel_inertia_factor_uncertainty",
        "axle_diameter_uncertainty_mm",
        "wheel_diameter_uncertainty_mm",
    ),
    "roll_tests": ("drift_uncertainty_mm", "aim_uncertainty_deg"),
}


def require_evidence(evidence: Evidence) -> Evidence:
    """Return the evidence unchanged, or raise `InvalidInput` with every problem it has."""
    problems = check_evidence(evidence)
    if problems:
        raise InvalidInput(problems)
    return evidence


def check_evidence(evidence: Evidence) -> tuple[Problem, ...]:
    """Return every problem that keeps the evidence from being fitted."""
    problems = [
        *check_track(evidence.track),
        *check_surroundings(evidence.surroundings),
        *_check_cars(evidence),
        *_check_names(evidence),
    ]
    if not 0.0 <= evidence.timer_uncertainty_s <= 10.0:
        seen = f"{evidence.timer_uncertainty_s:g} s"
        problems.append(Problem("timer_uncertainty_s", seen, "between 0 and 10 s"))
    count = len(evidence.runs) + len(evidence.coast_outs) + len(evidence.spin_downs)
    if count > MOST_READINGS:
        problems.append(Problem("runs and tests", f"{count}", f"at most {MOST_READINGS}"))
    if problems:
        return tuple(problems)
    return (*_check_runs(evidence), *_check_tests(evidence), *_check_setups(evidence))


def _check_cars(evidence: Evidence) -> Iterator[Problem]:
    if not evidence.cars:
        yield Problem("cars", "empty", "one car or more", "describe the car that ran")
    seen: set[str] = set()
    for number, known in enumerate(evidence.cars):
        place = f"cars[{number}]"
        if not known.name.strip() or known.name in seen:
            yield Problem(f"{place}.name", repr(known.name), "a name that no other car has")
        seen.add(known.name)
        for problem in check_car(known.car):
            yield Problem(f"{place}.{problem.where}", problem.seen, problem.allowed, problem.remedy)
        if not 0.0 <= known.mass_uncertainty_g < known.car.mass_g / 3.0:
            yield Problem(
                f"{place}.mass_uncertainty_g",
                f"{known.mass_uncertainty_g:g} g",
                "0 or more and less than a third of the mass",
            )
        if not 0.0 < known.drag_area_spread <= 2.0:
            yield Problem(
                f"{place}.drag_area_spread", f"{known.drag_area_spread:g}", "more than 0, at most 2"
            )


def _check_names(evidence: Evidence) -> Iterator[Problem]:
    names = [known.name for known in evidence.cars]
    for kind in ("runs", "coast_outs", "spin_downs", "roll_tests"):
        for number, reading in enumerate(getattr(evidence, kind)):
            if reading.car not in names:
                yield Problem(
                    f"{kind}[{number}].car", repr(reading.car), "one of " + ", ".join(names)
                )


def _check_runs(evidence: Evidence) -> Iterator[Problem]:
    gates = len(evidence.track.gates_at_m)
    for number, run in enumerate(evidence.runs):
        place = f"runs[{number}]"
        if run.note not in NOTES:
            yield Problem(f"{place}.note", repr(run.note), "one of " + ", ".join(NOTES))
        if len(run.gate_times_s) not in {0, gates}:
            yield Problem(
                f"{place}.gate_times_s",
                f"{len(run.gate_times_s)} times",
                f"{gates} times, one for each gate of the track, or none",
                "write null for a gate that took no time",
            )
        yield from _check_order(place, run, evidence)


def _check_order(place: str, run: TimedRun, evidence: Evidence) -> Iterator[Problem]:
    gates = sorted(zip(evidence.track.gates_at_m, run.gate_times_s, strict=False))
    times = [time for _, time in gates if time is not None]
    times += [run.finish_time_s] if run.finish_time_s is not None else []
    before = 0.0
    for time in times:
        if not (math.isfinite(time) and before < time <= 1000.0):
            yield Problem(
                place,
                f"{time:g} s after {before:g} s",
                "times that rise from gate to gate to the finish, up to 1000 s",
                "check which gate is which",
            )
            return
        before = time


def _check_signs(kind: str, place: str, reading: object) -> Iterator[Problem]:
    for name in _POSITIVE[kind]:
        value = getattr(reading, name)
        if not value > 0.0:
            yield Problem(f"{place}.{name}", f"{value:g}", "more than 0")
    for name in _NOT_NEGATIVE[kind]:
        value = getattr(reading, name)
        if not value >= 0.0:
            yield Problem(f"{place}.{name}", f"{value:g}", "0 or more")


def _check_tests(evidence: Evidence) -> Iterator[Problem]:
    for kind in _POSITIVE:
        for number, reading in enumerate(getattr(evidence, kind)):
            yield from _check_signs(kind, f"{kind}[{number}]", reading)
    for number, coast_out in enumerate(evidence.coast_outs):
        speed = coast_out.entry_speed_m_s
        if speed is not None and not 0.0 < speed <= 50.0:
            place = f"coast_outs[{number}].entry_speed_m_s"
            yield Problem(place, f"{speed:g} m/s", "more than 0 and at most 50 m/s")


def _check_setups(evidence: Evidence) -> Iterator[Problem]:
    for kind in ("runs", "coast_outs"):
        for number, reading in enumerate(getattr(evidence, kind)):
            if isinstance(reading, TimedRun) and not has_times(reading):
                continue
            yield from _check_setup(evidence, f"{kind}[{number}]", reading)


def _check_setup(evidence: Evidence, place: str, reading: TimedRun | CoastOut) -> Iterator[Problem]:
    for problem in check_car(setup_of(evidence, reading).car):
        where = problem.where.removeprefix("car.")
        yield Problem(f"{place}.{where}", problem.seen, problem.allowed, problem.remedy)
