"""The hill on which a car runs: what friction and rolling are worth there, in seconds."""

from __future__ import annotations

import dataclasses
import math
from dataclasses import dataclass
from typing import Final

from sqlalchemy.orm import Session

from hillbench.coasting.losses import LOSS_RANGES, Losses
from hillbench.records import outing_store, run_store, track_store
from hillbench.usecases.set_scene import Scene, scene_in

_STEP: Final = 0.1
_LATEST_RUNS: Final = 200
_MOST_HILLS: Final = 6


@dataclass(frozen=True, slots=True)
class HillOfCar:
    """A car on a hill.

    Attributes
    ----------
    scene
        The car on the track.
    track_id, track_name
        The track.
    matters_s
        What mattered in its latest outing there, s; None where nobody said.
    """

    scene: Scene
    track_id: int
    track_name: str
    matters_s: float | None


def hill_of_car(session: Session, car_id: int) -> HillOfCar | None:
    """Return the hill that asks most for free wheels; None where the car finishes on none.

    Of those on which the car ran lately; of all in use where it ran on none.
    """
    in_use = {track.id for track in track_store.list_tracks(session)}
    runs = run_store.list_runs(session, car_id=car_id, limit=_LATEST_RUNS)
    ran_on = list(dict.fromkeys(run.track_id for run in runs))
    track_ids = [track_id for track_id in ran_on if track_id in in_use] or sorted(in_use)
    best, worth_s = None, 0.0
    for track_id in track_ids[:_MOST_HILLS]:
        hill = _hill(session, car_id, track_id)
        friction = hill.scene.losses.bearing_friction
        per_log = seconds_per_log_friction(hill, friction) if friction > 0.0 else None
        if per_log is not None and per_log > worth_s:
            best, worth_s = hill, per_log
    return best


def _hill(session: Session, car_id: int, track_id: int) -> HillOfCar:
    scene = scene_in(session, car_id, track_id)
    outings = outing_store.list_outings(session, track_id=track_id, car_id=car_id, limit=20)
    said = [one.matters_s for one in outings if one.matters_s is not None]
    return HillOfCar(scene, track_id, scene.track.name, said[0] if said else None)


def time_on_hill(hill: HillOfCar, **losses: float) -> float | None:
    """Return the time of a car with some losses replaced, s; None where it does not finish."""
    from hillbench.coasting.run import coast  # loads the compiled kernels

    scene = hill.scene
    changed: Losses = dataclasses.replace(scene.losses, **losses)
    run = coast(scene.track.track, scene.description.car, changed, scene.surroundings)
    return run.finish_time_s


def seconds_per_log_friction(hill: HillOfCar, bearing_friction: float) -> float | None:
    """Return what the logarithm of the bearing friction is worth, s; None where it cannot be told.

    Parameters
    ----------
    hill
        The car on its hill.
    bearing_friction
        Friction about which it is taken.

    Notes
    -----
    Half the difference of two computed runs with 10 % more and less, over ln 1.1.
    """
    most = LOSS_RANGES["bearing_friction"][1]
    high, low = min(bearing_friction * (1.0 + _STEP), most), bearing_friction / (1.0 + _STEP)
    slow, fast = (time_on_hill(hill, bearing_friction=friction) for friction in (high, low))
    if slow is None or fast is None:
        return None
    return (slow - fast) / math.log(high / low)
