"""Predict a run: the time, where it goes, and what a change would buy."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hillbench.coasting.batch import coast_batch
from hillbench.coasting.car_batch import CarBatch
from hillbench.coasting.result import Run
from hillbench.coasting.run import coast
from hillbench.records.bench_book import BenchBook
from hillbench.usecases.list_changes import Proposal, list_proposals
from hillbench.usecases.set_scene import Scene, set_scene
from hillbench.usecases.tell_model import tell_notes
from hillbench.usecases.tell_run import tell_run


@dataclass(frozen=True, slots=True)
class Change:
    """What one change to a car or track would buy.

    Attributes
    ----------
    label
        The change in words (``5 g more``).
    detail
        What it is from and to.
    gain_s
        Time gained, s, negative where it costs time; None where one of the runs does not
        finish.
    """

    label: str
    detail: str
    gain_s: float | None


@dataclass(frozen=True, slots=True)
class Prediction:
    """A predicted run.

    Attributes
    ----------
    scene
        The car, the track, losses and surroundings.
    run
        The computed run.
    sentence
        The answer in one sentence.
    changes
        What changes would buy, most gained first.
    notes
        What this run shows that builders do not expect, in plain words.
    """

    scene: Scene
    run: Run
    sentence: str
    changes: tuple[Change, ...]
    notes: tuple[str, ...]


def predict_run(book: BenchBook, car_id: int, track_id: int) -> Prediction:
    """Predict the run of a car of the bench book on a track of the bench book.

    Raises
    ------
    NotFound
        If there is no such car or track.
    InvalidInput
        If the readings of the car do not fit each other, such as a CG outside the wheelbase.
    """
    scene = set_scene(book, car_id, track_id)
    run = coast(scene.track.track, scene.description.car, scene.losses, scene.surroundings)
    changes = weigh_changes(scene, list_proposals(scene))
    return Prediction(
        scene=scene,
        run=run,
        sentence=tell_run(run),
        changes=changes,
        notes=tell_notes(scene, run),
    )


def predict_time(book: BenchBook, car_id: int, track_id: int) -> Run:
    """Return the run alone, without what changes would buy."""
    scene = set_scene(book, car_id, track_id)
    return coast(scene.track.track, scene.description.car, scene.losses, scene.surroundings)


def weigh_changes(scene: Scene, proposals: Sequence[Proposal]) -> tuple[Change, ...]:
    """Return what each proposal would buy, most gained first, from one batch of runs."""
    cars = [scene.description.car, *(proposal.car for proposal in proposals)]
    losses = [scene.losses, *(proposal.losses for proposal in proposals)]
    times = coast_batch(scene.track.track, CarBatch.of(cars, losses), scene.surroundings)
    before = times.finish_time_s[0]
    changes = [
        Change(proposal.label, proposal.detail, gain if math.isfinite(gain) else None)
        for proposal, gain in zip(
            proposals, (before - times.finish_time_s[1:]).tolist(), strict=True
        )
    ]
    return tuple(sorted(changes, key=lambda change: -(change.gain_s or 0.0)))
