"""Check cavities and ballast plans that come from a file: what cannot be read is not taken over."""

from __future__ import annotations

import json
from collections.abc import Iterator

from hillbench.ballast.measured_cavity import MeasuredCavity, require_measured
from hillbench.ballast.plan import Plan
from hillbench.ballast.task import BallastTask
from hillbench.errors import InvalidInput, Problem
from hillbench.records.bench_file import BenchFile
from hillbench.usecases.question import read_question


def weight_problems(bench: BenchFile) -> Iterator[Problem]:
    """Yield what a page could not show of the cavities and plans in an exported bench."""
    for index, cavity in enumerate(bench.cavities):
        where = f"cavities[{index}].measured"
        try:
            require_measured(read_question(json.dumps(cavity.measured), MeasuredCavity))
        except InvalidInput as wrong:
            yield _first(where, wrong)
    for index, kept in enumerate(bench.ballast_plans):
        for name, stored, kind in (
            ("question", kept.question, BallastTask),
            ("plan", kept.plan, Plan),
        ):
            try:
                read_question(json.dumps(stored), kind)
            except InvalidInput as wrong:
                yield _first(f"ballast_plans[{index}].{name}", wrong)


def _first(where: str, wrong: InvalidInput) -> Problem:
    problem = wrong.problems[0]
    return Problem(f"{where}.{problem.where}", problem.seen, problem.allowed, problem.remedy)
