"""Where a reading that would tell something is taken or entered."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.fitting.information import Expected, ReadingKind


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """What a further reading would tell.

    Attributes
    ----------
    name
        What would be done.
    minutes
        What it typically takes.
    told
        What it would tell, in its unit: bits, or percent of the doubt left.
    bar
        The same on a scale of 100.
    address, action
        Where it is taken or entered, and what that is called.
    """

    name: str
    minutes: float
    told: float
    bar: float
    address: str
    action: str


def chosen_readings(readings: tuple[Expected, ...], most: int) -> tuple[Expected, ...]:
    """Return the first readings; of all places for a gate only the best."""
    chosen: list[Expected] = []
    for one in readings:
        again = any(known.kind is one.kind for known in chosen)
        if one.kind is not ReadingKind.GATE or not again:
            chosen.append(one)
    return tuple(chosen[:most])


def reading_line(
    one: Expected, told: float, bar: float, *, car_id: int, track_id: int
) -> ReadingLine:
    """Return a reading with the page where it is taken or entered."""
    runs = f"/clock?track={track_id}&car={car_id}"
    tests = f"/cars/{car_id}/tests"
    address, action = {
        ReadingKind.RUNS: (runs, "Time them"),
        ReadingKind.HEAVIER: (f"/cars/{car_id}#mass", "Weigh it, then time it"),
        ReadingKind.GATE: (f"/tracks/{track_id}", "Add a gate to the track"),
        ReadingKind.COAST_OUT: (f"{tests}#coast-outs", "Enter a coast-out"),
        ReadingKind.SPIN_DOWN: (f"{tests}#spins", "Enter a spin-down"),
    }[one.kind]
    return ReadingLine(one.name, one.minutes, told, bar, address, action)
