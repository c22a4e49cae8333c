"""Heads, stock lengths and clearance holes of screws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from hillbench.fastening.designation import parse_drill
from hillbench.fastening.drill import Drill
from hillbench.fastening.tables import read_table, to_mm
from hillbench.fastening.thread import System, Thread

FITS: Final = ("close", "normal", "loose")
"""How freely a screw passes its hole in the base."""

_ROUGH_HEAD: Final = 1.9
_ROUGH_HEIGHT: Final = 0.6


@dataclass(frozen=True, slots=True)
class Head:
    """The head of a screw.

    Attributes
    ----------
    kind
        ``pan``, ``socket cap`` or ``countersunk``.
    diameter_mm, height_mm
        Largest diameter and height, mm.
    drive
        What turns it.
    source
        Where the sizes are from.
    """

    kind: str
    diameter_mm: float
    height_mm: float
    drive: str
    source: str


def heads(thread: Thread) -> tuple[Head, ...]:
    """Return the heads of the table for a thread's size; a rough pan head where it has none."""
    found = tuple(
        Head(
            row["kind"],
            to_mm(row["diameter"], row["unit"]),
            to_mm(row["height"], row["unit"]),
            row["drive"],
            f"{row['source']}, {row['edition']}",
        )
        for row in read_table("heads")
        if row["size"] == thread.size
    )
    if found:
        return found
    width, height = _ROUGH_HEAD * thread.major_mm, _ROUGH_HEIGHT * thread.major_mm
    return (Head("pan", width, height, "unknown", "common practice, no source"),)


def find_head(thread: Thread, kind: str) -> Head:
    """Return the head of a kind, or the pan head where the size has none of that kind.

    Parameters
    ----------
    thread
        Thread of the screw.
    kind
        ``pan``, ``socket cap`` or ``countersunk``.
    """
    known = {head.kind: head for head in heads(thread)}
    return known.get(kind) or known["pan"]


def stock_lengths_mm(thread: Thread) -> Mapping[str, float]:
    """Return the lengths that screws of a thread's system are sold in, mm by name."""
    system = "metric" if thread.system is System.METRIC else "inch"
    return {
        f"{row['length']} {row['unit']}": to_mm(row["length"], row["unit"])
        for row in read_table("lengths")
        if row["system"] == system
    }


def clearance_drills(thread: Thread) -> Mapping[str, Drill]:
    """Return the drill for the hole in the base, for each of the `FITS`."""
    row = next(row for row in read_table("clearance") if row["size"] == thread.size)
    return {fit: parse_drill(row[fit], "clearance") for fit in FITS}
