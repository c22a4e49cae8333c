"""Plain values of race day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime

from hillbench.racing.class_rules import ClassRules
from hillbench.racing.season import SeasonRule
from hillbench.records.role import Role


@dataclass(frozen=True, slots=True)
class RaceClass:
    """The rules cars are built to.

    Attributes
    ----------
    rules
        Limits and questions.
    from_on, until_on
        First and last day they hold; None for no such day.
    copied_from_id
        The class it began as a copy of.
    """

    id: int
    name: str
    note: str
    rules: ClassRules
    from_on: date | None
    until_on: date | None
    copied_from_id: int | None
    removed_at: datetime | None = None

    def holds_on(self, day: date) -> bool:
        """Return whether the rules hold on a day."""
        begun = self.from_on is None or self.from_on <= day
        return begun and (self.until_on is None or day <= self.until_on)


@dataclass(frozen=True, slots=True)
class Season:
    """Meets that count together."""

    id: int
    name: str
    note: str
    rule: SeasonRule
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Meet:
    """A race day.

    Attributes
    ----------
    held_on
        Its day.
    track_id, race_class_id, season_id
        Where, to which rules and in which season; None for none.
    """

    id: int
    name: str
    note: str
    held_on: date
    track_id: int | None = None
    race_class_id: int | None = None
    season_id: int | None = None
    removed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Invitation:
    """A link that lets other devices in.

    Attributes
    ----------
    meet_id
        The meet it is for; None for the whole bench.
    role
        What its bearer may do.
    label
        For whom it is.
    secret_sha256
        Digest of its secret.
    made_at, expires_at, revoked_at
        When it was made, ends, and was taken back; None while it was not.
    joined, joined_at
        How many devices joined by it, and when the last one did.
    """

    id: int
    meet_id: int | None
    role: Role
    label: str
    secret_sha256: str
    made_at: datetime
    expires_at: datetime
    revoked_at: datetime | None
    joined: int
    joined_at: datetime | None

    def is_good(self, now: datetime) -> bool:
        """Return whether it still lets anyone in."""
        return self.revoked_at is None and now < self.expires_at
