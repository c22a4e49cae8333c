"""Colours as sRGB: the curve, lightness, contrast and CIELAB."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from hillbench.errors import InvalidInput, Problem

NAMED: Final[Mapping[str, str]] = {
    "black": "#000000",
    "white": "#ffffff",
    "red": "#ff0000",
    "lime": "#00ff00",
    "green": "#008000",
    "blue": "#0000ff",
    "navy": "#000080",
    "yellow": "#ffff00",
    "orange": "#ffa500",
    "gray": "#808080",
    "grey": "#808080",
    "silver": "#c0c0c0",
}
"""Names that may be typed in place of a code, as in CSS Color Module Level 4."""

_CODE: Final = re.compile(r"#(?:[0-9a-f]{3}|[0-9a-f]{6})")
_TRIPLE: Final = re.compile(
    r"(?:rgb\()?\s*(-?\d{1,6}(?:\.\d+)?)[\s,]+(-?\d{1,6}(?:\.\d+)?)[\s,]+(-?\d{1,6}(?:\.\d+)?)\s*\)?"
)
_TO_XYZ: Final = (
    (0.4124, 0.3576, 0.1805),
    (0.2126, 0.7152, 0.0722),
    (0.0193, 0.1192, 0.9505),
)
"""Linear sRGB to XYZ, D65; IEC 61966-2-1, four decimals as printed there."""

_WHITE: Final = tuple(sum(row) for row in _TO_XYZ)
_LAB_EDGE: Final = (6.0 / 29.0) ** 3


@dataclass(frozen=True, slots=True)
class Colour:
    """A colour of sRGB.

    Attributes
    ----------
    red, green, blue
        Encoded channels, 0 to 1.
    """

    red: float
    green: float
    blue: float

    @property
    def code(self) -> str:
        """The nearest eight-bit code, such as ``#1f2a30``."""
        return "#" + "".join(f"{round(255.0 * part):02x}" for part in self.channels)

    @property
    def channels(self) -> tuple[float, float, float]:
        """Red, green and blue, encoded."""
        return self.red, self.green, self.blue

    @property
    def linear(self) -> tuple[float, float, float]:
        """Share of light in each channel, 0 to 1."""
        return decoded(self.red), decoded(self.green), decoded(self.blue)


def decoded(encoded: float) -> float:
    """Return the light of an encoded channel.

    Notes
    -----
    IEC 61966-2-1:1999, amendment 1: threshold 0.04045. At the threshold itself its two pieces,
    rounded there, differ by 2e-9; the upper one is taken.
    """
    return encoded / 12.92 if encoded < 0.04045 else ((encoded + 0.055) / 1.055) ** 2.4


def encoded(light: float) -> float:
    """Return the encoded channel of a share of light; the inverse of `decoded`."""
    return light * 12.92 if light <= 0.0031308 else 1.055 * light ** (1.0 / 2.4) - 0.055


def from_light(light: tuple[float, float, float]) -> Colour:
    """Return the colour of three shares of light, held within what sRGB can show."""
    return Colour(*(encoded(min(max(part, 0.0), 1.0)) for part in light))


def parse_colour(text: str, where: str = "colour") -> Colour:
    """Return a colour as typed: ``#c8102e``, ``#abc``, ``200 16 46`` or a name.

    Raises
    ------
    InvalidInput
        If it is none of these, or lies outside what sRGB can show.
    """
    plain = text.strip().lower()
    plain = NAMED.get(plain, plain)
    if _CODE.fullmatch(plain):
        digits = plain[1:] if len(plain) == 7 else "".join(2 * digit for digit in plain[1:])
        return Colour(*(part / 255.0 for part in bytes.fromhex(digits)))
    match = _TRIPLE.fullmatch(plain) if len(plain) < 60 else None
    if match is None:
        raise InvalidInput([Problem(where, repr(text), _ALLOWED, "type a code")])
    parts = [float(part) for part in match.groups()]
    if not all(0.0 <= part <= 255.0 for part in parts):
        remedy = "choose the nearest colour that a screen and a printer can show"
        raise InvalidInput([Problem(where, f"{text.strip()!r}, out of gamut", _ALLOWED, remedy)])
    return Colour(*(part / 255.0 for part in parts))


_ALLOWED: Final = "a colour such as #c8102e, 200 16 46 (0 to 255 each) or yellow"


def relative_luminance(colour: Colour) -> float:
    """Return the luminance relative to white, 0 to 1.

    Notes
    -----
    WCAG 2.2, "relative luminance", with the threshold 0.04045; no eight-bit colour lies
    between that and the 0.03928 of older editions.
    """
    red, green, blue = colour.linear
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_ratio(first: Colour, second: Colour) -> float:
    """Return the contrast ratio of two colours, 1 to 21.

    Notes
    -----
    WCAG 2.2, "contrast ratio": (L1 + 0.05) / (L2 + 0.05).
    """
    lights = sorted((relative_luminance(first), relative_luminance(second)))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def lab(colour: Colour) -> tuple[float, float, float]:
    """Return L*, a* and b* for D65 and the 2° observer.

    Notes
    -----
    ISO/CIE 11664-4:2019; white is that of the matrix, so that greys have a* = b* = 0.
    """
    xyz = [
        sum(factor * part for factor, part in zip(row, colour.linear, strict=True))
        for row in _TO_XYZ
    ]
    x, y, z = (_curve(part / white) for part, white in zip(xyz, _WHITE, strict=True))
    return 116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)


def _curve(share: float) -> float:
    if share > _LAB_EDGE:
        return float(share ** (1.0 / 3.0))
    return share / (3.0 * (6.0 / 29.0) ** 2) + 4.0 / 29.0
