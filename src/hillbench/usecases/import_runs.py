"""Keep the runs of a table that was read and confirmed."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from sqlalchemy.orm import Session

from hillbench.errors import InvalidInput, Problem
from hillbench.records import car_store, import_rule_store, outing_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TrackRecord
from hillbench.records.gate_times import check_gate_times
from hillbench.records.outing_entities import Outing, Plan, RuleKind
from hillbench.records.outing_store import NewRun
from hillbench.timing.columns import Columns
from hillbench.timing.reading import read_runs
from hillbench.timing.run import TimedRun
from hillbench.timing.table import decode, split
from hillbench.usecases.read_pasted import rule_name, rule_of


@dataclass(frozen=True, slots=True)
class ImportedRuns:
    """What became of a table.

    Attributes
    ----------
    outing_ids
        The outings that its runs are in now.
    kept_count
        Runs that were kept now.
    repeated_count
        Runs that had been kept before and were left alone.
    problems
        Rows that were not kept, each with what is wrong; they can be corrected and the table
        imported again under the same key.
    questions
        Rows that were kept and look doubtful.
    """

    outing_ids: tuple[int, ...]
    kept_count: int
    repeated_count: int
    problems: tuple[Problem, ...]
    questions: tuple[Problem, ...]


def import_runs(
    book: BenchBook,
    track_id: int,
    data: bytes | str,
    columns: Columns,
    car_ids: Mapping[str, int],
    now: datetime,
    *,
    import_key: str | None = None,
    confirmed: bool = False,
) -> ImportedRuns:
    """Keep the good rows of a table as outings, list the others, remember the columns.

    Parameters
    ----------
    data
        The table.
    columns
        Which column is what, as confirmed.
    car_ids
        Which car each name in the table is; rows of other cars are not kept.
    import_key
        Chosen when the table was first shown: a row (by its line) is kept once under it,
        however often the table is sent, also with other rows corrected. By content where None.
    confirmed
        Whether times far from all others are meant.

    Raises
    ------
    InvalidInput
        If it is no table, or nothing in it can be kept.
    NotFound
        If there is no such track or car.
    """
    text = decode(data) if isinstance(data, bytes) else data.removeprefix("\ufeff")
    reading = read_runs(text, columns, confirmed=confirmed)
    key = import_key or hashlib.sha256(f"{track_id}\n{text}".encode()).hexdigest()[:32]
    named = [run for run in reading.runs if run.car in car_ids]
    with book.read() as session:
        gates_at_m = track_store.find_track(session, track_id).track.gates_at_m
    known, wrong = _with_right_gates(named, gates_at_m)
    problems = [*reading.problems, *wrong, *_unknown(reading.runs, car_ids)]
    if not known:
        raise InvalidInput(problems or [Problem("table", "without a run", "one row a run")])
    heading = split(text)[0][1]
    with book.write() as session:
        track = track_store.find_track(session, track_id)
        for car_id in set(car_ids.values()):
            car_store.touch_car(session, car_id, now)
        kept = _Keeper(session, track, car_ids, f"table:{key}:", now)
        for group in _by_outing(known):
            kept.keep(group)
        import_rule_store.keep_rule(
            session, RuleKind.COLUMNS, rule_name(heading, columns), rule_of(columns), now
        )
    return ImportedRuns(
        outing_ids=tuple(kept.outing_ids),
        kept_count=kept.kept_count,
        repeated_count=len(known) - kept.kept_count,
        problems=tuple(problems),
        questions=reading.questions,
    )


class _Keeper:
    """Keeps groups of rows as outings, each row once."""

    def __init__(
        self,
        session: Session,
        track: TrackRecord,
        car_ids: Mapping[str, int],
        prefix: str,
        now: datetime,
    ) -> None:
        self._session = session
        self._track = track
        self._car_ids = car_ids
        self._prefix = prefix
        self._now = now
        self._before = outing_store.outings_by_key(session, prefix)
        self.outing_ids: list[int] = []
        self.kept_count = 0

    def keep(self, runs: Sequence[TimedRun]) -> None:
        """Keep what is new of one group."""
        new = [run for run in runs if self._key(run) not in self._before]
        outing = self._outing(runs)
        self.outing_ids.append(outing.id)
        self.kept_count += len(new)
        entries = [
            NewRun(
                car_id=self._car_ids[run.car],
                finish_time_s=run.time_s,
                note=run.note,
                lane=run.lane,
                entry_key=self._key(run),
                gate_times_s=run.gate_times_s,
            )
            for run in new
        ]
        outing_store.add_outing_runs(self._session, outing, entries)

    def _key(self, run: TimedRun) -> str:
        return f"{self._prefix}{run.row}"

    def _outing(self, runs: Sequence[TimedRun]) -> Outing:
        for run in runs:
            if self._key(run) in self._before:
                return outing_store.find_outing(self._session, self._before[self._key(run)])
        return outing_store.add_outing(
            self._session,
            self._track.version_id,
            self._track.id,
            _begun_at(runs[0].outing, len(runs), self._now),
            Plan(car_ids=tuple(dict.fromkeys(self._car_ids[run.car] for run in runs))),
            note=runs[0].outing or "",
        )


def _begun_at(outing: str | None, runs: int, now: datetime) -> datetime:
    """Return the day that an outing is named by; else so that its runs end now."""
    try:
        day = datetime.fromisoformat((outing or "").strip())
    except ValueError:
        return now - timedelta(seconds=runs)
    begun = day.replace(tzinfo=UTC) if day.tzinfo is None else day.astimezone(UTC)
    return min(begun, now - timedelta(seconds=runs))


def _by_outing(runs: Sequence[TimedRun]) -> list[list[TimedRun]]:
    groups: dict[str | None, list[TimedRun]] = {}
    for run in runs:
        groups.setdefault(run.outing, []).append(run)
    return [_in_order(group) for group in groups.values()]


def _in_order(runs: list[TimedRun]) -> list[TimedRun]:
    """Return runs by their numbers where all have one, else as in the table."""
    if any(run.order is None for run in runs):
        return runs
    return sorted(runs, key=lambda run: run.order or 0.0)


def _with_right_gates(
    runs: Sequence[TimedRun], gates_at_m: Sequence[float]
) -> tuple[list[TimedRun], list[Problem]]:
    """Return the runs whose gate times can be, and what is wrong with the others."""
    kept, problems = [], []
    for run in runs:
        where = f"row {run.row}, gates"
        found = list(check_gate_times(run.gate_times_s, gates_at_m, run.time_s, where))
        problems += found
        if not found:
            kept.append(run)
    return kept, problems


def _unknown(runs: Sequence[TimedRun], car_ids: Mapping[str, int]) -> list[Problem]:
    return [
        Problem(f"row {run.row}, car", repr(run.car), "a car of this bench", "say which it is")
        for run in runs
        if run.car not in car_ids
    ]
