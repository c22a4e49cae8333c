"""The invented ballast plans are what the planner says to the questions of the demo."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from hillbench.ballast.audit import faults
from hillbench.ballast.measured_cavity import require_measured
from hillbench.ballast.plan import Plan
from hillbench.demo.cars import CASTINGS
from hillbench.demo.stock import fill_drawer
from hillbench.demo.weights import CAVITIES, PLANS_FILE, QUESTIONS
from hillbench.records.bench_book import BenchBook
from hillbench.records.drawer_entities import ItemKind
from hillbench.records.drawer_store import list_items
from hillbench.usecases.keep_cavity import require_room
from hillbench.usecases.question import read_question
from hillbench.web.ballast_entry import piece_of
from tests.usecases.bench import NOW

ANSWERS = json.loads(PLANS_FILE.read_text(encoding="utf-8"))


def test_every_cavity_belongs_to_a_casting_and_has_room() -> None:
    assert set(CAVITIES) <= set(CASTINGS)
    for measured in CAVITIES.values():
        assert require_room(require_measured(measured)).volume_cm3 > 2.0


@pytest.mark.parametrize("number", range(len(QUESTIONS)))
def test_a_plan_answers_its_question(number: int) -> None:
    """Checked without the search: every piece in its place, in continuous geometry."""
    question, answer = QUESTIONS[number], ANSWERS[number]
    task, told = question.task(), answer["answer"]
    plan = read_question(json.dumps(answer["plan"]), Plan)
    assert faults(task, plan) == ()
    assert told["total_g"] == plan.total_g
    target_g = task.limit_g - task.scale_guard_g
    short_g = told["levels"][0]["value"]
    assert math.isclose(target_g - plan.total_g, short_g, abs_tol=0.011)
    assert (told["why_not"] is None) == (short_g == 0.0)
    assert told["steps"][-1]["scale_reads_g"] == pytest.approx(plan.total_g, abs=0.002)


def test_one_plan_is_chosen_and_one_shows_why_not() -> None:
    assert len(ANSWERS) == len(QUESTIONS)
    assert [question.chosen for question in QUESTIONS].count(True) == 1
    remedies = [one["text"] for answer in ANSWERS for one in answer["answer"]["remedies"]]
    assert any("rear seat" in text for text in remedies)


def test_pieces_of_the_plans_lie_in_the_drawer(tmp_path: Path) -> None:
    with BenchBook.open(tmp_path) as book:
        with book.write() as session:
            fill_drawer(session, NOW)
        with book.read() as session:
            items = {one.name: one for one in list_items(session, ItemKind.BALLAST_PIECE)}
    for piece in {piece for question in QUESTIONS for piece in question.wish.stock}:
        assert piece_of(items[piece.name], piece.count) == piece
