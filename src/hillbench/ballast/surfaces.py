"""What the surfaces and keep-outs of a cavity may hold."""

from __future__ import annotations

from collections.abc import Iterator

from hillbench.ballast.cavity import Cavity, Ceiling, KeepOut
from hillbench.errors import Problem

_MOST = 100


def surface_problems(cavity: Cavity) -> Iterator[Problem]:
    """Yield every ceiling and keep-out that cannot be used."""
    if not cavity.ceiling:
        yield Problem("cavity.ceiling", "empty", "at least one surface", "measure up to the roof")
    for name, things in (("ceiling", cavity.ceiling), ("keep_outs", cavity.keep_outs)):
        if len(things) > _MOST:
            yield Problem(f"cavity.{name}", f"{len(things)} entries", f"at most {_MOST}")
            return
    for number, surface in enumerate(cavity.ceiling):
        yield from _ceiling(f"cavity.ceiling[{number}]", surface)
    for number, keep_out in enumerate(cavity.keep_outs):
        yield from _keep_out(f"cavity.keep_outs[{number}]", keep_out)


def _ceiling(where: str, surface: Ceiling) -> Iterator[Problem]:
    yield from _clearance(where, surface.clearance_mm)
    if surface.kind == "profile":
        points = (surface.from_mm, surface.to_mm)
        if any(point is None or len(point) != 2 for point in points):
            yield Problem(where, "without two ends", 'a profile "from" [x, z] "to" [x, z]')
        elif (
            surface.from_mm and surface.to_mm and abs(surface.from_mm[0] - surface.to_mm[0]) < 0.01
        ):
            yield Problem(where, "upright", "two ends at different x", "leave an upright line out")
    elif surface.kind == "side":
        if surface.half_width_mm is None or surface.z_from_mm is None or surface.lean is None:
            yield Problem(where, "incomplete", "a side with half_width_mm, z_from_mm and lean")
        elif surface.half_width_mm <= 0.0 or not 0.0 <= surface.lean <= 10.0:
            seen = f"half_width_mm {surface.half_width_mm:g}, lean {surface.lean:g}"
            yield Problem(where, seen, "a half-width above 0 and a lean between 0 and 10")
    else:
        yield Problem(f"{where}.kind", repr(surface.kind), "profile or side")


def _keep_out(where: str, keep_out: KeepOut) -> Iterator[Problem]:
    yield from _clearance(where, keep_out.clearance_mm)
    heights = keep_out.z_mm
    if heights is not None:
        low, high = (*heights, None, None)[:2]
        if len(heights) != 2 or (low is not None and high is not None and low >= high):
            yield Problem(f"{where}.z_mm", "no low and high end", "two heights, the lower first")
    if keep_out.shape == "box":
        for name in ("x_mm", "y_mm"):
            value = getattr(keep_out, name)
            if not isinstance(value, tuple) or len(value) != 2 or not value[0] < value[1]:
                yield Problem(f"{where}.{name}", repr(value), "two ends of a box, the lower first")
    elif keep_out.shape == "cylinder":
        for name in ("x_mm", "y_mm"):
            if isinstance(getattr(keep_out, name), tuple):
                yield Problem(f"{where}.{name}", "a list", "one number: the centre of the cylinder")
        if keep_out.radius_mm is None or not 0.0 < keep_out.radius_mm <= 100.0:
            seen = "missing" if keep_out.radius_mm is None else f"{keep_out.radius_mm:g} mm"
            yield Problem(f"{where}.radius_mm", seen, "more than 0 and at most 100 mm")
    else:
        yield Problem(f"{where}.shape", repr(keep_out.shape), "box or cylinder")


def _clearance(where: str, clearance_mm: float) -> Iterator[Problem]:
    if not 0.0 <= clearance_mm <= 20.0:
        yield Problem(f"{where}.clearance_mm", f"{clearance_mm:g} mm", "between 0 and 20 mm")
