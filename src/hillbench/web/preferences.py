"""How this device likes its units and its light, kept in a cookie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Final
from urllib.parse import parse_qsl, urlencode

COOKIE: Final = "hillbench_preferences"
KEPT_FOR_S: Final = 400 * 24 * 3600
"""As long as browsers keep a cookie."""

CHOICES: Final[Mapping[str, tuple[str, ...]]] = {
    "mass_unit": ("g", "oz"),
    "length_unit": ("mm", "in"),
    "distance_unit": ("m", "ft"),
    "theme": ("auto", "light", "dark"),
}
"""What may be chosen for each preference; the first is the default."""


@dataclass(frozen=True, slots=True)
class Preferences:
    """Units that come first on screen and that a bare number is read in, and the theme.

    Attributes
    ----------
    mass_unit
        ``g`` or ``oz``.
    length_unit
        ``mm`` or ``in``, for what is measured on a car.
    distance_unit
        ``m`` or ``ft``, for what is measured along a track.
    theme
        ``auto`` (as the device), ``light`` or ``dark``.
    """

    mass_unit: str = "g"
    length_unit: str = "mm"
    distance_unit: str = "m"
    theme: str = "auto"

    @classmethod
    def chosen(cls, values: Mapping[str, str]) -> Preferences:
        """Return the preferences in `values`; what is missing or unknown takes its default."""
        known = {
            name: values[name] for name, allowed in CHOICES.items() if values.get(name) in allowed
        }
        return cls(**known)

    @classmethod
    def from_cookie(cls, text: str) -> Preferences:
        """Return the preferences kept in a cookie; a damaged one gives the defaults."""
        return cls.chosen(dict(parse_qsl(text)))

    def to_cookie(self) -> str:
        """Return the preferences as the text of a cookie."""
        return urlencode(asdict(self))
