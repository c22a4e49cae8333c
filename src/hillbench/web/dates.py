"""Days as they are typed into forms."""

from __future__ import annotations

from datetime import date

from hillbench.errors import Problem
from hillbench.web.typed import Answers


def read_day(answers: Answers, name: str, *, required: bool = False) -> date | None:
    """Return a day of a form; None where it was left empty or is none, with a problem.

    Parameters
    ----------
    answers
        The form.
    name
        Name of the field.
    required
        Whether leaving it empty is a problem.
    """
    text = answers.text(name).strip()
    if not text:
        if required:
            answers.problems.append(Problem(name, "empty", "a day such as 2026-05-30"))
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        answers.problems.append(Problem(name, repr(text), "a day such as 2026-05-30"))
        return None
