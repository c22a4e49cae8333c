"""The packaged typefaces: letters as outlines."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from hillbench.decals.flatten import Ring, rings_of
from hillbench.errors import InvalidInput, Problem

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

FOLDER: Final = Path(__file__).parent / "fonts"


@dataclass(frozen=True, slots=True)
class Face:
    """A typeface to set numbers and words in.

    Attributes
    ----------
    key
        As in files.
    label
        What it looks like.
    family
        Its name, which its licence stands under.
    weights
        File of each weight.
    """

    key: str
    label: str
    family: str
    weights: Mapping[str, str]


_FACES: Final = (
    Face(
        "narrow",
        "Narrow, upright: most figures on a short door",
        "Barlow Condensed",
        {
            "medium": "barlow-condensed-500",
            "bold": "barlow-condensed-700",
            "black": "barlow-condensed-900",
        },
    ),
    Face(
        "square",
        "Square with cut corners, as on instruments",
        "Oxanium",
        {"medium": "oxanium-600", "black": "oxanium-800"},
    ),
    Face(
        "slab",
        "With strong feet, as on old trucks",
        "Bitter",
        {"medium": "bitter-600", "black": "bitter-900"},
    ),
    Face(
        "round",
        "Round ends, friendly",
        "Fredoka",
        {"medium": "fredoka-500", "bold": "fredoka-700"},
    ),
    Face(
        "stencil", "Stencil, with bridges", "Saira Stencil One", {"bold": "saira-stencil-one-400"}
    ),
    Face("brush", "Brush script, for names", "Pacifico", {"bold": "pacifico-400"}),
)

FACES: Final[Mapping[str, Face]] = {face.key: face for face in _FACES}
"""Every face by its key."""


@dataclass(frozen=True, slots=True)
class Letter:
    """One letter as drawn, in units of the font, y up.

    Attributes
    ----------
    rings
        Its closed outlines; what is inside is told by their direction (nonzero rule).
    advance
        How far the next letter stands.
    """

    rings: tuple[Ring, ...]
    advance: float


@dataclass(frozen=True, slots=True)
class Font:
    """One weight of a face, opened.

    Attributes
    ----------
    capital_units
        Height of a capital H, units of the font.
    digit_units
        Height of a digit 1; round digits overshoot it a little, as letters overshoot an H.
    """

    capital_units: float
    digit_units: float
    _source: TTFont
    _cmap: Mapping[int, str]
    _kerning: Mapping[tuple[str, str], float]

    def has(self, character: str) -> bool:
        """Return whether the font has a character."""
        return ord(character) in self._cmap

    def letter(self, character: str, tolerance: float) -> Letter:
        """Return one letter, curves turned into lines no farther off than `tolerance`."""
        from fontTools.pens.recordingPen import DecomposingRecordingPen

        name = self._cmap[ord(character)]
        glyphs = self._source.getGlyphSet()
        pen = DecomposingRecordingPen(glyphs)
        glyphs[name].draw(pen)
        return Letter(rings_of(pen.value, tolerance), float(glyphs[name].width))

    def kern(self, first: str, second: str) -> float:
        """Return how much nearer (negative) two letters stand, units of the font."""
        pair = (self._cmap.get(ord(first), ""), self._cmap.get(ord(second), ""))
        return self._kerning.get(pair, 0.0)


@cache
def open_font(face_key: str, weight: str) -> Font:
    """Return one weight of a face.

    Raises
    ------
    InvalidInput
        If there is no such face, or it has no such weight.
    """
    from fontTools.ttLib import TTFont

    face = FACES.get(face_key)
    if face is None:
        raise InvalidInput([Problem("face", repr(face_key), "one of: " + ", ".join(FACES))])
    if weight not in face.weights:
        known = ", ".join(face.weights)
        raise InvalidInput([Problem("weight", repr(weight), f"for {face_key} one of: {known}")])
    source = TTFont(FOLDER / f"{face.weights[weight]}.ttf", lazy=False)
    cmap: dict[int, str] = source.getBestCmap()
    capital, digit = (_height(source, cmap[ord(letter)]) for letter in "H1")
    return Font(capital, digit, source, cmap, _pairs(source))


def _height(source: TTFont, name: str) -> float:
    from fontTools.pens.boundsPen import BoundsPen

    glyphs = source.getGlyphSet()
    pen = BoundsPen(glyphs)
    glyphs[name].draw(pen)
    return float(pen.bounds[3])


def _pairs(source: TTFont) -> dict[tuple[str, str], float]:
    """Return the kerning of pairs that the font lists one by one or by classes."""
    pairs: dict[tuple[str, str], float] = {}
    if "GPOS" not in source:
        return pairs
    lookups = source["GPOS"].table.LookupList.Lookup
    for table in (one for lookup in lookups for one in lookup.SubTable):
        inner: Any = getattr(table, "ExtSubTable", table)
        if type(inner).__name__ != "PairPos":
            continue
        found = _listed(inner) if inner.Format == 1 else _classed(inner)
        pairs = found | pairs  # the first table that names a pair counts
    return pairs


def _listed(table: Any) -> dict[tuple[str, str], float]:  # noqa: ANN401 (tables are untyped)
    return {
        (first, record.SecondGlyph): float(record.Value1.XAdvance)
        for first, pair_set in zip(table.Coverage.glyphs, table.PairSet, strict=True)
        for record in pair_set.PairValueRecord
        if record.Value1 is not None and hasattr(record.Value1, "XAdvance")
    }


def _classed(table: Any) -> dict[tuple[str, str], float]:  # noqa: ANN401 (tables are untyped)
    seconds: dict[int, list[str]] = {}
    for name, number in table.ClassDef2.classDefs.items():
        seconds.setdefault(number, []).append(name)
    pairs: dict[tuple[str, str], float] = {}
    for first in table.Coverage.glyphs:
        row = table.Class1Record[table.ClassDef1.classDefs.get(first, 0)].Class2Record
        for number, names in seconds.items():
            value = getattr(row[number].Value1, "XAdvance", 0)
            pairs |= {(first, name): float(value) for name in names if value}
    return pairs
