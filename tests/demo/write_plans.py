"""Write the planner's answers to the demo's questions: ``python -m tests.demo.write_plans``."""

from __future__ import annotations

import dataclasses
import json
import sys
import time

from hillbench.demo.weights import PLANS_FILE, QUESTIONS
from hillbench.usecases.plan_ballast import answer_of, plan_ballast, tell_plan


def main() -> None:
    """Ask the planner and write what it says."""
    answers = []
    for question in QUESTIONS:
        planned = plan_ballast(question.task(), now=time.monotonic, limit_s=120.0)
        sentence = tell_plan(planned)
        sys.stdout.write(f"{question.car}, {question.name}: {sentence}\n")
        answer = dataclasses.asdict(answer_of(planned)) | {"sentence": sentence}
        answers.append({"plan": dataclasses.asdict(planned.plan), "answer": answer})
    text = json.dumps(answers, ensure_ascii=False, indent=1)
    PLANS_FILE.write_text(f"{text}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
