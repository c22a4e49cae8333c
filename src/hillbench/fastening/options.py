"""Ways of fastening a base side by side: what holds, what drives easily, what lasts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from hillbench.fastening.designation import parse_drill, parse_thread
from hillbench.fastening.drill import Drill, Method, made_percent
from hillbench.fastening.limits import usual_fit
from hillbench.fastening.material import Material, is_plastic
from hillbench.fastening.screw import clearance_drills, find_head
from hillbench.fastening.strength import Hold, hold
from hillbench.fastening.thread import Thread
from hillbench.fastening.torque import Friction, SafeTorque, bearing_diameter_mm, safe_torque


class Drive(StrEnum):
    """How hard the thread is to make; common practice, no source."""

    EASY = "easily"
    STEADY = "steadily, with oil"
    HARD = "hard, back off every quarter turn"
    NOT = "not at all, the screw or tap would break"


class Reopening(StrEnum):
    """How often the screw can come out and go in; common practice, no source."""

    OFTEN = "as often as you like"
    SOME = "some ten times, started by hand in its own thread"
    FEW = "a few times"


@dataclass(frozen=True, slots=True)
class Option:
    """One way of fastening.

    Attributes
    ----------
    thread
        Thread of the screw.
    drill
        Drill for the post.
    method
        Cut with a tap, or formed by the screw.
    """

    thread: Thread
    drill: Drill
    method: Method = Method.TAPPED


@dataclass(frozen=True, slots=True)
class Rating:
    """What one way of fastening comes to.

    Attributes
    ----------
    option
        The way.
    percent
        Percent of a full thread made in the post.
    held
        What post and screw hold.
    torque
        How far it may be tightened.
    drive
        How hard the thread is to make.
    reopening
        How often it can be undone.
    """

    option: Option
    percent: float
    held: Hold
    torque: SafeTorque
    drive: Drive
    reopening: Reopening


@dataclass(frozen=True, slots=True)
class Setting:
    """What all ways that are compared have in common.

    Attributes
    ----------
    post, screw
        What both are made of.
    engagement_mm
        Length of engagement, mm.
    friction
        Range of friction.
    safety_factor
        Between giving way and what is allowed.
    post_diameter_mm
        Outer diameter of the post, mm; None where it is unknown.
    head
        Kind of the screw's head.
    """

    post: Material
    screw: Material
    engagement_mm: float
    friction: Friction
    safety_factor: float
    post_diameter_mm: float | None = None
    head: str = "pan"


USUAL: Final = (
    ("2-56", "5/64", Method.TAPPED),
    ("2-56", "#50", Method.TAPPED),
    ("M2x0.4", "1.6mm", Method.TAPPED),
    ("2-56", "5/64", Method.FORMED),
)
"""The ways most often weighed against each other at the bench."""


def usual_options() -> tuple[Option, ...]:
    """Return the ways most often weighed against each other."""
    return tuple(
        Option(parse_thread(thread), parse_drill(drill), method) for thread, drill, method in USUAL
    )


def fits(option: Option) -> bool:
    """Return whether the hole is smaller than every screw of the size."""
    return option.drill.diameter_mm < usual_fit(option.thread).external.major_mm.least_mm


def rate(option: Option, setting: Setting) -> Rating:
    """Return what one way of fastening comes to.

    Parameters
    ----------
    option
        The way; its hole must be smaller than the screw.
    setting
        What it is done in and with.
    """
    thread, drill_mm = option.thread, option.drill.diameter_mm
    held = hold(
        thread,
        drill_mm,
        setting.engagement_mm,
        setting.post,
        setting.screw,
        option.method,
        setting.post_diameter_mm,
    )
    rubbing = bearing_diameter_mm(
        find_head(thread, setting.head).diameter_mm,
        clearance_drills(thread)["normal"].diameter_mm,
    )
    torque = safe_torque(
        thread, held, setting.screw.yield_mpa, rubbing, setting.friction, setting.safety_factor
    )
    percent = made_percent(thread, drill_mm, option.method)
    drive = rate_drive(percent, option.method, setting.post)
    return Rating(
        option, percent, held, torque, drive, rate_reopening(percent, option.method, setting.post)
    )


def compare(options: Sequence[Option], setting: Setting) -> tuple[Rating, ...]:
    """Return what several ways come to, the one whose post holds most first.

    Parameters
    ----------
    options
        The ways; one that does not fit its hole is left out.
    setting
        What they are done in and with.
    """
    ratings = [rate(option, setting) for option in options if fits(option)]
    return tuple(sorted(ratings, key=lambda rating: -rating.held.post_n))


def rate_drive(percent: float, method: Method, post: Material) -> Drive:
    """Return how hard a thread is to make.

    Parameters
    ----------
    percent
        Percent of a full thread.
    method
        Cut or formed.
    post
        What the post is made of.

    Notes
    -----
    Common practice, no source. A tap works at most in the hole of the basic minor diameter,
    83 % of a full thread; forming has no room for the metal beyond 100 %.
    """
    if method is Method.FORMED:
        if percent > 100.0:
            return Drive.NOT
        if is_plastic(post):
            return Drive.EASY if percent <= 75.0 else Drive.STEADY
        return Drive.STEADY if percent <= 50.0 else Drive.HARD
    if percent > 83.4:
        return Drive.NOT
    if percent <= 55.0 or is_plastic(post):
        return Drive.EASY
    return Drive.STEADY if percent <= 78.0 else Drive.HARD


def rate_reopening(percent: float, method: Method, post: Material) -> Reopening:
    """Return how often a screw can come out and go in.

    Parameters
    ----------
    percent
        Percent of a full thread.
    method
        Cut or formed.
    post
        What the post is made of.
    """
    if percent < 45.0:
        return Reopening.FEW
    if is_plastic(post):
        return Reopening.SOME if method is Method.FORMED else Reopening.FEW
    return Reopening.OFTEN if method is Method.TAPPED else Reopening.SOME
