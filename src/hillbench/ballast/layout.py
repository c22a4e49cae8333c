"""Pieces laid in a car: the whole-number form of a plan, and its score."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.ballast.balance import Score, score
from hillbench.ballast.places import Place, Posed


@dataclass(frozen=True, slots=True)
class Laid:
    """One piece at its place.

    Attributes
    ----------
    place
        Class of its placement.
    turned
        Whether its longer edge lies across the car.
    along, across
        Cell of its low corner.
    parent
        Number of the piece that carries it in the layout; -1 on the floor.
    mass_mg
        Its mass.
    """

    place: Place
    turned: bool
    along: int
    across: int
    parent: int
    mass_mg: int

    @property
    def extent(self) -> tuple[int, int]:
        """Edges along and across the car, tenths of a mm."""
        lay = self.place.lay
        return (lay.broad, lay.long) if self.turned else (lay.long, lay.broad)


@dataclass(frozen=True, slots=True)
class Layout:
    """All pieces in a car.

    Attributes
    ----------
    laid
        The pieces; each after the one that carries it.
    mass_mg
        Mass of the whole car.
    moments
        Its moments along, across and up, mg times hundredths of a mm.
    score
        How good it is.
    """

    laid: tuple[Laid, ...]
    mass_mg: int
    moments: tuple[int, int, int]
    score: Score


def lay_out(problem: Posed, laid: tuple[Laid, ...]) -> Layout:
    """Return pieces with their mass, moments and score."""
    balance, room = problem.balance, problem.room
    mass_mg, moments = balance.fixed_mg, list(balance.fixed_moments)
    for piece in laid:
        length, width = piece.extent
        centre = (
            2 * (room.x_low + room.step * piece.along) + length,
            2 * (room.y_low + room.step * piece.across) + width,
            problem.centre_z(piece.place),
        )
        mass_mg += piece.mass_mg
        for axis in range(3):
            moments[axis] += 5 * piece.mass_mg * centre[axis]
    total = (moments[0], moments[1], moments[2])
    return Layout(laid, mass_mg, total, score(balance, mass_mg, total, len(laid)))


def in_order(laid: list[Laid]) -> tuple[Laid, ...]:
    """Return pieces layer by layer, rear to front, with parents renumbered."""
    order = sorted(
        range(len(laid)), key=lambda i: (laid[i].place.layer, laid[i].along, laid[i].across)
    )
    number = {old: new for new, old in enumerate(order)} | {-1: -1}
    return tuple(
        Laid(
            laid[i].place,
            laid[i].turned,
            laid[i].along,
            laid[i].across,
            number[laid[i].parent],
            laid[i].mass_mg,
        )
        for i in order
    )


def trimmed_masses_mg(problem: Posed, places: list[Place]) -> list[int]:
    """Return the mass of each piece, a dab of putty trimmed to the target."""
    kinds = [problem.kind(place) for place in places]
    hard_mg = sum(kind.mass_mg for kind in kinds if not kind.is_putty)
    spare_mg = problem.balance.room_mg - hard_mg
    return [min(kind.mass_mg, spare_mg) if kind.is_putty else kind.mass_mg for kind in kinds]
