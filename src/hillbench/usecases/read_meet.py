"""Read a meet as it stands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from hillbench.racing.meet_event import Event
from hillbench.racing.meet_fold import fold
from hillbench.racing.meet_ranking import MeetPlace, rank_so_far
from hillbench.racing.meet_state import MeetState
from hillbench.records import meet_journal_store, meet_store, run_store, track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import Meet, RaceClass, Season


@dataclass(frozen=True, slots=True)
class MeetView:
    """A meet as it stands.

    Attributes
    ----------
    meet
        What it is called, when and where.
    events
        Its journal.
    state
        What the journal adds up to.
    places
        The official ranking, or the standings while heats are still to run.
    track_name
        Where; empty for nowhere in the bench book.
    race_class, season
        Its rules and season; None for none.
    record_s
        The fastest clean time on the track before, s; None for none.
    """

    meet: Meet
    events: tuple[Event, ...]
    state: MeetState
    places: tuple[MeetPlace, ...]
    track_name: str = ""
    race_class: RaceClass | None = None
    season: Season | None = None
    record_s: float | None = None
    names: Mapping[int, str] = field(default_factory=dict)

    def name(self, car: int) -> str:
        """Return the name of a car by its number."""
        entry = self.state.entries.get(car)
        return f"car {car}" if entry is None else entry.name


def read_meet(book: BenchBook, meet_id: int) -> MeetView:
    """Return a meet as it stands.

    Raises
    ------
    NotFound
        If there is none.
    """
    with book.read() as session:
        meet = meet_store.find_meet(session, meet_id)
        events = meet_journal_store.read_journal(session, meet_id)
        track_name, record_s = "", None
        if meet.track_id is not None:
            track_name = track_store.find_track(session, meet.track_id).name
            fastest = run_store.fastest_runs(session, meet.track_id, limit=1)
            record_s = fastest[0].finish_time_s if fastest else None
        class_id, season_id = meet.race_class_id, meet.season_id
        race_class = None if class_id is None else meet_store.find_class(session, class_id)
        season = None if season_id is None else meet_store.find_season(session, season_id)
    state = fold(events)
    return MeetView(
        meet,
        events,
        state,
        rank_so_far(state),
        track_name,
        race_class,
        season,
        record_s,
        {car: entry.name for car, entry in state.entries.items()},
    )


def seq_of(book: BenchBook, meet_id: int) -> int:
    """Return the last line of a journal: it grows with everything that happens at the meet."""
    with book.read() as session:
        return meet_journal_store.last_seq(session, meet_id)
