"""How an error ends a command: its lines on standard error and its exit status."""

from __future__ import annotations

from typing import Final

import typer

from hillbench.errors import HillbenchError, InvalidInput

ANSWERED: Final = 0
FAILED: Final = 1
BAD_INPUT: Final = 2

EXIT_STATUSES: Final[tuple[tuple[type[Exception], int], ...]] = (
    (InvalidInput, BAD_INPUT),
    (HillbenchError, FAILED),
    (OSError, FAILED),
)
"""Exit status of each class of expected error; the first that fits counts."""


def exit_status(error: Exception) -> int | None:
    """Return the exit status of an expected error, None for one that nobody expected."""
    if isinstance(error, typer.TyperException):
        return error.exit_code
    for kind, status in EXIT_STATUSES:
        if isinstance(error, kind):
            return status
    return None


def error_lines(error: Exception) -> list[str]:
    """Return what is told about an expected error, each problem on one line."""
    if isinstance(error, InvalidInput):
        sentences = [problem.sentence() for problem in error.problems]
    elif isinstance(error, typer.TyperException):
        sentences = [error.format_message()]
    elif isinstance(error, OSError) and error.filename is not None:
        sentences = [f"{error.filename}: {error.strerror}."]
    else:
        sentences = [str(error)]
    return [" ".join(sentence.split()) for sentence in sentences]
