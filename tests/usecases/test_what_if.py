from __future__ import annotations

from pathlib import Path

import pytest

from hillbench.coasting.result import Status
from hillbench.errors import InvalidInput
from hillbench.usecases.what_if import Tweak, what_if
from tests.usecases.bench import small_bench


def test_nothing_changed_makes_no_difference(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, track_id):
        answer = what_if(book, car_id, track_id, Tweak())
    assert answer.gain_s == 0.0
    assert answer.sentence.startswith("No difference")


def test_each_slider_starts_where_the_car_is(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, track_id):
        answer = what_if(book, car_id, track_id, Tweak())
    car, losses = answer.scene.description.car, answer.scene.losses
    assert answer.ranges["mass_g"].now == car.mass_g
    assert answer.ranges["wall_friction"].now == losses.wall_friction
    for span in answer.ranges.values():
        assert span.least < span.now < span.most


def test_smoother_walls_are_told_as_faster(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, track_id):
        answer = what_if(book, car_id, track_id, Tweak(wall_friction=0.0))
    assert answer.gain_s is not None
    assert answer.gain_s > 0.05
    assert " faster: " in answer.sentence
    assert answer.after.energy.walls == 0.0


def test_a_tweak_that_stalls_the_car_says_where(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, track_id):
        answer = what_if(book, car_id, track_id, Tweak(bearing_friction=1.9))
    assert answer.after.status is Status.STALLED
    assert answer.gain_s is None
    assert answer.sentence.startswith("The car stalls")


def test_a_tweak_out_of_range_is_refused(tmp_path: Path) -> None:
    wrong = pytest.raises(InvalidInput, match="mass_g is 5000 g")
    with small_bench(tmp_path) as (book, car_id, track_id), wrong:
        what_if(book, car_id, track_id, Tweak(mass_g=5000.0))
