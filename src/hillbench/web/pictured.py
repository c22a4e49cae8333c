"""Pictures as they stand in a page: drawn for the width of their column."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from markupsafe import Markup

from hillbench.pictures.drawing import MIDDLE_PX, NARROW_PX, WIDE_PX


@dataclass(frozen=True, slots=True)
class Pictured:
    """One picture in three widths; the style sheet shows the one that fits."""

    wide: Markup
    middle: Markup
    narrow: Markup


def pictured(draw: Callable[[int, str], str], key: str) -> Pictured:
    """Return a picture in three widths.

    Parameters
    ----------
    draw
        Draws it for a width in px under a key. What it returns is taken as markup: the
        pictures escape every name they write.
    key
        Name of the picture, unique in its page.
    """
    return Pictured(
        wide=_markup(draw(WIDE_PX, f"{key}-wide")),
        middle=_markup(draw(MIDDLE_PX, f"{key}-middle")),
        narrow=narrow_picture(draw, key),
    )


def narrow_picture(draw: Callable[[int, str], str], key: str) -> Markup:
    """Return a picture in its narrow form alone, for a narrow column."""
    return _markup(draw(NARROW_PX, f"{key}-narrow"))


def _markup(picture: str) -> Markup:
    return Markup(picture)  # noqa: S704  (names are escaped where they are drawn)
