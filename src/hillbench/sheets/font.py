"""The packaged font: how wide words are, where lines break, what letters look like."""

from __future__ import annotations

import threading
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING, Any, Final

from hillbench.errors import InvalidInput, Problem
from hillbench.sheets.path import Path, Pen, Transform, transformed

if TYPE_CHECKING:
    from fontTools.ttLib import TTFont

FONTS: Final[Mapping[str, str]] = {
    "regular": "HillbenchSheet-Regular.ttf",
    "bold": "HillbenchSheet-Bold.ttf",
}
"""File of each packaged font; digits are all of one width."""

CAP_HEIGHT: Final = 0.656
"""Height of a capital H as drawn, in ems."""

_READING: Final = threading.RLock()
"""The font library reads its tables when they are first asked for, and not for two at once."""

_ABSENT: Final = "\N{WHITE SQUARE}"
_STANDS_FOR: Final = {
    "\N{NO-BREAK SPACE}": " ",
    "\t": " ",
    "\n": " ",
    "\N{DIAMETER SIGN}": "Ø",
    "\N{UPWARDS ARROW WITH TIP LEFTWARDS}": "\N{LEFTWARDS ARROW}",
    "\N{UPWARDS ARROW WITH TIP RIGHTWARDS}": "\N{RIGHTWARDS ARROW}",
}
"""What is written in the place of characters that are not in the fonts."""


@dataclass(frozen=True, slots=True)
class Face:
    """A font that has been read.

    Attributes
    ----------
    data
        The font file.
    advances
        How far each character moves on, in ems.
    """

    data: bytes
    advances: Mapping[int, float]


@cache
def find_face(font: str) -> Face:
    """Return a packaged font by name; raises `InvalidInput` for a name that is not known."""
    data = _font_data(font)
    with _READING:
        read = _read(font)
        names, widths = read.getBestCmap(), read["hmtx"]
        em = float(read["head"].unitsPerEm)
        return Face(data, {code: widths[name][0] / em for code, name in names.items()})


def shown_text(text: str, font: str = "regular") -> str:
    """Return words as the font can show them: each character it has, else what is nearest.

    A letter with a mark that is not there loses the mark; anything else becomes a box, so that
    nothing vanishes in silence.
    """
    advances = find_face(font).advances
    return "".join(_shown(character, advances) for character in _plain(text))


def width_mm(text: str, size_mm: float, font: str = "regular") -> float:
    """Return how wide words are, mm.

    Parameters
    ----------
    text
        One line.
    size_mm
        Size of the type, mm.
    font
        Name of the font.
    """
    advances = find_face(font).advances
    return size_mm * sum(advances[ord(one)] for one in shown_text(text, font))


def wrap(text: str, room_mm: float, size_mm: float, font: str = "regular") -> list[str]:
    """Return words broken into lines that fit a width; a word that is too long is cut.

    Parameters
    ----------
    text
        Words; a line break in them is kept.
    room_mm
        Width of the column.
    size_mm
        Size of the type.
    font
        Name of the font.
    """
    lines: list[str] = []
    for part in text.split("\n"):
        lines += _wrap_one(part, room_mm, size_mm, font)
    return lines


def shorten(text: str, room_mm: float, size_mm: float, font: str = "regular") -> str:
    """Return words cut with an ellipsis so that they fit a width."""
    if width_mm(text, size_mm, font) <= room_mm:
        return text
    kept = text
    while kept and width_mm(kept + "…", size_mm, font) > room_mm:
        kept = kept[:-1]
    return kept.rstrip() + "…"


def outline(text: str, size_mm: float, font: str = "regular") -> Path:
    """Return words as one path that begins at (0, 0) on the base line, to be filled nonzero."""
    advances = find_face(font).advances
    scale = size_mm / _units_per_em(font)
    path: Path = ()
    x_mm = 0.0
    for character in shown_text(text, font):
        at = Transform(scale, 0.0, 0.0, -scale, x_mm, 0.0)
        path += transformed(_letter(font, character), at)
        x_mm += size_mm * advances[ord(character)]
    return path


@cache
def _units_per_em(font: str) -> float:
    with _READING:
        return float(_read(font)["head"].unitsPerEm)


@cache
def _letter(font: str, character: str) -> Path:
    """Return the outline of a letter in units of the font, y upwards."""
    with _READING:
        return _traced(font, character)


def _traced(font: str, character: str) -> Path:
    from fontTools.pens.basePen import BasePen

    read, pen = _read(font), Pen()
    glyphs: Any = read.getGlyphSet()

    class _Tracer(BasePen):  # type: ignore[misc]  # the library has no types
        """Follows a glyph; the base class turns its quadratic curves into cubic ones."""

        def _moveTo(self, pt: tuple[float, float]) -> None:  # noqa: N802 (named by fontTools)
            pen.move(*pt)

        def _lineTo(self, pt: tuple[float, float]) -> None:  # noqa: N802 (named by fontTools)
            pen.line(*pt)

        def _curveToOne(  # noqa: N802 (named by fontTools)
            self,
            pt1: tuple[float, float],
            pt2: tuple[float, float],
            pt3: tuple[float, float],
        ) -> None:
            pen.curve(pt1, pt2, pt3)

        def _closePath(self) -> None:  # noqa: N802 (named by fontTools)
            pen.close()

    glyphs[read.getBestCmap()[ord(character)]].draw(_Tracer(glyphs))
    return pen.path


@cache
def _read(font: str) -> TTFont:
    from io import BytesIO

    from fontTools.ttLib import TTFont

    return TTFont(BytesIO(_font_data(font)))


def _font_data(font: str) -> bytes:
    if font not in FONTS:
        raise InvalidInput([Problem("font", repr(font), "one of: " + ", ".join(FONTS))])
    return (resources.files(__package__ or "") / "fonts" / FONTS[font]).read_bytes()


def _plain(text: str) -> str:
    return "".join(_STANDS_FOR.get(one, one) for one in unicodedata.normalize("NFC", text))


def _shown(character: str, advances: Mapping[int, float]) -> str:
    if ord(character) in advances:
        return character
    if unicodedata.category(character) in {"Cc", "Cf", "Mn"}:
        return ""
    parts = unicodedata.normalize("NFKD", character)
    kept = "".join(part for part in parts if ord(part) in advances)
    return kept or _ABSENT


def _wrap_one(text: str, room: float, size: float, font: str) -> list[str]:
    lines: list[str] = []
    line = ""
    for word in text.split():
        rest = word
        trial = f"{line} {word}" if line else word
        if width_mm(trial, size, font) <= room:
            line = trial
            continue
        if line:
            lines.append(line)
        *whole, line = _pieces(rest, room, size, font)
        lines += whole
    return [*lines, line] if line or not lines else lines


def _pieces(word: str, room: float, size: float, font: str) -> list[str]:
    """Return a word in pieces that fit; at least one letter each."""
    pieces: list[str] = []
    piece = ""
    for letter in word:
        if piece and width_mm(piece + letter, size, font) > room:
            pieces.append(piece)
            piece = ""
        piece += letter
    return [*pieces, piece]
