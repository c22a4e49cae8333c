"""Cavities and ballast plans in an exported bench."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AwareDatetime, Field

from hillbench.records.document import Id, Removable


class Cavity(Removable):
    """The inside of a casting as it was measured once; the latest in use counts."""

    casting_id: Id
    """The casting."""
    at: AwareDatetime
    """When it was measured."""
    body_style: str
    """Template it began from."""
    measured: dict[str, Any]
    """Readings in mm, keep-outs and outlines."""
    note: str
    """May be empty."""


class BallastPlan(Removable):
    """Which piece of ballast goes where in a car."""

    car_id: Id
    """The car."""
    made_at: AwareDatetime
    """When it was worked out."""
    chosen_at: AwareDatetime | None = None
    """When it was chosen to be built; null for an alternative."""
    name: str
    """In a few words."""
    question_key: Annotated[str, Field(max_length=64)]
    """The same question has the same key."""
    question: dict[str, Any]
    """As in the file of `hillbench ballast`."""
    plan: dict[str, Any]
    """Places of the pieces, mm."""
    answer: dict[str, Any]
    """As `hillbench ballast --json` tells it."""
