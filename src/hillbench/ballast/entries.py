"""What a task may hold: every entry that cannot be used, in one sentence each."""

from __future__ import annotations

import math
from collections.abc import Iterator

from hillbench.ballast.cavity import Cavity
from hillbench.ballast.metal import questioned
from hillbench.ballast.room import map_room
from hillbench.ballast.stock import StockPiece
from hillbench.ballast.surfaces import surface_problems
from hillbench.ballast.task import BallastTask
from hillbench.errors import InvalidInput, Problem

MOST_KINDS = 100
MOST_PIECES = 300
MOST_CELLS = 60_000


def require_task(task: BallastTask) -> BallastTask:
    """Return the task unchanged, or raise `InvalidInput` with every problem."""
    problems = [*_car(task), *_cavity(task.cavity), *_stock(task)]
    if not problems:
        problems = [*_together(task)]
    if problems:
        raise InvalidInput(problems)
    return task


def outside(where: str, value: float, least: float, most: float, unit: str) -> Iterator[Problem]:
    """Yield a problem where a value is not within its range."""
    if not least <= value <= most:
        seen = f"{value:g} {unit}".rstrip()
        yield Problem(where, seen, f"between {least:g} and {most:g} {unit}".rstrip())


def ends(where: str, values: tuple[float, ...], unit: str, remedy: str) -> Iterator[Problem]:
    """Yield a problem where two values are not a low and a high end."""
    if len(values) != 2:
        yield Problem(where, f"{len(values)} numbers", "two numbers, the lower first")
    elif not values[0] < values[1]:
        seen = f"{values[0]:g} to {values[1]:g} {unit}"
        yield Problem(where, seen, "two numbers, the lower first", remedy)


def _car(task: BallastTask) -> Iterator[Problem]:
    yield from outside("wheelbase_mm", task.wheelbase_mm, 10.0, 200.0, "mm")
    yield from outside("limit_g", task.limit_g, 1.0, 1000.0, "g")
    yield from outside("scale_guard_g", task.scale_guard_g, 0.0, 5.0, "g")
    yield from outside("max_overhang", task.max_overhang, 0.0, 0.45, "")
    yield from outside("floor_support", task.floor_support, 0.3, 1.0, "")
    grid = [*outside("grid_mm", task.grid_mm, 0.2, 5.0, "mm")]
    yield from grid
    if not grid and abs(task.grid_mm * 10 - round(task.grid_mm * 10)) > 1e-9:
        yield Problem("grid_mm", f"{task.grid_mm:g} mm", "a whole number of tenths of a mm")
    where, window = "cg.window_ahead_of_rear_axle", task.cg.window_ahead_of_rear_axle
    if len(window) != 2 or not 0.0 <= window[0] <= window[-1] <= 1.0:
        seen = " to ".join(f"{share:g}" for share in window) or "empty"
        yield Problem(where, seen, "two shares of the wheelbase from 0 to 1, the lower first")
    if task.cg.side_max_mm is not None:
        yield from outside("cg.side_max_mm", task.cg.side_max_mm, 0.0, 50.0, "mm")
    if not task.fixed:
        yield Problem("fixed", "empty", "at least the bare car", "weigh the car without ballast")
    for number, thing in enumerate(task.fixed):
        for name in ("mass_g", "x_mm", "y_mm", "z_mm"):
            yield from outside(
                f"fixed[{number}].{name}", getattr(thing, name), -500, 500, name[-2:]
            )


def _cavity(cavity: Cavity) -> Iterator[Problem]:
    measure = "measure it again"
    yield from ends("cavity.x_mm", cavity.x_mm, "mm", measure)
    yield from ends("cavity.y_mm", cavity.y_mm, "mm", measure)
    for name in ("x_mm", "y_mm"):
        for value in getattr(cavity, name):
            yield from outside(f"cavity.{name}", value, -300.0, 300.0, "mm")
    yield from outside("cavity.floor_z_mm", cavity.floor_z_mm, 0.0, 100.0, "mm")
    yield from outside("cavity.wall_clearance_mm", cavity.wall_clearance_mm, 0.0, 20.0, "mm")
    yield from surface_problems(cavity)


def _stock(task: BallastTask) -> Iterator[Problem]:
    if not task.stock and task.putty is None:
        yield Problem(
            "stock", "empty", "at least one piece or putty", "enter what is in the drawer"
        )
    if len(task.stock) > MOST_KINDS:
        remedy = "leave out what you would not use"
        yield Problem("stock", f"{len(task.stock)} kinds", f"at most {MOST_KINDS} kinds", remedy)
        return
    total = sum(piece.count for piece in task.stock)
    if total > MOST_PIECES:
        yield Problem("stock", f"{total} pieces", f"at most {MOST_PIECES} pieces in all")
    for number, piece in enumerate(task.stock):
        yield from _piece(f"stock[{number}]", piece)
    if task.putty is not None:
        yield from outside("putty.density_g_cm3", task.putty.density_g_cm3, 0.5, 20.0, "g/cm³")
        yield from outside("putty.max_g", task.putty.max_g, 0.01, 100.0, "g")


def _piece(where: str, piece: StockPiece) -> Iterator[Problem]:
    numbers = (2, 3) if piece.strip or piece.shape == "cylinder" else (3,)
    if len(piece.size_mm) not in numbers:
        allowed = " or ".join(str(number) for number in numbers)
        yield Problem(f"{where}.size_mm", f"{len(piece.size_mm)} numbers", f"{allowed} numbers")
        return
    yield from outside(f"{where}.count", piece.count, 0, 200, "")
    yield from outside(f"{where}.tape_mm", piece.tape_mm, 0.0, 3.0, "mm")
    for edge in sorted(set(piece.size_mm)):
        yield from outside(f"{where}.size_mm", edge, 0.2, 100.0, "mm")
    if piece.shape not in ("box", "cylinder"):
        yield Problem(f"{where}.shape", repr(piece.shape), "box or cylinder")
    elif piece.shape == "cylinder" and len(set(piece.size_mm[1:])) > 1:
        yield Problem(f"{where}.size_mm", "two diameters", "length, diameter, the same diameter")
    if piece.strip is not None:
        yield from _strip(where, piece)
    elif piece.mass_g is None:
        yield Problem(f"{where}.mass_g", "missing", "its mass in g, or a strip", "weigh one")
    elif not 0.01 <= piece.mass_g <= 100.0:
        yield from outside(f"{where}.mass_g", piece.mass_g, 0.01, 100.0, "g")
    elif min(piece.size_mm) > 0.0:
        yield from questioned(where, piece)


def _strip(where: str, piece: StockPiece) -> Iterator[Problem]:
    strip = piece.strip
    if strip is None:
        return
    if piece.mass_g is not None:
        yield Problem(f"{where}.mass_g", f"{piece.mass_g:g} g", "left out for a strip")
    yield from outside(f"{where}.strip.min_mm", strip.min_mm, 1.0, 100.0, "mm")
    yield from outside(f"{where}.strip.max_mm", strip.max_mm, max(strip.min_mm, 1.0), 100.0, "mm")
    yield from outside(f"{where}.strip.step_mm", strip.step_mm, 0.5, 50.0, "mm")
    yield from outside(f"{where}.strip.g_per_mm", strip.g_per_mm, 0.001, 10.0, "g/mm")


def _together(task: BallastTask) -> Iterator[Problem]:
    """Yield what is wrong with entries that are each possible."""
    bare_g = sum(thing.mass_g for thing in task.fixed)
    if bare_g <= 0.0:
        yield Problem("fixed", f"{bare_g:g} g in all", "more than 0 g", "weigh the bare car")
    elif task.limit_g - task.scale_guard_g < bare_g:
        yield Problem(
            "limit_g",
            f"{task.limit_g:g} g",
            f"at least {bare_g + task.scale_guard_g:g} g: the bare car and the guard of the scale",
            "take something out of the car or run it in another class",
        )
    cells = math.prod(
        (high - low) / task.grid_mm for low, high in (task.cavity.x_mm, task.cavity.y_mm)
    )
    if cells > MOST_CELLS:
        yield Problem("grid_mm", f"{task.grid_mm:g} mm", f"at most {MOST_CELLS} cells of floor")
        return
    room = map_room(task.cavity, task.grid_mm)
    if room.floor.size == 0:
        remedy = "measure the inside again or take a finer grid_mm"
        yield Problem("cavity", "without room between its walls", "at least one cell", remedy)
    elif not (room.ceiling > room.floor).any():
        yield from _closed(task)


def _closed(task: BallastTask) -> Iterator[Problem]:
    """Yield whether the ceiling or the keep-outs close a cavity."""
    bare = Cavity(
        task.cavity.x_mm, task.cavity.y_mm, task.cavity.floor_z_mm, task.cavity.ceiling, ()
    )
    room = map_room(bare, task.grid_mm)
    if room.floor.size and (room.ceiling > room.floor).any():
        remedy = "make them smaller or their clearance less"
        yield Problem("cavity.keep_outs", "all of the cavity", "less than all of it", remedy)
    else:
        seen = "nowhere above the floor"
        yield Problem(
            "cavity.ceiling", seen, "higher than the floor", "measure floor and roof again"
        )
