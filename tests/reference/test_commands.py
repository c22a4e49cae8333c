from __future__ import annotations

from hillbench.cli.main import COMMANDS
from tests.reference.commands import PAGE, page


def test_page_of_the_commands_is_up_to_date() -> None:
    """Run `python -m tests.reference.commands` when this fails."""
    assert PAGE.read_text(encoding="utf-8") == page()


def test_every_command_is_on_the_page() -> None:
    text = PAGE.read_text(encoding="utf-8")
    assert [name for name in COMMANDS if f"## hillbench {name}\n" not in text] == []
