"""Meets run from beginning to end in memory, for the tests."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import asdict

import numpy as np

from hillbench.racing.meet_event import Draft, Event, EventKind
from hillbench.racing.meet_fold import fold
from hillbench.racing.meet_ranking import next_stage
from hillbench.racing.meet_state import MeetSettings, MeetState, Planned
from hillbench.racing.officiate import Told, tell
from hillbench.racing.redraw import draw_next_stage, first_draw
from hillbench.racing.staging import upcoming

Clock = Callable[[int, int], float]
"""Time of a car on a lane, s."""


class Journal:
    """A journal in memory."""

    def __init__(self, settings: MeetSettings, cars: int) -> None:
        self.events: list[Event] = []
        self.rng = np.random.default_rng(7)
        self.write(Draft(EventKind.SETTINGS, asdict(settings)))
        for car in range(1, cars + 1):
            self.write(Draft(EventKind.ENTERED, {"car": car, "name": f"Car {car}"}))

    @property
    def state(self) -> MeetState:
        return fold(self.events)

    def write(self, *drafts: Draft) -> None:
        first = len(self.events) + 1
        for seq, draft in enumerate(drafts, start=first):
            at_s = 60.0 * len(self.events)
            self.events.append(Event(seq, draft.kind, draft.payload, at_s, "Ada", first))

    def draw(self) -> None:
        self.write(first_draw(self.state, self.rng))

    def run_next(self, clock: Clock) -> Planned:
        heat = upcoming(self.state)[0]
        told = [Told(lane, clock(car, lane)) for lane, car in enumerate(heat.cars, start=1) if car]
        self.write(*tell(self.state, heat.number, told))
        return heat

    def run_all(self, clock: Clock) -> int:
        """Run what is left, final and ladder included; return how many heats that took."""
        count = 0
        while True:
            if upcoming(self.state):
                self.run_next(clock)
                count += 1
            elif next_stage(self.state):
                self.write(draw_next_stage(self.state, self.rng))
            else:
                return count


def by_number(car: int, _lane: int) -> float:
    """Return a time that grows with the number of the car, never twice the same."""
    return round(10.0 + 0.05 * car, 3)


def lane_counts(heats: Sequence[Sequence[int]], cars: Sequence[int], lanes: int) -> set[int]:
    """Return how often cars run on lanes, over all of both."""
    return {sum(heat[lane] == car for heat in heats) for car in cars for lane in range(lanes)}
