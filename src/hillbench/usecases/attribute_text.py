"""What a dataclass says of each of its fields, read from its docstring."""

from __future__ import annotations

import inspect
import re
from typing import Any, Final

_HEADING: Final = re.compile(r"^Attributes\n-{3,}\n", re.MULTILINE)
_NEXT_HEADING: Final = re.compile(r"^\S.*\n-{3,}$", re.MULTILINE)


def attribute_texts(kind: type[Any]) -> dict[str, str]:
    """Return the text of each field named in the section ``Attributes`` of a docstring.

    Parameters
    ----------
    kind
        A class with a docstring of the form this package uses; names that share a text
        stand on one line, separated by commas. Fields it inherits are told by their own class.
    """
    texts: dict[str, str] = {}
    for base in reversed(kind.__mro__):
        texts |= _own_texts(base)
    return texts


def _own_texts(kind: type[Any]) -> dict[str, str]:
    text = inspect.getdoc(kind) or ""
    heading = _HEADING.search(text)
    if heading is None:
        return {}
    section = _NEXT_HEADING.split(text[heading.end() :], maxsplit=1)[0]
    texts: dict[str, str] = {}
    names: list[str] = []
    for line in section.splitlines():
        if line and not line[0].isspace():
            names = [name.strip() for name in line.split(",")]
            texts.update(dict.fromkeys(names, ""))
        elif line.strip():
            for name in names:
                texts[name] = f"{texts[name]} {line.strip()}".strip()
    return texts
