"""What a screw in a post holds: stripping, the wall of the post, and the screw itself."""

from __future__ import annotations

import math
from dataclasses import dataclass

from hillbench.fastening.drill import Method, made_minor_mm
from hillbench.fastening.limits import usual_fit
from hillbench.fastening.material import Material
from hillbench.fastening.thread import Thread

_FLANK: float = 1.0 / math.sqrt(3.0)
"""Tangent of the flank angle of 30°; 0.57735 in the standard."""


@dataclass(frozen=True, slots=True)
class Hold:
    """What each part stands along the axis of the screw.

    Attributes
    ----------
    post_n, screw_n
        Force that strips the thread of the post and of the screw, N.
    wall_n
        Force at which the wall of the post yields, N; None where its diameter is unknown.
    stretch_n
        Force at which the screw yields in tension, N.
    overlap
        Depth of thread that meets, as a part of what the standard expects at least; 1 or less.
    """

    post_n: float
    screw_n: float
    wall_n: float | None
    stretch_n: float
    overlap: float

    def weakest(self) -> tuple[str, float]:
        """Return what gives way first (``post thread``, ``post wall``...) and at what force, N."""
        parts = {"post thread": self.post_n, "screw thread": self.screw_n}
        parts["screw in tension"] = self.stretch_n
        if self.wall_n is not None:
            parts["post wall"] = self.wall_n
        return min(parts.items(), key=lambda part: part[1])


def internal_shear_area_mm2(
    pitch_mm: float,
    engagement_mm: float,
    external_major_least_mm: float,
    internal_pitch_diameter_most_mm: float,
) -> float:
    """Return the area that shears when the thread of a hole strips, mm².

    Parameters
    ----------
    pitch_mm
        Pitch, mm.
    engagement_mm
        Length of engagement, mm.
    external_major_least_mm
        Least major diameter of the screw, mm; the shear runs along it.
    internal_pitch_diameter_most_mm
        Largest pitch diameter of the hole, mm.

    Notes
    -----
    AS_n = π n LE d_min (1/(2n) + 0.57735 (d_min - D2_max)). ASME B1.1-2003, app. B.
    """
    width = pitch_mm / 2.0 + _FLANK * (external_major_least_mm - internal_pitch_diameter_most_mm)
    turns = engagement_mm / pitch_mm
    return math.pi * turns * external_major_least_mm * max(width, 0.0)


def external_shear_area_mm2(
    pitch_mm: float,
    engagement_mm: float,
    internal_minor_most_mm: float,
    external_pitch_diameter_least_mm: float,
) -> float:
    """Return the area that shears when the thread of a screw strips, mm².

    Parameters
    ----------
    pitch_mm
        Pitch, mm.
    engagement_mm
        Length of engagement, mm.
    internal_minor_most_mm
        Largest minor diameter of the hole, mm; the shear runs along it.
    external_pitch_diameter_least_mm
        Least pitch diameter of the screw, mm.

    Notes
    -----
    AS_s = π n LE D1_max (1/(2n) + 0.57735 (d2_min - D1_max)). ASME B1.1-2003, app. B.
    """
    width = pitch_mm / 2.0 + _FLANK * (external_pitch_diameter_least_mm - internal_minor_most_mm)
    turns = engagement_mm / pitch_mm
    return math.pi * turns * internal_minor_most_mm * max(width, 0.0)


def equal_strength_engagement_mm(
    stress_area_mm2: float,
    pitch_mm: float,
    internal_minor_most_mm: float,
    external_pitch_diameter_least_mm: float,
) -> float:
    """Return the engagement at which a screw breaks before it strips in its own material, mm.

    Parameters
    ----------
    stress_area_mm2
        Tensile stress area, mm².
    pitch_mm, internal_minor_most_mm, external_pitch_diameter_least_mm
        As in `external_shear_area_mm2`, mm.

    Notes
    -----
    LE = 2 At / AS_s for 1 mm, shear strength taken as half of tensile. Machinery's Handbook,
    24th ed.; FED-STD-H28/2B, app. B.
    """
    area = external_shear_area_mm2(
        pitch_mm, 1.0, internal_minor_most_mm, external_pitch_diameter_least_mm
    )
    return 2.0 * stress_area_mm2 / area


def hold(
    thread: Thread,
    drill_mm: float,
    engagement_mm: float,
    post: Material,
    screw: Material,
    method: Method = Method.TAPPED,
    post_diameter_mm: float | None = None,
) -> Hold:
    """Return what a screw in a post holds.

    Parameters
    ----------
    thread
        Thread of the screw.
    drill_mm
        Diameter of the hole, mm; less than the smallest screw of the size.
    engagement_mm
        Length of engagement, mm.
    post, screw
        What both are made of.
    method
        Whether the thread is cut or formed.
    post_diameter_mm
        Outer diameter of a round post, mm.

    Notes
    -----
    Shear areas by ASME B1.1-2003, app. B, at the least favourable limits of size. They take
    for granted that the threads overlap at least as far as the largest minor diameter of the
    standard. Where the hole is larger, the screw shears along the hole, and the force of the
    post is taken down in proportion to the overlap that is left; that proportion is ours,
    argued for in ``docs/theory/fastening.md``.
    """
    fit = usual_fit(thread)
    largest = fit.internal.minor_mm.most_mm
    screw_least = fit.external.major_mm.least_mm
    minor = max(largest, made_minor_mm(thread, drill_mm, method))
    overlap = min(1.0, max(0.0, (screw_least - minor) / (screw_least - largest)))
    internal = internal_shear_area_mm2(
        thread.pitch_mm, engagement_mm, screw_least, fit.internal.pitch_diameter_mm.most_mm
    )
    external = external_shear_area_mm2(
        thread.pitch_mm, engagement_mm, minor, fit.external.pitch_diameter_mm.least_mm
    )
    wall = None
    if post_diameter_mm is not None:
        wall = wall_force_n(thread, engagement_mm, post_diameter_mm, post.yield_mpa)
    return Hold(
        internal * post.shear_mpa * overlap,
        external * screw.shear_mpa,
        wall,
        thread.stress_area_mm2 * screw.yield_mpa,
        overlap,
    )


def wall_force_n(
    thread: Thread, engagement_mm: float, post_diameter_mm: float, yield_mpa: float
) -> float:
    """Return the axial force at which the flanks spread a post until its bore yields, N.

    Parameters
    ----------
    thread
        Thread in the post.
    engagement_mm
        Length of engagement, mm.
    post_diameter_mm
        Outer diameter of the post, mm; more than the major diameter.
    yield_mpa
        Yield strength of the post, MPa.

    Notes
    -----
    Flanks at 30° without friction push outwards with F tan 30°, spread over the cylinder
    π D2 LE. Hoop stress at the bore of a thick ring under inner pressure p:
    p (ro² + ri²)/(ro² - ri²). G. Lamé, 1852; S. Timoshenko, "Strength of Materials", part II,
    3rd ed., 1956, art. 44 (from memory). The bore is taken at the major diameter.
    """
    outer, inner = post_diameter_mm**2, thread.major_mm**2
    pressure = yield_mpa * (outer - inner) / (outer + inner)
    return pressure * math.pi * thread.pitch_diameter_mm * engagement_mm / _FLANK


def breaking_torque_n_mm(thread: Thread, screw: Material, shear_share: float = 0.75) -> float:
    """Return the least torque that twists a screw off, N mm.

    Parameters
    ----------
    thread
        Thread of the screw.
    screw
        What it is made of.
    shear_share
        Torsional over tensile strength, 0.84 for class 8.8 down to 0.75 for class 12.9.

    Notes
    -----
    X Rm π d3³/16 with the least minor diameter. ISO 898-7:1992, clause 3; its shares X from
    memory. The lowest of them is taken for every material.
    """
    root = usual_fit(thread).external.root_least_mm
    return shear_share * screw.tensile_mpa * math.pi * root**3 / 16.0
