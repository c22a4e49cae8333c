"""Fill a bench book with the invented club, all of it or nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import datetime, timedelta
from functools import partial
from typing import Final

import numpy as np
from sqlalchemy.orm import Session

from hillbench.demo.bench_tests import fill_bench_tests
from hillbench.demo.builds import fill_builds
from hillbench.demo.cars import CARS, CASTINGS, CarPlan, Round
from hillbench.demo.draw_car import draw_car
from hillbench.demo.draw_plan import draw_plan
from hillbench.demo.dress import dress_demo
from hillbench.demo.forecasts import fill_forecasts
from hillbench.demo.gates import gate_times
from hillbench.demo.hills import HILLS, Hill
from hillbench.demo.race_day import fill_meets
from hillbench.demo.season import OUTINGS, Outing, run_outing
from hillbench.demo.sides import SIDES
from hillbench.demo.weights import fill_weights
from hillbench.records import (
    about_store,
    car_store,
    casting_store,
    outing_store,
    photo_store,
    reading_store,
    removal,
    run_store,
    track_store,
    weighing_store,
)
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import Kind, RunNote, TimedBy, TrackRecord
from hillbench.records.outing_entities import Conditions
from hillbench.records.outing_entities import Outing as BegunOuting
from hillbench.records.photo_files import PhotoFile, store_photo_file
from hillbench.records.photo_store import Subject
from hillbench.records.track_store import TrackState
from hillbench.timing.run_order import run_order
from hillbench.usecases.plan_outing import plan_outing
from hillbench.usecases.set_scene import scene_in

_SCALE_STEP_G: Final = 0.01
_SCALE_SCATTER_G: Final = 0.012
_STEPS: Final = {"mm": 0.1, "_g": 0.01, "m2": 0.1, "mn": 0.1}
"""Smallest step of the instrument by the end of the quantity's name."""

_EVENING_HOUR: Final = 18
_ROUND_TAKES_S: Final = 600
_OUTING_BEGINS_S: Final = 3600
_TIMER_UNCERTAINTY_S: Final = 0.0003  # a timer that tells thousandths


def fill_demo(book: BenchBook, seed: int, now: datetime) -> None:
    """Fill an empty bench book with the invented club and mark it as invented.

    Parameters
    ----------
    seed
        Seed of the scatter of readings and times; the same seed and `now` give the same bench.
    now
        Present moment, UTC; the season ended the day before.
    """
    photos = {plan.name: store_photo_file(book.photo_folder, _portrait(plan)) for plan in CARS}
    plan_view = store_photo_file(book.photo_folder, draw_plan(HILLS[0].versions[-1][1].track))
    with book.write() as session:
        _Filler(session, np.random.default_rng(seed), now).fill(photos, plan_view)


def _portrait(plan: CarPlan) -> bytes:
    known = {name: value for round_ in plan.rounds for name, value in round_.readings.items()}
    wheel_mm = known.get("wheel_diameter_mm", 10.6)
    return draw_car(SIDES[plan.casting], known["wheelbase_mm"], wheel_mm, plan.paint, plan.trim)


class _Filler:
    """Fills one session day by day, so that each run sees the car and the track as they were."""

    def __init__(self, session: Session, rng: np.random.Generator, now: datetime) -> None:
        self._session = session
        self._rng = rng
        self._now = now.replace(minute=0, second=0, microsecond=0)
        self._car_ids: dict[str, int] = {}
        self._tracks: dict[str, TrackRecord] = {}

    def fill(self, photos: Mapping[str, PhotoFile], plan_view: PhotoFile) -> None:
        """Add everything in the order of time."""
        days: list[tuple[int, Callable[[], None]]] = []
        for hill in HILLS:
            days += [
                (ago, partial(self._keep_hill, hill, ago, state)) for ago, state in hill.versions
            ]
        for plan in CARS:
            days.append((plan.rounds[0].days_ago, partial(self._add_car, plan, photos[plan.name])))
            days += [
                (day.days_ago, partial(self._add_round, plan.name, day)) for day in plan.rounds
            ]
        days += [(outing.days_ago, partial(self._add_outing, outing)) for outing in OUTINGS]
        for _, act in sorted(days, key=lambda day: day[0], reverse=True):
            act()
        self._show_track(HILLS[0], plan_view)
        dress_demo(self._session, self._moment(6))
        self._make_mistakes()
        fill_weights(self._session, self._car_ids, self._now)
        fill_builds(self._session, self._car_ids, self._now)
        self._hold_meets()
        fill_bench_tests(self._session, self._car_ids, self._moment, self._rng)
        fill_forecasts(self._session, self._car_ids, self._tracks, self._moment)
        about_store.mark_invented(self._session)

    def _moment(self, days_ago: int, second: int = 0) -> datetime:
        evening = self._now - timedelta(days=days_ago)
        return evening.replace(hour=_EVENING_HOUR) + timedelta(seconds=second)

    def _keep_hill(self, hill: Hill, days_ago: int, state: TrackState) -> None:
        at, known = self._moment(days_ago), self._tracks.get(hill.name)
        if known is None:
            kept = track_store.add_track(self._session, hill.name, hill.note, state, at)
        else:
            kept = track_store.change_track(
                self._session, known.id, hill.name, hill.note, state, at
            )
        self._tracks[hill.name] = kept

    def _show_track(self, hill: Hill, file: PhotoFile) -> None:
        subject = Subject(Kind.TRACK, self._tracks[hill.name].id)
        at = self._moment(hill.versions[0][0])
        photo_store.add_photo(self._session, subject, file, f"{hill.name} from the gallery", at)

    def _add_car(self, plan: CarPlan, photo: PhotoFile) -> None:
        at = self._moment(plan.rounds[0].days_ago)
        casting = casting_store.find_casting_named(
            self._session, plan.casting
        ) or casting_store.add_casting(self._session, plan.casting, CASTINGS[plan.casting], at)
        car = car_store.add_car(self._session, casting.id, plan.name, plan.note, at)
        self._car_ids[plan.name] = car.id
        caption = f"{plan.name}, a {plan.casting}, on the bench"
        photo_store.add_photo(self._session, Subject(Kind.CAR, car.id), photo, caption, at)

    def _add_round(self, name: str, day: Round) -> None:
        car_id, at = self._car_ids[name], self._moment(day.days_ago, _ROUND_TAKES_S)
        car_store.touch_car(self._session, car_id, at)
        if day.mass_g is not None:
            self._weigh(car_id, day.mass_g, at, day.note)
        note = "" if day.mass_g is not None else day.note
        for quantity, value in day.readings.items():
            step = _STEPS.get(quantity[-2:])
            reading_store.add_reading(self._session, car_id, quantity, value, step, at, note)

    def _weigh(self, car_id: int, mass_g: float, at: datetime, note: str) -> int:
        count = int(self._rng.integers(3, 6))
        seen = self._rng.normal(mass_g, _SCALE_SCATTER_G, count)
        readings = [round(float(reading), 2) for reading in seen]
        return weighing_store.add_weighing(
            self._session, car_id, readings, _SCALE_STEP_G, at, note
        ).id

    def _add_outing(self, outing: Outing) -> None:
        hill = next(hill for hill in HILLS if hill.name == outing.hill)
        track = self._tracks[outing.hill]
        models = {name: self._model_run(track, name) for name in outing.cars}
        times_s = {name: model[0] for name, model in models.items()}
        turns = run_order(outing.cars, outing.rounds, lanes=hill.lanes)
        begun = self._begin(outing, hill, track)
        for run in run_outing(turns, times_s, hill.scatter_s, hill.lane_s, self._rng):
            at = self._moment(outing.days_ago, _OUTING_BEGINS_S + run.second)
            car_id = self._car_ids[run.car]
            car_store.touch_car(self._session, car_id, at)
            outing_store.add_outing_run(
                self._session,
                begun,
                car_id,
                run.finish_time_s,
                run.note,
                at,
                lane=str(run.lane) if hill.lanes > 1 else None,
                time_source=TimedBy.TIMER,
                time_uncertainty_s=_TIMER_UNCERTAINTY_S,
                gate_times_s=gate_times(models[run.car][1], models[run.car][0], run),
            )

    def _begin(self, outing: Outing, hill: Hill, track: TrackRecord) -> BegunOuting:
        conditions = Conditions(
            temperature_c=track.temperature_c,
            humidity_percent=outing.humidity_percent,
            surface_cleaned=outing.cleaned,
            lubricant_note=outing.lubricant_note,
        )
        return outing_store.add_outing(
            self._session,
            track.version_id,
            track.id,
            self._moment(outing.days_ago, _OUTING_BEGINS_S),
            plan_outing([self._car_ids[name] for name in outing.cars], hill.lanes),
            conditions=conditions,
        )

    def _time(
        self, track: TrackRecord, name: str, time_s: float | None, note: RunNote, at: datetime
    ) -> int:
        car_id = self._car_ids[name]
        car_store.touch_car(self._session, car_id, at)
        run = run_store.add_run(self._session, track.version_id, track.id, car_id, time_s, note, at)
        return run.id

    def _model_run(self, track: TrackRecord, name: str) -> tuple[float, tuple[float, ...]]:
        """Return finish time and gate times of a car without scatter, s."""
        from hillbench.coasting.run import coast  # loads the compiled kernels

        scene = scene_in(self._session, self._car_ids[name], track.id)
        car, losses = scene.description.car, scene.losses
        run = coast(track.track, car, losses, scene.surroundings)
        if run.finish_time_s is None:
            raise RuntimeError(f"{name} does not reach the finish of {track.name}")
        return run.finish_time_s, tuple(time_s for time_s in run.gate_times_s if time_s is not None)

    def _hold_meets(self) -> None:
        track_ids = {name: track.id for name, track in self._tracks.items()}
        fill_meets(self._session, self._car_ids, track_ids, self._now, self._rng)

    def _make_mistakes(self) -> None:
        """Add two entries that were made by mistake and removed, to show where they go."""
        at = self._moment(20)
        weighing = self._weigh(self._car_ids["Plank"], 57.31, at, "Weighed with its stand.")
        removal.remove(self._session, Kind.WEIGHING, weighing, at + timedelta(minutes=5))
        run = self._time(self._tracks[HILLS[0].name], "Plank", 1.004, RunNote.CLEAN, at)
        removal.remove(self._session, Kind.TIMED_RUN, run, at + timedelta(minutes=1))
