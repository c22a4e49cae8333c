"""The reference of the commands, from their own help.

`python -m tests.reference.commands` writes it into docs/reference.
"""

from __future__ import annotations

import typer
import typer.main

from hillbench.cli.main import COMMANDS, build_app
from tests.reference.schemas import FOLDER

PAGE = FOLDER / "commands.md"
_WIDTH = 96

_HEAD = """# Commands

Written by `python -m tests.reference.commands` from the commands' own help. Without an installed
package, `python3 start.py COMMAND ...` does the same as `hillbench COMMAND ...`.

Exit status: 0 answered, 2 bad input (one line on standard error for each problem), 1 anything
else, 130 interrupted. With `--json` a command prints one JSON object and nothing else; the schemas
stand beside this page.
"""


def page() -> str:
    """Return the page."""
    group = typer.main.get_command(build_app([]))
    parts = [_HEAD]
    with typer.Context(group, info_name="hillbench", max_content_width=_WIDTH) as context:
        parts.append(_block("hillbench", context.get_help()))
        for name in COMMANDS:
            command = group.get_command(context, name)  # type: ignore[attr-defined]  # a group
            inner = typer.Context(command, info_name=name, parent=context, max_content_width=_WIDTH)
            parts.append(_block(f"hillbench {name}", command.get_help(inner)))
    return "\n".join(parts)


def _block(title: str, text: str) -> str:
    lines = "\n".join(line.rstrip() for line in text.strip().splitlines())
    return f"## {title}\n\n```text\n{lines}\n```\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
