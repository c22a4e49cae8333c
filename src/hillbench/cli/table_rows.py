"""What is told about the rows of a table that could not be used."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from hillbench.cli.failures import ANSWERED, BAD_INPUT

if TYPE_CHECKING:
    from hillbench.timing.reading import Reading


def status_of(reading: Reading) -> int:
    """Tell the rows set aside and in doubt on standard error; return the exit status.

    The status is that of bad input where a row was set aside, although the others were
    answered: a program that calls the command should not miss it.
    """
    for problem in (*reading.problems, *reading.questions):
        typer.echo(" ".join(problem.sentence().split()), err=True)
    return BAD_INPUT if reading.problems else ANSWERED
