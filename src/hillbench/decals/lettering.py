"""Numbers and words as filled shapes in millimetres."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from hillbench.decals.flatten import Ring
from hillbench.decals.shapes import filled
from hillbench.decals.typeface import Font, open_font
from hillbench.errors import InvalidInput, Problem

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

FLATNESS_MM: Final = 0.004
"""Farthest that a drawn line lies from its curve, mm: a tenth of a dot at 600 dpi."""

LONGEST_TEXT: Final = 40
HEIGHT_RANGE_MM: Final = (0.5, 200.0)
SLANT_RANGE_DEG: Final = (-30.0, 30.0)


@dataclass(frozen=True, slots=True)
class Lettering:
    """A text and how it is set.

    Attributes
    ----------
    text
        One line.
    face, weight
        Which typeface; see `typeface.FACES`.
    height_mm
        Height of the capitals, or of the digits where the text is digits alone, mm.
    slant_deg
        How far it leans forward, degrees.
    spacing_mm
        What is added between letters, mm; may be negative.
    """

    text: str
    face: str = "narrow"
    weight: str = "bold"
    height_mm: float = 6.0
    slant_deg: float = 0.0
    spacing_mm: float = 0.0


def check_lettering(one: Lettering, where: str) -> list[Problem]:
    """Return what is wrong with a text and how it is set."""
    problems = []
    if not one.text.strip() or len(one.text) > LONGEST_TEXT:
        seen = repr(one.text) if len(one.text) <= LONGEST_TEXT else f"{len(one.text)} letters long"
        problems.append(Problem(f"{where}.text", seen, f"1 to {LONGEST_TEXT} letters"))
    for name, value, (least, most), unit in (
        ("height_mm", one.height_mm, HEIGHT_RANGE_MM, "mm"),
        ("slant_deg", one.slant_deg, SLANT_RANGE_DEG, "°"),
        ("spacing_mm", one.spacing_mm, (-5.0, 20.0), "mm"),
    ):
        if not least <= value <= most:
            allowed = f"{least:g} to {most:g} {unit}"
            problems.append(Problem(f"{where}.{name}", f"{value:g} {unit}", allowed))
    return problems + _missing_letters(one, where)


def _missing_letters(one: Lettering, where: str) -> list[Problem]:
    try:
        font = open_font(one.face, one.weight)
    except InvalidInput as wrong:
        return [
            Problem(f"{where}.{problem.where}", problem.seen, problem.allowed, problem.remedy)
            for problem in wrong.problems
        ]
    missing = [letter for letter in dict.fromkeys(one.text) if not font.has(letter)]
    if not missing:
        return []
    shown = ", ".join(f"U+{ord(letter):04X}" for letter in missing[:5])
    seen = f"text with {shown}, which the face {one.face} does not have"
    return [Problem(f"{where}.text", seen, "letters of Latin alphabets", "use another face or art")]


def set_text(one: Lettering) -> BaseGeometry:
    """Return the filled shape of a text: its base line at y = 0, its left edge at x = 0.

    Raises
    ------
    InvalidInput
        If the face lacks a letter, or a size cannot be used.
    """
    from shapely import affinity

    problems = check_lettering(one, "lettering")
    if problems:
        raise InvalidInput(problems)
    font = open_font(one.face, one.weight)
    scale = one.height_mm / _reference_height(font, one.text)
    shape = filled(list(_rings(font, one, scale)))
    if shape.is_empty:
        raise InvalidInput([Problem("text", repr(one.text), "a text that can be seen")])
    lean = math.tan(math.radians(one.slant_deg))
    shape = affinity.affine_transform(shape, (scale, lean * scale, 0.0, -scale, 0.0, 0.0))
    return affinity.translate(shape, -shape.bounds[0], 0.0)


def _reference_height(font: Font, text: str) -> float:
    return font.digit_units if text.strip().isdecimal() else font.capital_units


def _rings(font: Font, one: Lettering, scale: float) -> list[Ring]:
    at, rings = 0.0, []
    for letter, following in itertools.zip_longest(one.text, one.text[1:]):
        drawn = font.letter(letter, FLATNESS_MM / scale)
        rings += [tuple((x + at, y) for x, y in ring) for ring in drawn.rings]
        at += drawn.advance + one.spacing_mm / scale
        at += font.kern(letter, following) if following else 0.0
    return rings
