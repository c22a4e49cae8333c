"""What can go wrong, each told in one sentence a builder can act on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


class HillbenchError(Exception):
    """Base of every error that Hillbench raises on purpose."""


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with what was entered.

    Attributes
    ----------
    where
        Path of the field, as in the file or form (``car.mass_g``).
    seen
        The value seen, as it is to be shown.
    allowed
        What is allowed there, as a clause (``between 1 and 1000 g``).
    remedy
        What to do about it, as a clause; may be empty.
    """

    where: str
    seen: str
    allowed: str
    remedy: str = ""

    def sentence(self) -> str:
        """Return the problem as one sentence."""
        text = f"{self.where} is {_shorten(self.seen)}; allowed is {self.allowed}"
        if not self.remedy:
            return f"{text}."
        return f"{text}: {self.remedy}" + ("" if self.remedy.endswith("?") else ".")


class InvalidInput(HillbenchError):
    """What was entered cannot be used; lists every problem found."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("\n".join(problem.sentence() for problem in self.problems))


class NotFound(HillbenchError):
    """Something asked for by its number or name is not in the bench book."""

    def __init__(self, kind: str, key: object) -> None:
        self.kind = kind
        self.key = key
        super().__init__(f"There is no {kind} {_shorten(str(key))!r} in this bench book.")


def _shorten(text: str, most: int = 80) -> str:
    return text if len(text) <= most else f"{text[: most - 1]}…"
