"""Bases of the parts of an exported bench."""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field

Id = Annotated[int, Field(ge=1, le=2**53 - 1)]
_STRICT: Final = ConfigDict(
    extra="forbid", from_attributes=True, allow_inf_nan=False, use_attribute_docstrings=True
)


class Document(BaseModel):
    """Base of every part of the document: unknown keys and numbers that are none are refused."""

    model_config = _STRICT


class Removable(Document):
    """A thing that may have been removed."""

    id: Id
    """Its number, referred to by other things."""
    removed_at: AwareDatetime | None = None
    """When it was removed; null while in use."""


class Named(Removable):
    """A thing with a name that no other one of its kind in use has."""

    name: str
    """1 to 200 characters."""
    note: str
    """May be empty."""
    created_at: AwareDatetime
    """When it was first kept."""
    changed_at: AwareDatetime
    """When it was last changed."""
