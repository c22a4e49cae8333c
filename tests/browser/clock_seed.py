"""An invented hill of two lanes, four cars and a few outings for the pages of the Clock."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np

from hillbench.coasting.track import Bend, SlopePoint, Track
from hillbench.records.bench_book import BenchBook
from hillbench.records.car_store import add_car
from hillbench.records.casting_store import add_casting
from hillbench.records.outing_entities import Conditions, Outing
from hillbench.records.track_store import TrackState
from hillbench.usecases.begin_outing import begin_outing
from hillbench.usecases.enter_run import enter_run
from hillbench.usecases.save_track import save_track

START: Final = datetime(2025, 11, 2, 18, 30, tzinfo=UTC)
CARS: Final = ("Plum", "Grey no. 3", "Blue Finch", "Heather, the one with the long name")
TYPICAL_S: Final = (10.36, 10.44, 10.47, 10.61)
LONG_HILL: Final = Track(
    finish_at_m=18.5,
    slope_points=(SlopePoint(0.0, 22.0), SlopePoint(2.2, 5.0), SlopePoint(18.5, 3.0)),
    bends=(Bend(3.0, 4.2, 90.0), Bend(6.0, 7.0, -90.0)),
)


def fill_clock(book: BenchBook, months: int = 4, pairs: int = 4) -> None:
    """Put a track, cars and one outing a month into an empty bench book.

    The latest outing has the number `months` and stands open after 2 × `pairs` runs.
    """
    state = TrackState(track=LONG_HILL, rolling_resistance=0.008, wall_friction=0.2)
    track = save_track(book, "Fern Hill", "", state, START)
    with book.write() as session:
        casting = add_casting(session, "Marl Coupé", "", START)
        for name in CARS:
            add_car(session, casting.id, name, "", START)
    rng = np.random.default_rng(7)
    for month in range(months):
        now = START + timedelta(days=31 * month)
        conditions = Conditions(17.0 + month, 48.0, month % 2 == 0, f"graphite, {2 + month} days")
        cars = (1, 2) if month % 2 else (1, 2, 3)
        outing = begin_outing(book, track.id, cars, 2, now, conditions=conditions)
        run_pairs(book, outing, pairs, rng, gained_s=0.05 * (month >= 2))


def run_pairs(
    book: BenchBook, outing: Outing, pairs: int, rng: np.random.Generator, gained_s: float = 0.0
) -> None:
    """Run the planned turns of an outing until each car ran `pairs` times."""
    for place, turn in enumerate(outing.plan.turns[: pairs * len(outing.plan.car_ids)]):
        time_s = TYPICAL_S[turn.car_id - 1] - gained_s * (turn.car_id == 1)
        time_s += 0.04 * float(rng.standard_normal()) + 0.4 * (place == 5)
        note = "off track" if place == 3 and outing.id == 2 else "clean"
        at = outing.begun_at + timedelta(minutes=2 * place)
        told = None if note == "off track" else round(time_s, 2)
        enter_run(book, outing.id, turn.car_id, told, note, at, lane=turn.lane)
