"""Searches for ballast plans: they run on while the page is left, and stop with what they have."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from threading import BoundedSemaphore, Event, Lock, Thread
from typing import Final

from hillbench.ballast.aims import Level
from hillbench.ballast.plan import Plan
from hillbench.ballast.task import BallastTask
from hillbench.errors import HillbenchError, InvalidInput

AT_ONCE: Final = 1
"""Searches that run at the same time: each keeps two cores busy."""

PATIENCE_S: Final = 1.2
"""How long a page waits for a plan before it shows how far the search is."""

MOST_KEPT: Final = 24


class SearchState(StrEnum):
    """How a search stands."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class Improvement:
    """One better plan on the way.

    Attributes
    ----------
    after_s
        How long after the question, s.
    plan
        The plan.
    """

    after_s: float
    plan: Plan


@dataclass
class Search:
    """One search that is waiting, running or over.

    Attributes
    ----------
    key
        Names the question; the same key asks for the same search.
    car_id
        The car.
    title
        What is sought, in words.
    task
        What is asked.
    state
        How it stands.
    improvements
        Plans in the order found, each better than the one before.
    proven
        Aims that no plan can better.
    plan_id
        The plan that was kept at the end; 0 before.
    sentences
        Why it failed, a sentence each.
    """

    key: str
    car_id: int
    title: str
    task: BallastTask
    state: SearchState = SearchState.WAITING
    improvements: list[Improvement] = field(default_factory=list)
    proven: list[Level] = field(default_factory=list)
    plan_id: int = 0
    sentences: tuple[str, ...] = ()
    begun: float = field(default_factory=time.monotonic)
    stop: Event = field(default_factory=Event)
    over: Event = field(default_factory=Event)

    @property
    def is_open(self) -> bool:
        """Whether it is waiting or running."""
        return not self.over.is_set()

    @property
    def elapsed_s(self) -> float:
        """Time since it was asked for, s."""
        return time.monotonic() - self.begun

    def improve(self, plan: Plan) -> None:
        """Note a better plan; called from the threads of the search."""
        self.improvements.append(Improvement(self.elapsed_s, plan))


Work = Callable[[Search], int]
"""Searches, keeps the plan and returns its number."""


class Searches:
    """The searches of this process; any thread may ask."""

    def __init__(self) -> None:
        self._lock: Final = Lock()
        self._turn: Final = BoundedSemaphore(AT_ONCE)
        self._known: Final[OrderedDict[str, Search]] = OrderedDict()

    def ask(self, search: Search, work: Work, patience_s: float = PATIENCE_S) -> Search:
        """Return the search of that key, begun unless it is open, after waiting a little."""
        with self._lock:
            known = self._known.get(search.key)
            if known is None or not known.is_open:
                known = search
                self._known[search.key] = search
                self._known.move_to_end(search.key)
                self._forget_old()
                Thread(target=self._run, args=(search, work), daemon=True).start()
        known.over.wait(patience_s)
        return known

    def find(self, key: str) -> Search | None:
        """Return the search of a key, None where there is none."""
        with self._lock:
            return self._known.get(key)

    def open_for(self, car_id: int) -> tuple[Search, ...]:
        """Return the searches for a car that are not over."""
        with self._lock:
            return tuple(
                one for one in self._known.values() if one.car_id == car_id and one.is_open
            )

    def close(self) -> None:
        """Stop all searches; what they found so far is kept."""
        with self._lock:
            for search in self._known.values():
                search.stop.set()

    def _forget_old(self) -> None:
        over = [key for key, one in self._known.items() if not one.is_open]
        for key in over[: max(len(self._known) - MOST_KEPT, 0)]:
            del self._known[key]

    def _run(self, search: Search, work: Work) -> None:
        try:
            with self._turn:
                search.state = SearchState.RUNNING
                search.plan_id = work(search)
            search.state = SearchState.DONE
        except InvalidInput as wrong:
            search.sentences = tuple(problem.sentence() for problem in wrong.problems)
            search.state = SearchState.FAILED
        except HillbenchError as error:
            search.sentences = (str(error),)
            search.state = SearchState.FAILED
        except Exception:
            search.sentences = (
                "The search failed for a reason that nobody foresaw; nothing was changed.",
            )
            search.state = SearchState.FAILED
            raise
        finally:
            search.over.set()
