"""The results of a meet: who won, how sure that is, which lane is slow, which records fell."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hillbench.racing.format import WITH_FINAL, WITH_LADDER
from hillbench.racing.meet_ranking import (
    MeetPlace,
    heat_rows,
    is_over,
    next_stage,
    rank_by_model,
    rank_by_places,
    rule_of,
)
from hillbench.racing.meet_state import NOT_STARTED, MeetState
from hillbench.racing.official import Score
from hillbench.usecases.read_meet import MeetView

if TYPE_CHECKING:  # it loads SciPy, which the start of the app does not need
    from hillbench.racing.timed_result import TimedResult

_SEED: Final = 64


@dataclass(frozen=True, slots=True)
class CarResult:
    """What a meet says about one car.

    Attributes
    ----------
    place
        Official place; None for a car that has not run, or has withdrawn.
    car, car_name, owner_name
        The car.
    score, missing, split_by
        As in `hillbench.racing.meet_ranking.MeetPlace`.
    in_final, withdrawn
        Whether it ran the final, and whether it has withdrawn.
    runs, no_finishes
        Runs that count, with and without a finish.
    best_time_s
        Its best time, s; None without any.
    typical_time_s, standard_uncertainty_s
        By the model, s; None without enough times.
    model_place
        Place by the model; None without any.
    fastest_probability
        Chance that it is the fastest car; None where that cannot be told.
    """

    place: int | None
    car: int
    car_name: str
    owner_name: str
    score: float | None
    missing: int
    split_by: str
    in_final: bool
    withdrawn: bool
    runs: int
    no_finishes: int
    best_time_s: float | None
    typical_time_s: float | None
    standard_uncertainty_s: float | None
    model_place: int | None
    fastest_probability: float | None


@dataclass(frozen=True, slots=True)
class LaneReport:
    """What a meet says about one lane.

    Attributes
    ----------
    lane, runs
        The lane and its runs with a time.
    slower_s, low_s, high_s
        What a run takes longer there than on a typical lane, with its 90 % interval, s.
    sentence
        The same in words.
    """

    lane: int
    runs: int
    slower_s: float
    low_s: float
    high_s: float
    sentence: str


@dataclass(frozen=True, slots=True)
class MeetResults:
    """What a meet says.

    Attributes
    ----------
    sentence
        Who won, and how sure it is that the fastest car did.
    rule
        How it was ranked, in words.
    over
        Whether all heats are run.
    cars
        In the official order.
    lanes
        Lane by lane; empty where nothing can be told.
    run_sd_s
        Repeatability of a run, s; None without enough times.
    records
        Fastest times, in words.
    odd_runs
        Runs far from what the model expects, in words.
    """

    sentence: str
    rule: str
    over: bool
    cars: tuple[CarResult, ...]
    lanes: tuple[LaneReport, ...]
    run_sd_s: float | None
    records: tuple[str, ...]
    odd_runs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _ModelCar:
    place: int | None
    typical_time_s: float | None
    standard_uncertainty_s: float | None
    fastest_probability: float | None


def tell_results(view: MeetView) -> MeetResults:
    """Return what a meet says; it is computed from its journal alone.

    Parameters
    ----------
    view
        The meet as it stands.
    """
    state = view.state
    timed = rank_by_model(state, np.random.default_rng(_SEED))
    model = _by_model(state, timed)
    cars = tuple(_car(view, one, model) for one in view.places)
    over = is_over(state) and not next_stage(state)
    rows = heat_rows(state)
    odd = () if timed is None else timed.odd_runs
    return MeetResults(
        sentence=_sentence(cars, over=over),
        rule=told_rule(state),
        over=over,
        cars=cars,
        lanes=_lanes(state, timed),
        run_sd_s=None if timed is None else timed.run_sd_s,
        records=told_records(view),
        odd_runs=tuple(
            f"{view.name(rows[at].car)} in heat {rows[at].heat}: {rows[at].time_s:.3f} s"
            for at in odd
        ),
    )


def _by_model(state: MeetState, timed: TimedResult | None) -> dict[int, _ModelCar]:
    """Return what times, or places where none are taken, say about each car."""
    if timed is not None:
        return {
            one.car: _ModelCar(
                one.place if one.typical_time_s is not None else None,
                one.typical_time_s,
                one.standard_uncertainty_s,
                one.fastest_probability,
            )
            for one in timed.standings
        }
    found = rank_by_places(state, np.random.default_rng(_SEED))
    if found is None:
        return {}
    place_of = {car: place for place, car in enumerate(found.ranking(), start=1)}
    chances = zip(found.cars, found.best_probability, strict=True)
    return {car: _ModelCar(place_of[car], None, None, float(chance)) for car, chance in chances}


def _car(view: MeetView, one: MeetPlace, model: Mapping[int, _ModelCar]) -> CarResult:
    state, entry = view.state, view.state.entries[one.car]
    rows = [
        heat.rows[lane]
        for heat in state.heats.values()
        if heat.done
        for lane in heat.rows
        if heat.rows[lane].car == one.car and heat.rows[lane].note != NOT_STARTED
    ]
    times = [row.time_s for row in rows if row.time_s is not None]
    found = model.get(one.car, _ModelCar(None, None, None, None))
    return CarResult(
        place=one.place,
        car=one.car,
        car_name=entry.name,
        owner_name=entry.owner,
        score=one.score,
        missing=one.missing,
        split_by=one.split_by,
        in_final=one.in_final,
        withdrawn=entry.withdrawn,
        runs=sum(row.finished for row in rows),
        no_finishes=sum(not row.finished for row in rows),
        best_time_s=min(times, default=None),
        typical_time_s=found.typical_time_s,
        standard_uncertainty_s=found.standard_uncertainty_s,
        model_place=found.place,
        fastest_probability=found.fastest_probability,
    )


def _sentence(cars: tuple[CarResult, ...], *, over: bool) -> str:
    first = [one for one in cars if one.place == 1]
    if not first:
        return "No heat has been run yet."
    names = " and ".join(one.car_name for one in first[:3])
    if len(first) > 3:
        return (
            f"{len(first)} cars share the lead so far." if not over else f"{len(first)} cars tie."
        )
    verb = ("wins" if over else "leads") if len(first) == 1 else "tie" if over else "lead together"
    odds = [one for one in cars if one.fastest_probability is not None]
    if not odds:
        return f"{names} {verb}."
    best = max(odds, key=lambda one: one.fastest_probability or 0.0)
    chance = told_chance(best.fastest_probability or 0.0)
    if len(first) == 1 and best.car == first[0].car:
        return f"{names} {verb}, and is the fastest car with {chance} probability."
    return f"{names} {verb}; the fastest car is {best.car_name} with {chance} probability."


def told_chance(chance: float) -> str:
    """Return a probability in whole percents; never as if it were certain."""
    if chance > 0.99:
        return "more than 99 %"
    return "less than 1 %" if chance < 0.01 else f"{100 * chance:.0f} %"


def told_rule(state: MeetState) -> str:
    """Return in words how a meet is ranked, ties included."""
    rule, settings = rule_of(state), state.settings
    if settings.format in WITH_LADDER:
        return "By the ladder: the later a car fell, the better its place; equal rounds share one."
    words = {
        Score.SUM: "the sum of all times",
        Score.MEAN: "the mean of all times",
        Score.DROP_WORST: f"the sum of all times but the {rule.drop} worst",
        Score.BEST: "the best time",
        Score.POINTS: "points by place, " + ", ".join(f"{one:g}" for one in rule.points),
    }
    text = f"By {words[rule.score]}"
    if settings.format in WITH_FINAL:
        text += ", heats and final pooled; those of the final come first"
    ties = ", then ".join(str(tie) for tie in rule.ties)
    return f"{text}. Ties: {ties}, else the place is shared." if ties else f"{text}. Ties share."


def _lanes(state: MeetState, timed: TimedResult | None) -> tuple[LaneReport, ...]:
    if timed is None or state.settings.open_track:
        return ()
    rows = [row for row in heat_rows(state) if row.time_s is not None]
    found = []
    for one in timed.lanes:
        size = f"{abs(one.slower_s):.3f} s {'slow' if one.slower_s > 0 else 'fast'}"
        reach = f"{one.low_s:+.3f} to {one.high_s:+.3f} s".replace("-", "−")
        sentence = f"Lane {one.lane} is {size}" if one.differs else f"Lane {one.lane} is fair"
        runs = sum(row.lane == one.lane for row in rows)
        found.append(
            LaneReport(
                one.lane,
                runs,
                one.slower_s,
                one.low_s,
                one.high_s,
                f"{sentence} ({reach}, from {runs} runs).",
            )
        )
    return tuple(found)


def told_records(view: MeetView) -> tuple[str, ...]:
    """Return the fastest clean run of the meet, and whether the record of the track fell."""
    clean = [
        (row.time_s, heat.number, lane, row.car)
        for heat in view.state.heats.values()
        if heat.done
        for lane, row in heat.rows.items()
        if row.time_s is not None and row.note == "clean"
    ]
    if not clean:
        return ()
    time_s, heat, lane, car = min(clean)
    where = "" if view.state.settings.open_track else f" on lane {lane}"
    found = [f"Fastest run: {view.name(car)}, {time_s:.3f} s in heat {heat}{where}."]
    if view.record_s is not None and view.track_name:
        if time_s < view.record_s:
            found.append(
                f"New record of {view.track_name}: {view.record_s - time_s:.3f} s faster than "
                f"the {view.record_s:.3f} s before."
            )
        else:
            found.append(f"The record of {view.track_name} stands at {view.record_s:.3f} s.")
    return tuple(found)
