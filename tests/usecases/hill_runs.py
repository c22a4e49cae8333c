"""A bench with one hill and timed runs from a known world."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

import numpy as np

from hillbench.coasting.run import coast
from hillbench.coasting.track import SlopePoint, Track
from hillbench.records.bench_book import BenchBook
from hillbench.records.track_store import TrackState
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.note_run import note_run
from hillbench.usecases.save_car import save_car
from hillbench.usecases.save_track import save_track
from hillbench.usecases.set_scene import set_scene
from hillbench.usecases.weigh_car import weigh_car

BEGIN = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
STRAIGHT = Track(
    finish_at_m=8.0,
    slope_points=(SlopePoint(0.0, 14.0), SlopePoint(2.0, 5.0), SlopePoint(8.0, 3.0)),
)
ROLLING = 0.011
STATE = TrackState(STRAIGHT, ROLLING, 0.2)
SCATTER_S = 0.01


def days(count: float) -> datetime:
    """Return the moment that many days after the beginning."""
    return BEGIN + timedelta(days=count)


def add_hill(book: BenchBook) -> int:
    """Add the hill."""
    return save_track(book, "Cellar Stair", "", STATE, BEGIN).id


def add_car(book: BenchBook, name: str, mass_g: float | None, at: datetime = BEGIN) -> int:
    """Add a car with every quantity read that the fit looks at."""
    car_id = save_car(book, "Brass Barge", name, "", at).id
    if mass_g is not None:
        weigh_car(book, car_id, [mass_g, mass_g], 0.01, at)
    measure_car(book, car_id, {"wheelbase_mm": 43.0, "bearing_friction": 0.22}, at)
    return car_id


def true_time_s(book: BenchBook, track_id: int, car_id: int) -> float:
    """Return what the car takes in this world as it is described now, s."""
    scene = set_scene(book, car_id, track_id)
    run = coast(scene.track.track, scene.description.car, scene.losses, scene.surroundings)
    assert run.finish_time_s is not None
    return run.finish_time_s


def time_runs(
    book: BenchBook,
    track_id: int,
    car_ids: Sequence[int],
    rounds: int,
    at: datetime,
    rng: np.random.Generator,
) -> None:
    """Time runs of all cars in turn, each with its scatter."""
    truth = {car_id: true_time_s(book, track_id, car_id) for car_id in car_ids}
    moment = at
    for number in range(rounds):
        for car_id in car_ids if number % 2 == 0 else tuple(reversed(car_ids)):
            moment += timedelta(minutes=1)
            time_s = round(truth[car_id] + rng.normal(0.0, SCATTER_S), 3)
            note_run(book, track_id, car_id, time_s, "clean", moment)


def fill_hill(book: BenchBook) -> tuple[int, int, int]:
    """Add the hill with two cars, one of them run at two masses; return their numbers."""
    rng = np.random.default_rng(11)
    track_id = add_hill(book)
    one, two = add_car(book, "Copper", 36.0), add_car(book, "Kettle <&>", 41.0)
    time_runs(book, track_id, (one, two), 4, days(1), rng)
    weigh_car(book, one, [48.0, 48.0], 0.01, days(2))
    time_runs(book, track_id, (one, two), 4, days(3), rng)
    return track_id, one, two
