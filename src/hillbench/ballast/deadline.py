"""How long a search may go on: passed in, since this package knows no clock."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


def _for_ever() -> float:
    return math.inf


def _never() -> bool:
    return False


@dataclass(frozen=True, slots=True)
class Deadline:
    """When to stop.

    Attributes
    ----------
    remaining_s
        Returns the time that is left, s. Called from several threads.
    cancelled
        Returns whether to stop at once. Called from several threads.
    effort
        Most deterministic effort of one question to the solver; infinite by default.
    workers
        Threads of one question to the solver.
    """

    remaining_s: Callable[[], float] = _for_ever
    cancelled: Callable[[], bool] = _never
    effort: float = math.inf
    workers: int = 1
    _running: list[cp_model.CpSolver] = field(default_factory=list, repr=False)

    @property
    def is_over(self) -> bool:
        """Whether to stop now."""
        return self.cancelled() or self.remaining_s() <= 0.0

    def cut_by(self, over: Callable[[], bool]) -> Deadline:
        """Return the same deadline that also ends when `over` says so."""
        return replace(self, cancelled=lambda: over() or self.cancelled(), _running=[])

    def stop(self) -> None:
        """Stop the searches that run under this deadline."""
        for solver in list(self._running):
            solver.stop_search()

    def new_solver(self) -> cp_model.CpSolver:
        """Return a solver that stops in time."""
        from ortools.sat.python import cp_model

        solver = cp_model.CpSolver()
        parameters: Any = solver.parameters
        parameters.num_workers = self.workers
        parameters.random_seed = 1
        left_s = self.remaining_s()
        if math.isfinite(left_s):
            parameters.max_time_in_seconds = max(left_s, 0.001)
        if math.isfinite(self.effort):
            parameters.max_deterministic_time = self.effort
        return solver

    def solve(
        self,
        solver: cp_model.CpSolver,
        model: cp_model.CpModel,
        callback: cp_model.CpSolverSolutionCallback | None = None,
    ) -> Any:  # noqa: ANN401 (the status type of the solver is private)
        """Solve a model so that `stop` reaches it, and return the solver's status."""
        self._running.append(solver)
        try:
            return solver.solve(model, callback)
        finally:
            self._running.remove(solver)
