"""JSON Schemas of the files that other programs may rely on.

`python -m tests.reference.schemas` writes them into docs/reference.
"""

from __future__ import annotations

import json
from pathlib import Path

from pydantic import TypeAdapter

from hillbench.ballast.task import BallastTask
from hillbench.records.bench_file import BenchFile
from hillbench.usecases.advise_file import AdviceAnswer, AdviceQuestion
from hillbench.usecases.coast_file import CoastAnswer, CoastQuestion
from hillbench.usecases.compare_file import CompareAnswer
from hillbench.usecases.decal_answer import DecalAnswer
from hillbench.usecases.decal_question import DecalQuestion
from hillbench.usecases.draw_heats import HeatsAnswer
from hillbench.usecases.fit_file import FitAnswer, FitQuestion
from hillbench.usecases.gain_file import GainAnswer
from hillbench.usecases.order_file import OrderAnswer
from hillbench.usecases.plan_ballast import BallastAnswer
from hillbench.usecases.question import model_of
from hillbench.usecases.results_file import ResultsAnswer
from hillbench.usecases.roll_file import RollAnswer, RollQuestion
from hillbench.usecases.spin_file import SpinAnswer, SpinQuestion
from hillbench.usecases.study_formats import FormatsAnswer
from hillbench.usecases.thread_answer import ThreadAnswer

FOLDER = Path(__file__).parents[2] / "docs" / "reference"


def schemas() -> dict[str, str]:
    """Return the text of each schema by file name."""
    found = {
        "coast-question.schema.json": model_of(CoastQuestion).model_json_schema(),
        "coast-answer.schema.json": TypeAdapter(CoastAnswer).json_schema(mode="serialization"),
        "compare-answer.schema.json": TypeAdapter(CompareAnswer).json_schema(mode="serialization"),
        "gain-answer.schema.json": TypeAdapter(GainAnswer).json_schema(mode="serialization"),
        "order-answer.schema.json": TypeAdapter(OrderAnswer).json_schema(mode="serialization"),
        "heats-answer.schema.json": TypeAdapter(HeatsAnswer).json_schema(mode="serialization"),
        "formats-answer.schema.json": TypeAdapter(FormatsAnswer).json_schema(mode="serialization"),
        "results-answer.schema.json": TypeAdapter(ResultsAnswer).json_schema(mode="serialization"),
        "thread-answer.schema.json": TypeAdapter(ThreadAnswer).json_schema(mode="serialization"),
        "fit-question.schema.json": model_of(FitQuestion).model_json_schema(),
        "fit-answer.schema.json": TypeAdapter(FitAnswer).json_schema(mode="serialization"),
        "spin-question.schema.json": model_of(SpinQuestion).model_json_schema(),
        "spin-answer.schema.json": TypeAdapter(SpinAnswer).json_schema(mode="serialization"),
        "roll-question.schema.json": model_of(RollQuestion).model_json_schema(),
        "roll-answer.schema.json": TypeAdapter(RollAnswer).json_schema(mode="serialization"),
        "advise-question.schema.json": model_of(AdviceQuestion).model_json_schema(),
        "advise-answer.schema.json": TypeAdapter(AdviceAnswer).json_schema(mode="serialization"),
        "ballast-question.schema.json": model_of(BallastTask).model_json_schema(),
        "ballast-answer.schema.json": TypeAdapter(BallastAnswer).json_schema(mode="serialization"),
        "decals-question.schema.json": model_of(DecalQuestion).model_json_schema(),
        "decals-answer.schema.json": TypeAdapter(DecalAnswer).json_schema(mode="serialization"),
        "bench-export.schema.json": BenchFile.model_json_schema(),
    }
    draft = "https://json-schema.org/draft/2020-12/schema"
    return {
        name: json.dumps({"$schema": draft, **schema}, indent=2, ensure_ascii=False) + "\n"
        for name, schema in found.items()
    }


if __name__ == "__main__":
    for name, text in schemas().items():
        (FOLDER / name).write_text(text, encoding="utf-8")
