"""Tell in words which of several ways of fastening holds, drives easily and lasts."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.fastening.drill import Method
from hillbench.fastening.options import Drive, Option, Rating, Reopening


def tell_comparison(ratings: Sequence[Rating]) -> str:
    """Return which way holds most, which drives easily, and which can be undone often.

    Parameters
    ----------
    ratings
        The ways, the one that holds most first; those that cannot be driven are left out.
    """
    usable = [rating for rating in ratings if rating.drive is not Drive.NOT]
    if not usable:
        return "None of these can be driven: take a larger drill."
    most = _newtons(usable[0])
    groups = (
        (f"Holds most (about {most} N)", [one for one in usable if _newtons(one) == most]),
        ("Drives easily", [one for one in usable if one.drive is Drive.EASY]),
        (f"Can be undone {Reopening.OFTEN}", _reopened(usable, Reopening.OFTEN)),
        (f"Only {Reopening.FEW}", _reopened(usable, Reopening.FEW)),
    )
    return " ".join(_told(what, members, len(usable)) for what, members in groups if members)


def name_option(option: Option) -> str:
    """Return a way of fastening in words: tapped 2-56 in #50."""
    how = "tapped" if option.method is Method.TAPPED else "self-forming"
    return f"{how} {option.thread.designation} in {option.drill.name}"


def _told(what: str, members: Sequence[Rating], of: int) -> str:
    if len(members) == of and of > 1:
        return f"{what}: all of them."
    return f"{what}: {', '.join(name_option(one.option) for one in members)}."


def _reopened(ratings: Sequence[Rating], how_often: Reopening) -> list[Rating]:
    return [rating for rating in ratings if rating.reopening is how_often]


def _newtons(rating: Rating) -> str:
    """Return the force that strips the post, to two figures: strengths are no better known."""
    return f"{float(f'{rating.held.post_n:.2g}'):.0f}"
