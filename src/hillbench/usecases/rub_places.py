"""Where a car may rub: what to look at, why it matters and what helps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class RubPlace:
    """One place to look at.

    Attributes
    ----------
    name
        Under which the answer is kept.
    question
        What is to be so.
    how
        How to look, in one sentence.
    remedy
        What helps where it is not so.
    """

    name: str
    question: str
    how: str
    remedy: str


PLACES: Final = (
    RubPlace(
        "base",
        "The base lies flat with its screws tight",
        "Lay a straightedge along it; loosen each screw half a turn and see whether it springs.",
        "Back the screws off until they only hold, or shorten the post that stands proud: a bowed"
        " base pinches the axles.",
    ),
    RubPlace(
        "wheels_alone",
        "Each wheel spins freely with the car held up",
        "Flick one after the other and listen; it should run out softly and stop without a jerk.",
        "Look for flash, paint or glue on axle and bore; clean them before any graphite.",
    ),
    RubPlace(
        "wheels_loaded",
        "Each wheel turns freely under the weight of the car",
        "Roll the car slowly over paper with a dot on each tread: every dot must come round.",
        "An axle bends or sits too deep under load: support it, or set the weight back from it.",
    ),
    RubPlace(
        "arches",
        "Nothing touches a tread: arches, fenders, weight, decals",
        "Push the body down and to each side over the full play of the axles while a wheel turns.",
        "Trim the arch from inside or raise the body; keep weight and film 0.5 mm clear.",
    ),
    RubPlace(
        "faces",
        "No wheel rubs with its face on the body or on the base",
        "Push each axle to both ends of its play and spin the wheel.",
        "Take a little off the hub's stop or the base's edge; a smear of graphite on the face only"
        " helps a little.",
    ),
    RubPlace(
        "play",
        "Each axle has a little play sideways and none that lets it turn out of line",
        "About 0.3 mm (a sheet or three of paper) sideways: common practice, no source.",
        "Bend the holders gently, or shim them: too little play rubs, too much lets it steer.",
    ),
    RubPlace(
        "inside",
        "Nothing inside touches an axle: interior, weight, putty, screws",
        "Hold the car against a lamp and look past the axles, then shake it at your ear.",
        "Cut the interior back, press the putty away, use a shorter screw.",
    ),
)
"""In the order they are looked at. Where nothing else is said: common practice, no source."""

NAMES: Final = tuple(place.name for place in PLACES)
