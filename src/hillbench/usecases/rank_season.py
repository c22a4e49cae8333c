"""The standings of a season from its meets."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from hillbench.racing.meet_fold import fold
from hillbench.racing.meet_ranking import rank_by_model, rank_so_far
from hillbench.racing.meet_state import MeetState
from hillbench.racing.season import MeetOutcome, SeasonPlace, SeasonScore, rank_season
from hillbench.records import meet_journal_store, meet_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_entities import Meet, Season
from hillbench.records.names import name_key

_SEED = 64


@dataclass(frozen=True, slots=True)
class SeasonView:
    """A season as it stands.

    Attributes
    ----------
    season
        The season.
    meets
        Its meets in the order held, as far as any heat was run.
    standings
        The cars by their names.
    car_names
        Name of each car of the standings as it was entered last.
    """

    season: Season
    meets: tuple[Meet, ...]
    standings: tuple[SeasonPlace, ...]
    car_names: dict[str, str]


def show_season(book: BenchBook, season_id: int) -> SeasonView:
    """Return the standings of a season.

    A car of the bench is the same car under any name; a guest is known by its name.
    """
    with book.read() as session:
        season = meet_store.find_season(session, season_id)
        meets = tuple(reversed(meet_store.list_meets(session, season_id=season_id)))
        states = [fold(meet_journal_store.read_journal(session, meet.id)) for meet in meets]
    run = [(meet, state) for meet, state in zip(meets, states, strict=True) if state.heats]
    names: dict[str, str] = {}
    outcomes = []
    for meet, state in run:
        keys = {car: _key(state, car) for car in state.entries}
        names |= {keys[car]: entry.name for car, entry in state.entries.items()}
        places = {keys[one.car]: one.place for one in rank_so_far(state) if one.place}
        times_s = _times(state, keys) if season.rule.score is SeasonScore.GAP else {}
        outcomes.append(MeetOutcome(meet.name, places, times_s))
    standings = rank_season(outcomes, season.rule)
    return SeasonView(season, tuple(meet for meet, _ in run), standings, names)


def _key(state: MeetState, car: int) -> str:
    entry = state.entries[car]
    return f"name {name_key(entry.name)}" if entry.car_id is None else f"bench {entry.car_id}"


def _times(state: MeetState, keys: dict[int, str]) -> dict[str, float]:
    model = rank_by_model(state, np.random.default_rng(_SEED))
    if model is None:
        return {}
    return {
        keys[one.car]: one.typical_time_s
        for one in model.standings
        if one.typical_time_s is not None
    }
