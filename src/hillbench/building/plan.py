"""What a build is to do, from which its steps are made."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from hillbench.building.step import Draw


class Fixing(StrEnum):
    """What holds the pieces of weight."""

    TAPE = "tape"
    CYANOACRYLATE = "cyanoacrylate"
    EPOXY = "epoxy"


@dataclass(frozen=True, slots=True)
class Opening:
    """Rivets to be drilled; drills by name.

    Attributes
    ----------
    rivets
        How many.
    head_mm, head_height_mm
        Diameter and height of a head, mm.
    pilot, pilot_mm
        The drill that goes first, and its diameter, mm.
    head_drill
        The drill that takes the head off.
    """

    rivets: int
    head_mm: float
    head_height_mm: float
    pilot: str
    pilot_mm: float
    head_drill: str


@dataclass(frozen=True, slots=True)
class Closing:
    """Screws that close the car; drill by name.

    Attributes
    ----------
    screws
        How many.
    thread
        Designation, such as ``2-56``.
    screw
        The screw in words: thread, length and head.
    screw_mass_g
        Mass of one, g.
    drill, drill_mm
        Drill for the thread and its diameter, mm.
    drill_depth_mm, tap_depth_mm
        How deep to drill (full diameter) and to tap, mm.
    formed
        Whether the screw or a forming tap makes the thread without cutting.
    torque_n_mm
        Tighten no more than this, N mm.
    draw
        What is drawn from the drawer for all of them; None for nothing.
    """

    screws: int
    thread: str
    screw: str
    screw_mass_g: float
    drill: str
    drill_mm: float
    drill_depth_mm: float
    tap_depth_mm: float
    formed: bool
    torque_n_mm: float
    draw: Draw | None = None


@dataclass(frozen=True, slots=True)
class Piece:
    """Pieces of weight that go in together.

    Attributes
    ----------
    name
        What they are.
    count
        How many.
    mass_g, uncertainty_g
        Mass of one and its standard uncertainty, g.
    place
        Where they go, in words; may be empty.
    metal
        What they are of; empty where not known.
    draw
        What is drawn from the drawer for all of them; None for nothing.
    """

    name: str
    count: int
    mass_g: float
    uncertainty_g: float
    place: str = ""
    metal: str = ""
    draw: Draw | None = None

    @property
    def is_lead(self) -> bool:
        """Whether they are of lead, or may be by their name."""
        return self.metal == "lead" or (not self.metal and "lead" in self.name.casefold())


@dataclass(frozen=True, slots=True)
class Decals:
    """Decals to be applied.

    Attributes
    ----------
    count
        How many.
    mass_g
        What they weigh in all once dry, g.
    sealed
        Whether a clear coat goes over them.
    draw
        What is drawn from the drawer; None for nothing.
    """

    count: int
    mass_g: float
    sealed: bool
    draw: Draw | None = None


@dataclass(frozen=True, slots=True)
class Wheels:
    """Wheels that are changed.

    Attributes
    ----------
    name
        The new ones.
    change_g, uncertainty_g
        What all of them weigh more than the old ones, and its standard uncertainty, g.
    draw
        What is drawn from the drawer; None for nothing.
    """

    name: str
    change_g: float
    uncertainty_g: float
    draw: Draw | None = None


@dataclass(frozen=True, slots=True)
class Graphite:
    """Rounds of dry graphite.

    Attributes
    ----------
    rounds
        How many at most; stop when the last one gained nothing.
    name
        The lubricant.
    round_g
        How much stays in the car each round, g.
    draw
        What is drawn from the drawer for one round; None for nothing.
    """

    rounds: int
    name: str = "dry graphite"
    round_g: float = 0.01
    draw: Draw | None = None


@dataclass(frozen=True, slots=True)
class BuildPlan:
    """All that a build is to do; what is None is left out.

    Attributes
    ----------
    material
        What base and posts are of, as in `hillbench.building.drilling`.
    opening
        Rivets to be drilled.
    closing
        Screws that close the car.
    trim_g, trim_uncertainty_g
        What is cut away inside, and its standard uncertainty, g; 0 for nothing.
    trim_text
        What is cut away, in words.
    pieces
        Pieces of weight in the order they go in.
    fixing
        What holds them.
    putty_g, putty_stop_g
        Putty that trims the mass at the end, 0 for none, and what the finished car is to
        weigh, None where not known, g.
    screws_counted
        Whether the ballast plan behind the putty counts the screws already.
    wheels
        Wheels that are changed.
    decals
        Decals to be applied.
    graphite
        Rounds of graphite.
    limit_g
        Most mass of the class, g; None for none.
    """

    material: str = "zinc"
    opening: Opening | None = None
    closing: Closing | None = None
    trim_g: float = 0.0
    trim_uncertainty_g: float = 0.0
    trim_text: str = ""
    pieces: tuple[Piece, ...] = ()
    fixing: Fixing = Fixing.TAPE
    putty_g: float = 0.0
    putty_stop_g: float | None = None
    screws_counted: bool = False
    wheels: Wheels | None = None
    decals: Decals | None = None
    graphite: Graphite | None = None
    limit_g: float | None = None
