"""Names and notes: what may be typed, and when two names are the same."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from typing import Final

from hillbench.errors import InvalidInput, Problem

LONGEST_NAME: Final = 200
LONGEST_NOTE: Final = 10_000
_REFUSED_CATEGORIES: Final = frozenset({"Cc", "Cs", "Zl", "Zp"})
_REFUSED_DIRECTIONS: Final = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_UNSEEN_CATEGORIES: Final = frozenset({"Cf", "Cn", "Zs", "Mn", "Me"})


def clean_name(text: str, where: str = "name") -> str:
    """Return a name without blanks around it, in composed Unicode.

    Raises
    ------
    InvalidInput
        If nothing visible is left, it is longer than 200 characters, or it holds control
        characters.
    """
    name = unicodedata.normalize("NFC", text.strip())
    problems = tuple(_name_problems(name, where))
    if problems:
        raise InvalidInput(problems)
    return name


def clean_note(text: str, where: str = "note") -> str:
    """Return a note without blanks around it and with plain line ends.

    Raises
    ------
    InvalidInput
        If it is longer than 10,000 characters or holds control characters other than line
        ends and tabs.
    """
    note = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    if len(note) > LONGEST_NOTE:
        raise InvalidInput(
            [
                Problem(
                    where, f"{len(note)} characters long", f"at most {LONGEST_NOTE}", "shorten it"
                )
            ]
        )
    refused = _refused(note.replace("\n", "").replace("\t", ""))
    if refused:
        raise InvalidInput([_control_problem(refused, where)])
    return note


def name_key(name: str) -> str:
    """Return what two names share when they differ in upper and lower case only."""
    return unicodedata.normalize("NFC", name.casefold())


def _name_problems(name: str, where: str) -> Iterator[Problem]:
    if len(name) > LONGEST_NAME:
        yield Problem(
            where,
            f"{len(name)} characters long",
            f"1 to {LONGEST_NAME} characters",
            "shorten it and put the rest in the note",
        )
    elif all(unicodedata.category(letter) in _UNSEEN_CATEGORIES for letter in name):
        yield Problem(where, "empty", f"1 to {LONGEST_NAME} characters", "type a name")
    elif refused := _refused(name):
        yield _control_problem(refused, where)


def _refused(text: str) -> str:
    return next(
        (
            letter
            for letter in text
            if unicodedata.category(letter) in _REFUSED_CATEGORIES or letter in _REFUSED_DIRECTIONS
        ),
        "",
    )


def _control_problem(letter: str, where: str) -> Problem:
    seen = f"text with the control character U+{ord(letter):04X}"
    return Problem(where, seen, "any text without control characters", "take it out")
