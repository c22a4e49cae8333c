from __future__ import annotations

from pathlib import Path

import pytest

from hillbench.coasting.surroundings import air_density, gravity_at_latitude
from hillbench.errors import InvalidInput, NotFound
from hillbench.records.track_store import TrackState
from hillbench.usecases.describe_car import Source, describe_car
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.predict_run import predict_run, predict_time
from hillbench.usecases.save_track import save_track
from hillbench.usecases.set_scene import set_scene
from hillbench.usecases.weigh_car import weigh_car
from tests.coasting.hill import WINDING
from tests.usecases.bench import NOW, small_bench


def test_a_car_nobody_measured_is_described_by_assumptions_alone(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, _):
        description = describe_car(book, car_id)
    assert set(description.sources.values()) == {Source.ASSUMED}
    assert description.mass is None


def test_what_was_measured_takes_the_place_of_the_assumption(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, _):
        weigh_car(book, car_id, [36.2, 36.4], 0.1, NOW)
        measure_car(book, car_id, {"wheelbase_mm": 45.5, "bearing_friction": 0.15}, NOW)
        description = describe_car(book, car_id)
    assert description.car.mass_g == pytest.approx(36.3)
    assert description.car.wheelbase_mm == 45.5
    assert description.bearing_friction == 0.15
    measured = {name for name, source in description.sources.items() if source is Source.MEASURED}
    assert measured == {"mass_g", "wheelbase_mm", "bearing_friction"}
    assert set(description.assumed()) == set(description.sources) - measured


def test_an_unmeasured_cg_moves_with_the_wheelbase(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, _):
        share = describe_car(book, car_id).car
        measure_car(book, car_id, {"wheelbase_mm": 20.0}, NOW)
        short = describe_car(book, car_id).car
    usual = share.cg_ahead_of_rear_axle_mm / share.wheelbase_mm
    assert short.cg_ahead_of_rear_axle_mm == pytest.approx(20.0 * usual, abs=0.1)


def test_losses_come_from_the_car_and_from_the_track(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, track_id):
        measure_car(book, car_id, {"bearing_friction": 0.11, "steady_drag_mn": 0.9}, NOW)
        losses = set_scene(book, car_id, track_id).losses
    assert (losses.bearing_friction, losses.steady_drag_mn) == (0.11, 0.9)
    assert (losses.rolling_resistance, losses.wall_friction) == (0.008, 0.2)


def test_place_and_warmth_set_gravity_and_air(tmp_path: Path) -> None:
    state = TrackState(WINDING, 0.008, 0.2, 60.0, 0.0, 5.0)
    with small_bench(tmp_path) as (book, car_id, _):
        track = save_track(book, "North yard", "", state, NOW)
        surroundings = set_scene(book, car_id, track.id).surroundings
    assert surroundings.gravity_m_s2 == gravity_at_latitude(60.0)
    assert surroundings.air_density_kg_m3 == pytest.approx(air_density(5.0), rel=1e-12)


def test_air_thins_with_altitude_as_in_the_standard_atmosphere(tmp_path: Path) -> None:
    """ISO 2533:1975 gives 898.76 hPa at 1000 m (table value, from memory)."""
    state = TrackState(WINDING, 0.008, 0.2, None, 1000.0, 15.0)
    with small_bench(tmp_path) as (book, car_id, _):
        track = save_track(book, "High meadow", "", state, NOW)
        surroundings = set_scene(book, car_id, track.id).surroundings
    assert surroundings.air_density_kg_m3 == pytest.approx(air_density(15.0, 898.76), rel=2e-4)


def test_prediction_ranks_changes_and_agrees_with_the_run_alone(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, track_id):
        prediction = predict_run(book, car_id, track_id)
        alone = predict_time(book, car_id, track_id)
    assert prediction.run.finish_time_s == alone.finish_time_s
    gains = [change.gain_s for change in prediction.changes]
    assert None not in gains
    assert gains == sorted(gains, key=lambda gain: -(gain or 0.0))
    by_label = {change.label: change.gain_s for change in prediction.changes}
    assert (by_label["Walls a quarter smoother"] or 0.0) > 0.0
    assert (by_label["Bearings a quarter freer"] or 0.0) > 0.0


def test_notes_are_borne_out_by_the_numbers_of_the_run(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, track_id):
        prediction = predict_run(book, car_id, track_id)
        measure_car(book, car_id, {"bearing_friction": 3.0e-3, "drag_area_cm2": 40.0}, NOW)
        slippery = predict_run(book, car_id, track_id)
    losses = prediction.run.energy.losses()
    says_walls = any("into the walls" in note for note in prediction.notes)
    assert says_walls == (losses["walls"] > 0.4 * sum(losses.values()))
    assert any("Bearings pay more than weight" in note for note in prediction.notes)
    # A blunt car on free bearings is slowed by the air: there weight pays more than bearings.
    assert not any("Bearings pay more than weight" in note for note in slippery.notes)


def test_readings_that_do_not_fit_an_assumption_are_told(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, track_id):
        measure_car(book, car_id, {"cg_ahead_of_rear_axle_mm": 60.0}, NOW)
        with pytest.raises(InvalidInput, match="wheelbase"):
            predict_run(book, car_id, track_id)


def test_a_car_or_track_that_is_not_there_is_told(tmp_path: Path) -> None:
    with small_bench(tmp_path) as (book, car_id, track_id):
        with pytest.raises(NotFound, match="no track"):
            predict_run(book, car_id, track_id + 1)
        with pytest.raises(NotFound, match="no car"):
            predict_run(book, car_id + 1, track_id)
