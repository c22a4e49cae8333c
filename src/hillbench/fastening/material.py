"""Strengths of what posts, bases and screws are made of."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from hillbench.errors import InvalidInput, Problem
from hillbench.fastening.tables import read_table


@dataclass(frozen=True, slots=True)
class Material:
    """A material with typical values.

    Attributes
    ----------
    name
        As it is typed: ``zinc``.
    words
        As it is told.
    use
        ``post`` (also for bases) or ``screw``.
    tensile_mpa, yield_mpa, shear_mpa
        Tensile, yield and shear strength, MPa.
    modulus_mpa
        Modulus of elasticity, MPa.
    poisson
        Poisson's ratio.
    source
        Where the values are from.
    """

    name: str
    words: str
    use: str
    tensile_mpa: float
    yield_mpa: float
    shear_mpa: float
    modulus_mpa: float
    poisson: float
    source: str


@cache
def materials() -> dict[str, Material]:
    """Return every material of the table by its name."""
    return {row["name"]: _material(row) for row in read_table("materials")}


def find_material(name: str, use: str, where: str) -> Material:
    """Return a material by its name.

    Parameters
    ----------
    name
        As typed; the case does not matter.
    use
        ``post`` or ``screw``.
    where
        Name of the field, for the message.

    Raises
    ------
    InvalidInput
        If there is none of that name for that use; names the nearest.
    """
    known = {key: one for key, one in materials().items() if one.use == use}
    found = known.get(name.strip().lower())
    if found is None:
        near = difflib.get_close_matches(name.strip().lower(), known, n=1, cutoff=0.0)
        remedy = f"did you mean {near[0]}?"
        raise InvalidInput([Problem(where, repr(name), f"one of {', '.join(known)}", remedy)])
    return found


def is_plastic(material: Material) -> bool:
    """Return whether a post of this material creeps and wears as plastics do."""
    return material.modulus_mpa < 10_000.0


def _material(row: Mapping[str, str]) -> Material:
    return Material(
        name=row["name"],
        words=row["words"],
        use=row["use"],
        tensile_mpa=float(row["tensile"]),
        yield_mpa=float(row["yield"]),
        shear_mpa=float(row["shear"]),
        modulus_mpa=float(row["modulus"]),
        poisson=float(row["poisson"]),
        source=f"{row['source']}, {row['edition']}",
    )
