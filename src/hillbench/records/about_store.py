"""What the bench book says about itself."""

from __future__ import annotations

from typing import Final

from sqlalchemy.orm import Session

from hillbench.records.tables import AboutRow

_INVENTED: Final = ("kind", "demo")
_CURRENCY: Final = "currency"
USUAL_CURRENCY: Final = "EUR"


def is_invented(session: Session) -> bool:
    """Return whether everything in this bench book is invented."""
    key, word = _INVENTED
    row = session.get(AboutRow, key)
    return row is not None and row.value == word


def mark_invented(session: Session) -> None:
    """Note that everything in this bench book is invented."""
    key, word = _INVENTED
    session.merge(AboutRow(key=key, value=word))


def currency(session: Session) -> str:
    """Return the currency of every price, by its code of ISO 4217."""
    row = session.get(AboutRow, _CURRENCY)
    return USUAL_CURRENCY if row is None else row.value


def choose_currency(session: Session, code: str) -> None:
    """Take another currency; prices keep their numbers."""
    session.merge(AboutRow(key=_CURRENCY, value=code))
