"""The `hillbench` command.

To add a command, write one function in a file of its own in this folder and name it in
`COMMANDS`. The function takes Typer arguments and options, calls one use case and prints the
answer; its docstring, up to the first section, is the help. `settings_of` gives the options
that stand before the command. It raises what the use case raises: `main` turns errors into
lines on standard error and an exit status. Whatever is slow to import (numpy, storage, web)
is imported inside the function, so that help and other commands stay quick.
"""

from __future__ import annotations

import importlib
import inspect
import io
import os
import re
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Annotated, Final

import typer

from hillbench import __version__
from hillbench.cli.failures import ANSWERED, FAILED, error_lines, exit_status
from hillbench.cli.settings import Settings

COMMANDS: Final[dict[str, str]] = {
    "demo": "hillbench.cli.demo:demo",
    "serve": "hillbench.cli.serve:serve",
    "coast": "hillbench.cli.coast:coast",
    "spin": "hillbench.cli.spin:spin",
    "roll": "hillbench.cli.roll:roll",
    "fit": "hillbench.cli.fit:fit",
    "advise": "hillbench.cli.advise:advise",
    "compare": "hillbench.cli.compare:compare",
    "gain": "hillbench.cli.gain:gain",
    "order": "hillbench.cli.order:order",
    "heats": "hillbench.cli.heats:heats",
    "results": "hillbench.cli.results:results",
    "formats": "hillbench.cli.formats:formats",
    "listen": "hillbench.cli.listen:listen",
    "thread": "hillbench.cli.thread:thread",
    "ballast": "hillbench.cli.ballast:ballast",
    "decals": "hillbench.cli.decals:decals",
    "print": "hillbench.cli.print_:print_",
    "backup": "hillbench.cli.backup:backup",
    "export": "hillbench.cli.export:export",
    "import": "hillbench.cli.import_:import_",
    "warm-up": "hillbench.cli.warm_up:warm_up",
}
"""Module and function of each command, in the order of the help."""

_SECTION: Final = re.compile(r"\n\s*\n[A-Z]\w+\n-{3,}\n")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit status.

    Parameters
    ----------
    arguments
        What stands after the program's name; that of the running process by default.

    Returns
    -------
    int
        0 answered, 2 bad input, 1 anything else, 130 interrupted.
    """
    words = list(sys.argv[1:] if arguments is None else arguments)
    # Matrices here are small: threads of linear algebra wait for each other longer than they work.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    _write_utf8()
    try:
        status = _run(words)
        sys.stdout.flush()
    except (BrokenPipeError, SystemExit):
        # The reader of a pipe has gone (Typer exits then); nothing is left to be flushed.
        sys.stdout = io.TextIOWrapper(io.BytesIO())
        return FAILED
    except KeyboardInterrupt:
        return 130
    except Exception as error:
        expected = exit_status(error)
        if expected is None:
            raise
        for line in error_lines(error):
            print(line, file=sys.stderr)  # noqa: T201 (the one place that tells errors)
        return expected
    return status


def build_app(words: Sequence[str]) -> typer.Typer:
    """Return the application with the commands that occur in `words`, or with all of them."""
    app = typer.Typer(
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
    app.callback(invoke_without_command=True)(_start)
    if "--version" in words[:1]:
        return app
    for name in [name for name in COMMANDS if name in words] or COMMANDS:
        function = _load(COMMANDS[name])
        app.command(name, help=_help(function))(function)
    return app


def _run(words: list[str]) -> int:
    command = typer.main.get_command(build_app(words))
    answer = command(args=words, prog_name="hillbench", standalone_mode=False)
    return answer if isinstance(answer, int) else ANSWERED


def _start(
    context: typer.Context,
    data: Annotated[
        Path | None,
        typer.Option(
            "--data",
            metavar="DIR",
            help="Folder of the bench book; HILLBENCH_DATA or the user's data folder by default.",
        ),
    ] = None,
    database: Annotated[
        str | None,
        typer.Option(
            "--database",
            metavar="URL",
            help="PostgreSQL database of a league, as postgresql://NAME@HOST/DATABASE; a file "
            "in the folder by default.",
        ),
    ] = None,
    version: Annotated[
        bool, typer.Option("--version", help="Show the version.", is_eager=True)
    ] = False,
) -> None:
    """From the bench to the clock for 1:64 cars that coast down a hill."""
    context.obj = Settings(data, database)
    if version:
        typer.echo(f"hillbench {__version__}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())


def _load(target: str) -> Callable[..., object]:
    module_name, _, function_name = target.partition(":")
    function: Callable[..., object] = getattr(importlib.import_module(module_name), function_name)
    return function


def _help(function: Callable[..., object]) -> str:
    return _SECTION.split(inspect.getdoc(function) or "", maxsplit=1)[0]


def _write_utf8() -> None:
    """Write UTF-8 also where the system would pipe text in an older encoding."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and os.name == "nt":
            stream.reconfigure(encoding="utf-8")
