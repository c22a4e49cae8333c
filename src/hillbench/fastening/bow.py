"""How far a base bows when a screw pulls it down onto a post that seats short."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from hillbench.errors import Problem
from hillbench.fastening.material import Material


@dataclass(frozen=True, slots=True)
class Base:
    """The part of a base that bends, as a strip that rests at both ends.

    Attributes
    ----------
    span_mm
        Between the places where it rests, mm.
    width_mm
        Width of the strip, mm.
    thickness_mm
        Thickness, mm.
    screw_at_mm
        From one end of the span to the screw, mm; the middle where None.
    """

    span_mm: float
    width_mm: float
    thickness_mm: float
    screw_at_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Bow:
    """What a clamping force does to a base.

    Attributes
    ----------
    bow_mm
        How far the base is drawn in at the screw, mm.
    closing_force_n
        Force that draws it onto the post, N.
    stress_mpa
        Largest bending stress, MPa.
    stays_bent
        Whether that is beyond the yield strength.
    """

    bow_mm: float
    closing_force_n: float
    stress_mpa: float
    stays_bent: bool


def stiffness_n_mm(base: Base, material: Material) -> float:
    """Return the force for each millimetre of bow at the screw, N/mm.

    Parameters
    ----------
    base
        The part that bends.
    material
        What it is made of.

    Notes
    -----
    A strip that rests at both ends under a force at a from one end and b from the other:
    F = 3 E I L w/(a² b²), in the middle 48 E I w/L³. E is raised to E/(1 - ν²) as for a plate
    bent to a cylinder, since a base is much wider than thick. S. Timoshenko, "Strength of
    Materials", part I, 3rd ed., 1955, art. 36, and S. Timoshenko and S. Woinowsky-Krieger,
    "Theory of Plates and Shells", 2nd ed., 1959, ch. 1 (from memory). Real bases have ribs
    and edges that make them stiffer, and rest less freely.
    """
    near, far = _arms(base)
    inertia_mm4 = base.width_mm * base.thickness_mm**3 / 12.0
    plate_mpa = material.modulus_mpa / (1.0 - material.poisson**2)
    return 3.0 * plate_mpa * inertia_mm4 * base.span_mm / (near * far) ** 2


def find_bow(base: Base, material: Material, gap_mm: float, clamp_n: float) -> Bow:
    """Return how far a base bows at a clamping force.

    Parameters
    ----------
    base
        The part that bends.
    material
        What it is made of.
    gap_mm
        How far the post ends short of the base, mm; the base cannot bow further.
    clamp_n
        Force of the screw, N.
    """
    stiffness = stiffness_n_mm(base, material)
    closing = stiffness * gap_mm
    force = min(clamp_n, closing)
    near, far = _arms(base)
    moment = force * near * far / base.span_mm
    stress = 6.0 * moment / (base.width_mm * base.thickness_mm**2)
    return Bow(force / stiffness, closing, stress, stress > material.yield_mpa)


def check_base(base: Base) -> Iterator[Problem]:
    """Yield every problem that keeps a base from being computed."""
    for name in ("span_mm", "width_mm", "thickness_mm"):
        value = getattr(base, name)
        if not value > 0.0:
            yield Problem(f"base_{name}", f"{value:g} mm", "more than 0 mm", "measure it")
    at = base.screw_at_mm
    if at is not None and not 0.0 < at < base.span_mm:
        yield Problem("screw_at_mm", f"{at:g} mm", f"between 0 and the span ({base.span_mm:g} mm)")


def _arms(base: Base) -> tuple[float, float]:
    near = base.span_mm / 2.0 if base.screw_at_mm is None else base.screw_at_mm
    return near, base.span_mm - near
