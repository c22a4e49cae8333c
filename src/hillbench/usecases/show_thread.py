"""Show what a screw in a post comes to: the answer, in words, and what it is drawn from."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.fastening.options import rate
from hillbench.usecases.choose_thread import answer_thread, bow_of
from hillbench.usecases.tell_thread import advice_by_step, tell_thread
from hillbench.usecases.thread_answer import ThreadAnswer
from hillbench.usecases.thread_question import ThreadCase, ThreadQuestion, read_thread_question


@dataclass(frozen=True, slots=True)
class ShownThread:
    """A screw in a post, ready to be shown.

    Attributes
    ----------
    case
        The question as read; a picture is drawn from it.
    answer
        Every number of the answer.
    sentence
        The answer in one sentence.
    advice
        What to do and to mind, a paragraph for each step.
    """

    case: ThreadCase
    answer: ThreadAnswer
    sentence: str
    advice: tuple[str, ...]


def show_thread(question: ThreadQuestion) -> ShownThread:
    """Return what a screw in a post comes to; raises `InvalidInput` with every problem."""
    case = read_thread_question(question)
    rating = rate(case.option, case.setting)
    return ShownThread(
        case,
        answer_thread(case),
        tell_thread(case, rating),
        advice_by_step(case, rating, bow_of(case, rating)),
    )
