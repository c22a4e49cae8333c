"""The one sentence that says why a plan falls short, in words a builder uses."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.ballast.aims import Level
from hillbench.ballast.layout import Layout
from hillbench.ballast.places import Posed
from hillbench.ballast.solve import Outcome
from hillbench.ballast.status import spare_names


@dataclass(frozen=True, slots=True)
class Reason:
    """All that the sentence is made of.

    Attributes
    ----------
    posed
        What was asked.
    outcome
        The best layout and its proof.
    binds
        What stands in the way most; empty for nothing.
    nowhere
        Kinds that fit nowhere.
    inside_g
        Mass that is possible inside the window; None for unknown.
    told
        The best remedies: words, grams reached, inside the window, cm³ freed.
    """

    posed: Posed
    outcome: Outcome
    binds: str
    nowhere: tuple[str, ...]
    inside_g: float | None
    told: tuple[tuple[str, float, bool, float], ...]


def sentence(reason: Reason) -> str:
    """Return what is short or outside, what binds, and what would help."""
    layout, target_g = reason.outcome.layout, reason.posed.balance.target_mg / 1000.0
    parts = []
    proven = ", proven" if reason.outcome.level(Level.MASS).proven else ""
    if layout.score.short:
        short_g = target_g - layout.mass_mg / 1000.0
        why = _shortage(reason.posed, layout)
        parts.append(f"{short_g:.2f} g short of {target_g:.2f} g{proven}: {why}")
    if layout.score.outside:
        parts.append(_balance_words(reason.posed, layout))
        if reason.inside_g is not None:
            parts.append(f"{reason.inside_g:.2f} g would lie inside it")
    if reason.binds:
        parts.append(f"the {reason.binds} is most in the way")
    if reason.nowhere:
        parts.append(f"no room anywhere for the {' or the '.join(reason.nowhere)}")
    told = [_remedy_words(*one) for one in reason.told]
    parts.append(", ".join(told) if told else "no change that was tried helps")
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def _remedy_words(text: str, reached_g: float, inside: bool, freed_cm3: float) -> str:
    freed = f"free {freed_cm3:.1f} cm³ and " if freed_cm3 >= 0.05 else ""
    window = "" if inside else ", outside the window"
    return f"{text} would {freed}reach {reached_g:.2f} g{window}"


def _shortage(posed: Posed, layout: Layout) -> str:
    spare = spare_names(posed, layout)
    if spare:
        return f"there is no room for another {' or '.join(spare[:3])}"
    used = len(layout.laid)
    if used == sum(kind.count for kind in posed.kinds if not kind.is_putty and not kind.cut_mm):
        return "every piece in the drawer is in"
    return "no sum of the pieces left comes nearer"


def _balance_words(posed: Posed, layout: Layout) -> str:
    """Return how far outside its limits the centre of gravity is."""
    place = [moment / layout.mass_mg / 100.0 for moment in layout.moments]
    mass_g = layout.mass_mg / 1000.0
    low, high = (end / 100.0 for end in posed.balance.window)
    at = f"at {mass_g:.2f} g the centre of gravity is"
    if place[0] < low:
        return f"{at} {low - place[0]:.2f} mm behind its window"
    if place[0] > high:
        return f"{at} {place[0] - high:.2f} mm ahead of its window"
    return f"{at} {abs(place[1]):.2f} mm to the side, more than allowed"
