"""What a print looks like once it lies on a paint."""

from __future__ import annotations

import math
from enum import StrEnum
from typing import Final

from hillbench.decals.colour import Colour, from_light

PAPER: Final = Colour(1.0, 1.0, 1.0)
"""White film, and white ink below a print."""

_BLACKEST: Final = 1e-6


class Film(StrEnum):
    """What is printed on."""

    CLEAR = "clear"
    WHITE = "white"


def on_paint(ink: Colour, paint: Colour, film: Film, *, white_below: bool = False) -> Colour:
    """Return the colour of a print on a painted panel.

    Parameters
    ----------
    ink
        Its colour on white paper.
    paint
        Colour of the panel.
    film
        Clear film lets the paint through; white film hides it.
    white_below
        Whether white ink lies below the print, which then looks as on white film.

    Notes
    -----
    Subtractive mix: ink is a filter that light passes on its way in and out again. On paper
    that reflects all light it sends back the share R of each channel, over a paint that
    reflects P therefore R·P: densities −log10 R add (Beer and Lambert; Berns, "Billmeyer and
    Saltzman's Principles of Color Technology", from memory). Taken in three broad channels, so
    that saturated inks on saturated paints come out somewhat too dark; no gloss, no metal flake,
    and the paper is taken as perfectly white.
    """
    if film is Film.WHITE or white_below:
        return ink
    return from_light(
        tuple(a * b for a, b in zip(ink.linear, paint.linear, strict=True))  # type: ignore[arg-type]
    )


def bare_film(paint: Colour, film: Film) -> Colour:
    """Return the colour of film without print: white, or the paint seen through it."""
    return PAPER if film is Film.WHITE else paint


def density(colour: Colour) -> tuple[float, float, float]:
    """Return the optical density of each channel, −log10 of the light sent back."""
    red, green, blue = (-math.log10(max(light, _BLACKEST)) for light in colour.linear)
    return red, green, blue
