"""What is entered to plan a build, in base units."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass, fields
from datetime import datetime
from typing import Any, Final

from hillbench.building.drilling import DENSITY_G_CM3
from hillbench.building.plan import Fixing
from hillbench.errors import Problem

_MOST: Final = {"rivets": 8, "screws": 8, "decals": 200, "graphite_rounds": 9}


@dataclass(frozen=True, slots=True)
class PieceEntry:
    """Pieces of weight from the drawer.

    Attributes
    ----------
    item_id
        The item.
    count
        How many.
    """

    item_id: int
    count: int


@dataclass(frozen=True, slots=True)
class BuildEntry:
    """What a build is to do; whatever is 0, None or empty is left out.

    Attributes
    ----------
    material
        What base and posts are of: ``zinc``, ``aluminium``, ``brass`` or ``abs``.
    rivets
        Rivets to be drilled.
    rivet_head_mm, rivet_head_height_mm
        Diameter and height of a rivet's head, mm.
    screws
        Screws that close the car.
    thread, drill
        Thread and the drill at hand, as typed: ``2-56``, ``#50``; no drill for the usual one.
    formed
        Whether the screw forms its thread.
    screw_head
        ``pan``, ``socket cap`` or ``countersunk``.
    screw_length_mm, base_thickness_mm, post_height_mm
        Screw under its head, base, and post, mm.
    screw_item_id
        The screw in the drawer.
    trim_g, trim_text
        What is cut away inside, g, and what that is.
    use_ballast_plan
        Whether the pieces are those of the car's chosen ballast plan.
    pieces
        Pieces from the drawer, where no plan is used.
    fixing
        What holds them.
    wheel_item_id, wheel_amount, wheel_change_g
        New wheels from the drawer, how many, and what all weigh more than the old ones, g.
    decals, decals_sealed
        How many decals, and whether a clear coat goes over them.
    film_item_id
        The film they are printed on; one sheet is drawn.
    graphite_rounds, lubricant_item_id
        Rounds of graphite at most, and the lubricant in the drawer.
    """

    material: str = "zinc"
    rivets: int = 0
    rivet_head_mm: float | None = None
    rivet_head_height_mm: float | None = None
    screws: int = 0
    thread: str = ""
    drill: str = ""
    formed: bool = False
    screw_head: str = "pan"
    screw_length_mm: float | None = None
    base_thickness_mm: float | None = None
    post_height_mm: float | None = None
    screw_item_id: int | None = None
    trim_g: float = 0.0
    trim_text: str = ""
    use_ballast_plan: bool = False
    pieces: tuple[PieceEntry, ...] = ()
    fixing: Fixing = Fixing.TAPE
    wheel_item_id: int | None = None
    wheel_amount: float = 4.0
    wheel_change_g: float = 0.0
    decals: int = 0
    decals_sealed: bool = False
    film_item_id: int | None = None
    graphite_rounds: int = 0
    lubricant_item_id: int | None = None

    def to_plain(self) -> dict[str, Any]:
        """Return it as JSON holds it."""
        plain = asdict(self)
        return {**plain, "fixing": str(self.fixing), "pieces": list(plain["pieces"])}

    @classmethod
    def from_plain(cls, plain: dict[str, Any]) -> BuildEntry:
        """Return the entry that was kept so; what it does not know is left out."""
        known = {field.name for field in fields(cls)}
        values = {name: value for name, value in plain.items() if name in known}
        values["pieces"] = tuple(PieceEntry(**one) for one in values.get("pieces", ()))
        values["fixing"] = Fixing(values.get("fixing", "tape"))
        return cls(**values)


@dataclass(frozen=True, slots=True)
class BuildTerms:
    """What a build is called and held to.

    Attributes
    ----------
    name
        What it is called.
    note
        May be empty.
    limit_g
        Most mass of its class, g; None for none.
    other_scale_step_g
        Smallest step of the scale that decides, g.
    meet_at
        When it must be ready, UTC; None where nothing presses.
    bench_from_minute, bench_to_minute
        Time at the bench on each day, minutes after midnight by the local clock.
    """

    name: str
    note: str = ""
    limit_g: float | None = None
    other_scale_step_g: float = 0.1
    meet_at: datetime | None = None
    bench_from_minute: int = 19 * 60
    bench_to_minute: int = 21 * 60 + 30


def entry_problems(entry: BuildEntry) -> Iterator[Problem]:
    """Yield what no build can be asked to do.

    Parameters
    ----------
    entry
        As entered.
    """
    for where, most in _MOST.items():
        count = getattr(entry, where)
        if not 0 <= count <= most:
            yield Problem(where, str(count), f"between 0 and {most}")
    if entry.material not in DENSITY_G_CM3:
        yield Problem("material", repr(entry.material), f"one of {', '.join(DENSITY_G_CM3)}")
    if not 0.0 <= entry.trim_g <= 100.0:
        yield Problem("trim_g", f"{entry.trim_g:g} g", "between 0 and 100 g")
    if not -50.0 <= entry.wheel_change_g <= 50.0:
        yield Problem("wheel_change_g", f"{entry.wheel_change_g:g} g", "between −50 and 50 g")
    if not 0.0 < entry.wheel_amount <= 12.0:
        yield Problem("wheel_amount", f"{entry.wheel_amount:g}", "more than 0 and at most 12")
