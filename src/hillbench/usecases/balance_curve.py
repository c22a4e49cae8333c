"""What the place of the centre of gravity costs on a hill, so that the hill chooses its window."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car import Car
from hillbench.coasting.car_batch import CarBatch
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.set_scene import Scene, set_scene

_SHARES: Final = tuple(step / 100.0 for step in range(20, 81, 2))
"""Places that are tried: an axle with less than a fifth of the weight steers badly; common
practice, no source."""

WORTH_S: Final = 0.003
"""Seconds below which a difference of place is not worth the work, s."""


@dataclass(frozen=True, slots=True)
class BalanceCurve:
    """Seconds against the place of the centre of gravity.

    Attributes
    ----------
    track_id, track_name
        The hill.
    mass_g, cg_height_mm, wheelbase_mm
        Of the car that was run, g and mm.
    shares
        Places, as shares of the wheelbase ahead of the rear axle.
    times_s
        Time at each place, s; None where the car does not finish.
    best_share, best_s
        The fastest place and its time; None where the car never finishes.
    window
        The places no more than `WORTH_S` behind it, as shares.
    sentence
        What it says.
    """

    track_id: int
    track_name: str
    mass_g: float
    cg_height_mm: float
    wheelbase_mm: float
    shares: tuple[float, ...]
    times_s: tuple[float | None, ...]
    best_share: float | None
    best_s: float | None
    window: tuple[float, float] | None
    sentence: str

    def time_at_s(self, share: float) -> float | None:
        """Return the time at a place, straight between the places that were run, s."""
        known = [
            (at, time)
            for at, time in zip(self.shares, self.times_s, strict=True)
            if time is not None
        ]
        if len(known) < 2 or not known[0][0] <= share <= known[-1][0]:
            return None
        places, times = zip(*known, strict=True)
        return float(np.interp(share, places, times))


def balance_curve(
    book: BenchBook,
    car_id: int,
    track_id: int,
    *,
    mass_g: float | None = None,
    cg_height_mm: float | None = None,
) -> BalanceCurve:
    """Return what the place of the centre of gravity costs a car on a track.

    Parameters
    ----------
    book
        The bench book.
    car_id, track_id
        Which car on which hill.
    mass_g, cg_height_mm
        Of the finished car; as it is now by default, g and mm.

    Raises
    ------
    NotFound
        If there is no such car or track.
    """
    scene = set_scene(book, car_id, track_id)
    car = replace(
        scene.description.car,
        mass_g=scene.description.car.mass_g if mass_g is None else mass_g,
        cg_height_mm=scene.description.car.cg_height_mm if cg_height_mm is None else cg_height_mm,
    )
    return curve_on(scene, car)


def curve_on(scene: Scene, car: Car) -> BalanceCurve:
    """Return the curve of one car in a scene: all places are run in one batch."""
    places_mm = np.array(_SHARES) * car.wheelbase_mm
    batch = CarBatch.repeat(car, scene.losses, len(_SHARES), cg_ahead_of_rear_axle_mm=places_mm)
    result = coast_batch(scene.track.track, batch, scene.surroundings)
    times = tuple(
        float(time) if math.isfinite(time) else None for time in result.finish_time_s.tolist()
    )
    finished = [(time, share) for time, share in zip(times, _SHARES, strict=True) if time]
    best_s, best_share = min(finished, default=(None, None))
    window = _window(times, best_s)
    return BalanceCurve(
        track_id=scene.track.id,
        track_name=scene.track.name,
        mass_g=car.mass_g,
        cg_height_mm=car.cg_height_mm,
        wheelbase_mm=car.wheelbase_mm,
        shares=_SHARES,
        times_s=times,
        best_share=best_share,
        best_s=best_s,
        window=window,
        sentence=_tell(scene.track.name, times, window),
    )


def _window(times: tuple[float | None, ...], best_s: float | None) -> tuple[float, float] | None:
    if best_s is None:
        return None
    near = [
        share
        for time, share in zip(times, _SHARES, strict=True)
        if time is not None and time <= best_s + WORTH_S
    ]
    return near[0], near[-1]


def _tell(track: str, times: tuple[float | None, ...], window: tuple[float, float] | None) -> str:
    finished = [time for time in times if time is not None]
    if not finished or window is None:
        return f"On {track} this car reaches the finish with its weight nowhere."
    spread = max(finished) - min(finished)
    open_ends = len(finished) < len(times)
    lifts = " Where the line ends the car lifts off or stalls." if open_ends else ""
    if spread < WORTH_S:
        return f"On {track} the place makes no difference worth the work: {spread:.3f} s.{lifts}"
    low, high = (round(100 * share) for share in window)
    best = f"{low}\N{NO-BREAK SPACE}%" if low == high else f"{low} to {high}\N{NO-BREAK SPACE}%"
    return (
        f"On {track} {best} of the wheelbase ahead of the rear axle is fastest; the worst place "
        f"costs {spread:.3f} s.{lifts}"
    )
