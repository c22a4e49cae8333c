"""Pictures as they stand in a page: one for a wide and one for a narrow window."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from markupsafe import Markup

from hillbench.pictures.drawing import NARROW_PX, WIDE_PX


@dataclass(frozen=True, slots=True)
class Pictured:
    """One picture in both widths; the style sheet shows the one that fits."""

    wide: Markup
    narrow: Markup


def pictured(draw: Callable[[int, str], str], key: str) -> Pictured:
    """Return a picture in both widths.

    Parameters
    ----------
    draw
        Draws it for a width in px under a key. What it returns is taken as markup: the
        pictures escape every name they write.
    key
        Name of the picture, unique in its page.
    """
    return Pictured(
        Markup(draw(WIDE_PX, f"{key}-wide")),  # noqa: S704  (escaped where it is drawn)
        narrow_picture(draw, key),
    )


def narrow_picture(draw: Callable[[int, str], str], key: str) -> Markup:
    """Return a picture in its narrow form alone, for a narrow column."""
    return Markup(draw(NARROW_PX, f"{key}-narrow"))  # noqa: S704  (escaped where it is drawn)
