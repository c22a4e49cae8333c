"""What the bench book says about itself."""

from __future__ import annotations

from typing import Final

from sqlalchemy.orm import Session

from hillbench.records.tables import AboutRow

_INVENTED: Final = ("kind", "demo")


def is_invented(session: Session) -> bool:
    """Return whether everything in this bench book is invented."""
    key, word = _INVENTED
    row = session.get(AboutRow, key)
    return row is not None and row.value == word


def mark_invented(session: Session) -> None:
    """Note that everything in this bench book is invented."""
    key, word = _INVENTED
    session.merge(AboutRow(key=key, value=word))
