"""Gather what was measured on a hill: every run with the car as it was when it ran."""

from __future__ import annotations

import hashlib
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sqlalchemy.orm import Session

from hillbench import __version__
from hillbench.fitting import readings as measured
from hillbench.fitting.evidence import Evidence, KnownCar, Setup
from hillbench.records import bench_test_store, outing_store, run_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import CoastOutRecord, RollTestRecord
from hillbench.records.entities import TimedRun, TrackRecord
from hillbench.usecases.bearing_states import lubricant_in
from hillbench.usecases.car_then import CarHistory, CarThen, read_history
from hillbench.usecases.compare_outing import car_labels, common_uncertainty_s
from hillbench.usecases.evidence_of_tests import coast_out, roll_test, spin_test
from hillbench.usecases.set_scene import surroundings_of

MOST_RUNS: Final = 2000
"""Latest runs on a track that are fitted; earlier ones say nothing new."""

_DRAG_READ: Final = 0.3
_DRAG_ASSUMED: Final = 0.4
_LEAST_TIMER_S: Final = 0.001


@dataclass(frozen=True, slots=True)
class VersionRuns:
    """A version of a track and how many runs were timed on it."""

    record: TrackRecord
    run_count: int


@dataclass(frozen=True, slots=True)
class Gathered:
    """What was measured on one version of a track.

    Attributes
    ----------
    track
        The track in the version that is fitted.
    versions
        Every version of it, newest first.
    evidence
        Runs and tests; the track has one or more cars only where one ran or is asked about.
    runs
        Runs of the bench book in the order of those of the evidence.
    now
        Each car as it is now, by number.
    notes
        What is to be said about what was gathered, a sentence each.
    """

    track: TrackRecord
    versions: tuple[VersionRuns, ...]
    evidence: Evidence
    runs: tuple[TimedRun, ...]
    now: Mapping[int, Setup]
    notes: tuple[str, ...]

    def key(self, *more: object) -> str:
        """Return a key that changes with all that a result depends on.

        Whatever is measured, weighed, removed or edited makes another key, and so does
        another version of the program.
        """
        parts = (__version__, self.track.version_id, self.evidence, self.now, *more)
        return hashlib.sha256(repr(parts).encode()).hexdigest()


def gather_runs(
    book: BenchBook,
    track_id: int,
    now: datetime,
    *,
    number: int | None = None,
    also_car_id: int | None = None,
) -> Gathered:
    """Return all that was measured on a track.

    Parameters
    ----------
    now
        Present moment, UTC.
    number
        Version of the track; by default the newest on which a run was timed.
    also_car_id
        A car that is asked about whether or not it ran there.

    Raises
    ------
    NotFound
        If there is no such track, version or car.
    InvalidInput
        If the readings of a car contradict each other.
    """
    with book.read() as session:
        every = run_store.list_runs(session, track_id=track_id)
        versions = _versions(session, track_id, every)
        track = _chosen(session, track_id, versions, number)
        runs = [run for run in every if run.track_version_id == track.version_id][:MOST_RUNS]
        runs.reverse()
        car_ids = tuple(dict.fromkeys([run.car_id for run in runs]))
        if also_car_id is not None and also_car_id not in car_ids:
            car_ids = (*car_ids, also_car_id)
        histories = read_histories(session, car_ids, runs)
        labels = car_labels(session, car_ids)
        coast_outs = bench_test_store.coast_outs_for(session, car_ids, track.version_id)
    gathering = _Gathering(histories, labels)
    timed = tuple(gathering.run(run) for run in runs)
    present = {car_id: gathering.setup(car_id, now) for car_id in car_ids}
    surroundings = surroundings_of(track)
    evidence = Evidence(
        track=track.track,
        cars=tuple(gathering.known.values()),
        runs=timed,
        **gathering.tests(coast_outs, surroundings.gravity_m_s2),
        timer_uncertainty_s=max(_LEAST_TIMER_S, common_uncertainty_s(runs)),
        air_density_kg_m3=surroundings.air_density_kg_m3,
        gravity_m_s2=surroundings.gravity_m_s2,
    )
    notes = tuple(_notes(track, versions, number, len(runs)))
    return Gathered(track, versions, evidence, tuple(runs), present, notes)


class _Gathering:
    """Names cars and states as runs are gathered: one known car for each build."""

    def __init__(self, histories: Mapping[int, CarHistory], labels: Mapping[int, str]) -> None:
        self._histories = histories
        self._labels = labels
        self.known: dict[tuple[int, tuple[float, ...]], KnownCar] = {}

    def run(self, run: TimedRun) -> measured.TimedRun:
        """Return a run as the fit takes it."""
        setup = self.setup(run.car_id, run.at)
        return measured.TimedRun(
            car=setup.name,
            finish_time_s=run.finish_time_s,
            state=setup.state,
            mass_g=setup.car.mass_g,
            cg_ahead_of_rear_axle_mm=setup.car.cg_ahead_of_rear_axle_mm,
            note=str(run.note),
            gate_times_s=run.gate_times_s,
        )

    def setup(self, car_id: int, moment: datetime) -> Setup:
        """Return a car as it was at a moment."""
        then = self._histories[car_id].at(moment)
        return Setup(self._name(car_id, then, moment), then.state, then.car)

    def tests(self, coast_outs: Sequence[CoastOutRecord], gravity_m_s2: float) -> dict[str, Any]:
        """Return the tests of cars that are known, as fields of the evidence."""
        return {
            "spin_downs": tuple(self._spins(gravity_m_s2)),
            "roll_tests": tuple(self._rolls()),
            "coast_outs": tuple(self._coast_outs(coast_outs)),
        }

    def _spins(self, gravity_m_s2: float) -> Iterator[measured.SpinTest]:
        for car_id, history in self._histories.items():
            for read in history.frictions:
                known = self._known_at(car_id, read.at)
                if known is not None:
                    yield spin_test(known, read, gravity_m_s2)

    def _rolls(self) -> Iterator[measured.RollTest]:
        """Yield one roll test for each known car: all its rolls since its axles were set."""
        rolled: dict[str, tuple[KnownCar, list[RollTestRecord]]] = {}
        for car_id, history in self._histories.items():
            for test in reversed(history.roll_tests):
                known = self._known_at(car_id, test.at)
                if known is not None:
                    rolled.setdefault(known.name, (known, []))[1].append(test)
        for known, tests in rolled.values():
            yield roll_test(known, tests)

    def _coast_outs(self, tests: Sequence[CoastOutRecord]) -> Iterator[measured.CoastOut]:
        for test in tests:
            known = self._known_at(test.car_id, test.at)
            if known is not None:
                yield coast_out(known, self._histories[test.car_id].at(test.at), test)

    def _known_at(self, car_id: int, moment: datetime) -> KnownCar | None:
        """Return the car as it was built then; None where it never ran like that."""
        return self.known.get((car_id, self._histories[car_id].at(moment).build))

    def _name(self, car_id: int, then: CarThen, moment: datetime) -> str:
        key = (car_id, then.build)
        if key not in self.known:
            earlier = sum(known_id == car_id for known_id, _ in self.known)
            since = f" from {moment.day} {moment:%b %Y}" if earlier else ""
            spread = _DRAG_READ if then.drag_is_read else _DRAG_ASSUMED
            uncertainty_g = min(then.mass_uncertainty_g, 0.3 * then.car.mass_g)
            name = f"{self._labels[car_id]}{since}"
            while any(known.name == name for known in self.known.values()):
                name += "′"
            self.known[key] = KnownCar(name, then.car, uncertainty_g, spread)
        return self.known[key].name


def _versions(session: Session, track_id: int, runs: Sequence[TimedRun]) -> tuple[VersionRuns, ...]:
    counts = Counter(run.track_version_id for run in runs)
    records = track_store.list_track_versions(session, track_id)
    return tuple(VersionRuns(record, counts[record.version_id]) for record in records)


def _chosen(
    session: Session, track_id: int, versions: Sequence[VersionRuns], number: int | None
) -> TrackRecord:
    if number is not None:
        return track_store.find_track(session, track_id, number)
    return next((one.record for one in versions if one.run_count), versions[0].record)


def read_histories(
    session: Session, car_ids: Iterable[int], runs: Sequence[TimedRun]
) -> dict[int, CarHistory]:
    """Return the history of each car, with the lubricants that the outings of runs name."""
    lubricated: dict[int, list[tuple[datetime, str]]] = defaultdict(list)
    words: dict[int, str] = {}
    for run in runs:
        if run.outing_id is None:
            continue
        if run.outing_id not in words:
            outing = outing_store.find_outing(session, run.outing_id)
            words[run.outing_id] = lubricant_in(outing.conditions.lubricant_note)
        if words[run.outing_id]:
            lubricated[run.car_id].append((run.at, words[run.outing_id]))
    return {car_id: read_history(session, car_id, lubricated) for car_id in car_ids}


def _notes(
    track: TrackRecord, versions: Sequence[VersionRuns], number: int | None, run_count: int
) -> Iterator[str]:
    newest = versions[0].record
    if track.number != newest.number and number is None:
        yield (
            f"The track was edited on {newest.version_at.day} {newest.version_at:%b %Y} and no "
            "run was timed on it since: all this is for the hill as it was before."
        )
    others = sum(one.run_count for one in versions if one.record.number != track.number)
    if others:
        ran, keep = ("run was", "it keeps") if others == 1 else ("runs were", "they keep")
        count = "does" if others == 1 else "do"
        yield (
            f"{others} {ran} timed on other versions of this track; {keep} the track as "
            f"it was and {count} not count here."
        )
    if run_count == MOST_RUNS:
        yield f"Only the latest {MOST_RUNS} runs are used."
