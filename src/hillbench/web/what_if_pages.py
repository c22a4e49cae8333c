"""The sliders of a car on a track and what they answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final
from urllib.parse import urlencode

from hillbench import units
from hillbench.pictures.comparison import comparison_picture
from hillbench.pictures.length_unit import LengthUnit
from hillbench.usecases.what_if import Tweak, WhatIf
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured

SLIDERS: Final[Mapping[str, tuple[str, units.Dimension, str]]] = {
    "mass_g": ("Mass", units.MASS, "g"),
    "cg_ahead_of_rear_axle_mm": ("CG ahead of rear axle", units.LENGTH, "mm"),
    "bearing_friction": ("Bearing friction", units.NUMBER, ""),
    "wall_friction": ("Wall friction", units.NUMBER, ""),
}
"""What each slider is called, what it measures and its unit."""

_SLIDER_HINTS: Final = {
    "bearing_friction": "Fresh graphite brings it down.",
    "wall_friction": "Straighter wheels and smoother walls bring it down.",
}


@dataclass(frozen=True, slots=True)
class Slider:
    """One thing that can be changed for a try.

    Attributes
    ----------
    name, label, unit, hint
        As in the address, on screen, and what moves it in real life.
    least, most, step, value, now
        Ends, step, where it stands, and where the car is now.
    """

    name: str
    label: str
    unit: str
    hint: str
    least: float
    most: float
    step: float
    value: float
    now: float

    @property
    def decimals(self) -> int:
        """How many decimals are worth showing."""
        return len(f"{self.step:g}".partition(".")[2])


@dataclass(frozen=True, slots=True)
class Answer:
    """What the sliders answer.

    Attributes
    ----------
    changed
        Whether anything differs from the car as it is.
    sentence
        The answer in words.
    gain_s, before_s, after_s
        Seconds gained, negative for lost, and both times; None where a run does not finish.
    picture
        Difference along the track; None where nothing is changed.
    """

    changed: bool
    sentence: str
    gain_s: float | None = None
    before_s: float | None = None
    after_s: float | None = None
    picture: Pictured | None = None

    @classmethod
    def of(cls, result: WhatIf, tweak: Tweak, unit: LengthUnit) -> Answer:
        """Return the answer to one try."""
        changed = any(
            value is not None and abs(value - result.ranges[name].now) > 1e-9
            for name, value in tweak_values(tweak).items()
        )
        track = result.scene.track.track
        picture = None
        if changed and min(len(run.trace.at_m) for run in (result.before, result.after)) > 1:
            picture = pictured(
                lambda width, key: comparison_picture(
                    track, result.before, result.after, width_px=width, key=key, unit=unit
                ),
                "comparison",
            )
        return cls(
            changed,
            result.sentence,
            result.gain_s,
            result.before.finish_time_s,
            result.after.finish_time_s,
            picture,
        )


@dataclass(frozen=True, slots=True)
class WhatIfPage(Page):
    """The answer of the sliders alone.

    Attributes
    ----------
    answer
        What a try answers.
    """

    template: ClassVar[str] = "car_on_track/answer_swap.html"
    place: ClassVar[str] = "cars"

    answer: Answer


def tweak_values(tweak: Tweak) -> dict[str, float | None]:
    """Return what is tried, by the name of its slider; None where the car stays as it is."""
    return {name: getattr(tweak, name) for name in SLIDERS}


def sliders_of(result: WhatIf, tweak: Tweak) -> tuple[Slider, ...]:
    """Return the sliders where a try left them."""
    values = tweak_values(tweak)
    sliders = []
    for name, (label, _, unit) in SLIDERS.items():
        span, value = result.ranges[name], values[name]
        now = span.now if value is None else value
        hint = _SLIDER_HINTS.get(name, "")
        ends = (min(span.least, now, span.now), max(span.most, now, span.now))
        sliders.append(Slider(name, label, unit, hint, *ends, span.step, now, span.now))
    return tuple(sliders)


def address_with(page_address: str, tweak: Tweak) -> str:
    """Return the address of the page with a try in it, to keep or to send on."""
    tried = {name: f"{value:g}" for name, value in tweak_values(tweak).items() if value is not None}
    return f"{page_address}?{urlencode(tried)}" if tried else page_address
