"""Text files named on the command line."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Final

from hillbench.errors import InvalidInput, Problem

LARGEST_BYTES: Final = 20_000_000


def read_text(file: Path) -> str:
    """Return the text of a file, or of standard input where the name is ``-``.

    Raises
    ------
    InvalidInput
        If there is no such file, it is too large, or it is no UTF-8 text.
    """
    if str(file) == "-":
        return sys.stdin.read()
    _check_file(file)
    try:
        return file.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        seen = f"no UTF-8 text (byte {error.start})"
        raise InvalidInput([Problem(str(file), seen, "a text file in UTF-8")]) from None


def read_bytes(file: Path) -> bytes:
    """Return the bytes of a file, or of standard input where the name is ``-``.

    Raises
    ------
    InvalidInput
        If there is no such file, or it is too large.
    """
    if str(file) == "-":
        return sys.stdin.buffer.read()
    _check_file(file)
    return file.read_bytes()


def write_text(file: Path, text: str) -> None:
    """Write a text file whole or not at all."""
    beside = file.with_name(file.name + ".part")
    try:
        beside.write_text(text, encoding="utf-8")
        beside.replace(file)
    finally:
        beside.unlink(missing_ok=True)


def _check_file(file: Path) -> None:
    if not file.is_file():
        raise InvalidInput([Problem("FILE", f"{file}", "a file that exists", "check the name")])
    if file.stat().st_size > LARGEST_BYTES:
        seen = f"{file.stat().st_size} bytes"
        raise InvalidInput([Problem(str(file), seen, f"at most {LARGEST_BYTES} bytes")])
