"""Set the scene of a run: one car on one track, with the losses and the surroundings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sqlalchemy.orm import Session

from hillbench.coasting.losses import Losses
from hillbench.coasting.surroundings import Surroundings, air_density, gravity_at_latitude
from hillbench.records import track_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.entities import TrackRecord
from hillbench.usecases.describe_car import CarDescription, describe_in

_SEA_LEVEL_HPA: Final = 1013.25
_PRESSURE_SCALE_M: Final = 44330.8
_PRESSURE_POWER: Final = 5.25588


@dataclass(frozen=True, slots=True)
class Scene:
    """A car on a track, ready to be run.

    Attributes
    ----------
    description
        The car, and what of it was measured.
    track
        The track in its newest version.
    losses
        Bearings and steady drag of the car, rolling and walls of the track.
    surroundings
        Gravity and air there.
    """

    description: CarDescription
    track: TrackRecord
    losses: Losses
    surroundings: Surroundings


def set_scene(book: BenchBook, car_id: int, track_id: int) -> Scene:
    """Return a car and a track of the bench book ready to be run.

    Raises
    ------
    NotFound
        If there is no such car or track.
    """
    with book.read() as session:
        return scene_in(session, car_id, track_id)


def scene_in(session: Session, car_id: int, track_id: int) -> Scene:
    """Return a car and a track ready to be run, read in a session that is open already."""
    description = describe_in(session, car_id)
    track = track_store.find_track(session, track_id)
    return Scene(
        description=description,
        track=track,
        losses=Losses(
            bearing_friction=description.bearing_friction,
            rolling_resistance=track.rolling_resistance,
            steady_drag_mn=description.steady_drag_mn,
            wall_friction=track.wall_friction,
            bearing_load_exponent=description.bearing_load_exponent,
        ),
        surroundings=surroundings_of(track),
    )


def surroundings_of(track: TrackRecord) -> Surroundings:
    """Return gravity and air at a track; standard values for what is not known.

    Notes
    -----
    Pressure falls with altitude as in the standard atmosphere, p = p0 (1 - z / 44330.8 m) ^
    5.25588 (ISO 2533:1975, troposphere); weather moves the true pressure by about 2 %.
    """
    standard = Surroundings()
    altitude = track.altitude_m or 0.0
    gravity = standard.gravity_m_s2
    if track.latitude_deg is not None:
        gravity = gravity_at_latitude(track.latitude_deg, altitude)
    density = standard.air_density_kg_m3
    if track.temperature_c is not None or track.altitude_m is not None:
        pressure = _SEA_LEVEL_HPA * (1.0 - altitude / _PRESSURE_SCALE_M) ** _PRESSURE_POWER
        warmth = 20.0 if track.temperature_c is None else track.temperature_c
        density = air_density(warmth, pressure)
    return Surroundings(air_density_kg_m3=density, gravity_m_s2=gravity)
