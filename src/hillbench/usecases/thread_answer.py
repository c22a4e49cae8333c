"""The answer to a question about a thread, as other programs read it."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.fastening.limits import Fit


@dataclass(frozen=True, slots=True)
class StripForce:
    """Force along the screw that strips a thread.

    Attributes
    ----------
    post, screw
        Thread of the post and of the screw, N.
    """

    post: float
    screw: float


@dataclass(frozen=True, slots=True)
class ForceRange:
    """Clamping force at the safe torque.

    Attributes
    ----------
    least, most
        For most and least friction, N.
    """

    least: float
    most: float


@dataclass(frozen=True, slots=True)
class DepthAnswer:
    """Depths in the post, from its face, mm.

    Attributes
    ----------
    screw_mm
        How far the screw reaches in.
    engagement_diameters
        Full threads that meet, in major diameters.
    tap_mm, tap_lead_mm
        Full thread, and the lead of the tap below it.
    drill_mm, drill_tip_mm
        Full diameter of the hole, and the tip of the drill.
    left_mm
        Metal left beyond the tip; negative where the drill would come through.
    bottoms
        Whether the screw meets the end of the thread before its head is down.
    longest_screw_mm, stock_length
        Longest screw that leaves room for the tap, and the stock length below it.
    """

    screw_mm: float
    engagement_diameters: float
    tap_mm: float
    tap_lead_mm: float
    drill_mm: float
    drill_tip_mm: float
    left_mm: float
    bottoms: bool
    longest_screw_mm: float
    stock_length: str | None


@dataclass(frozen=True, slots=True)
class BowAnswer:
    """What the safe torque may do to the base.

    Attributes
    ----------
    bow_mm
        How far it is drawn in, mm.
    closing_force_n
        Force that draws it onto the post, N.
    stress_mpa
        Largest bending stress, MPa.
    stays_bent
        Whether it stays bent.
    """

    bow_mm: float
    closing_force_n: float
    stress_mpa: float
    stays_bent: bool


@dataclass(frozen=True, slots=True)
class RivetAnswer:
    """How the head of the rivet comes off.

    Attributes
    ----------
    pilot, pilot_mm
        Drill that goes first, mm.
    drill, drill_mm
        Drill that takes the head off, mm.
    depth_mm
        How deep it goes at most, mm: the height of the head.
    """

    pilot: str
    pilot_mm: float
    drill: str
    drill_mm: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class OptionAnswer:
    """One way of fastening beside others.

    Attributes
    ----------
    designation, drill, method
        The way.
    made_percent
        Percent of a full thread made in the post.
    strip_force_n
        What it holds.
    safe_torque_n_mm
        How far it may be tightened, N mm.
    drive, reopening
        How hard the thread is to make and how often it can be undone, in words.
    """

    designation: str
    drill: str
    method: str
    made_percent: float
    strip_force_n: StripForce
    safe_torque_n_mm: float
    drive: str
    reopening: str


@dataclass(frozen=True, slots=True)
class ThreadAnswer:
    """What a screw in a post comes to.

    Attributes
    ----------
    designation, series
        The thread.
    drill, drill_mm
        The drill, mm.
    method
        ``tapped`` or ``formed``.
    thread_percent
        Percent of a full thread that a tap leaves in the hole.
    formed_percent
        Percent of a full thread that forming raises in the hole.
    pitch_mm, major_mm, pitch_diameter_mm, minor_mm
        Basic dimensions, mm; the minor diameter is that of the hole.
    root_mm
        Minor diameter of the screw, mm.
    stress_area_mm2
        Tensile stress area, mm².
    limits
        Limits of size of screw and tapped hole.
    post_material, screw_material
        What both are made of.
    engagement_mm, engagement_from
        Length of engagement, mm: ``asked``, ``lengths`` or ``assumed``.
    strip_force_n
        Force that strips the thread of the post and of the screw.
    overlap
        Depth of thread that meets, as a part of what the standard expects at least.
    wall_force_n, wall_mm
        Force at which the wall of the post yields, N, and how thick it is; null where the
        diameter of the post is not given.
    screw_yield_force_n, breaking_torque_n_mm
        Force at which the screw yields, N, and least torque that twists it off, N mm.
    safe_torque_n_mm, limited_by
        How far it may be tightened, N mm, and what would give way first.
    safety_factor, friction_least, friction_most
        What that rests on.
    clamp_force_n
        Clamping force at that torque.
    clearance_drill
        Drill for the hole in the base, normal fit.
    wanted_percent, wanted_drill
        Percent of thread wanted, and the drill nearest to it.
    depths
        Depths in the post; null where no lengths are given.
    bow
        What the screw does to the base; null where its span is not given.
    rivet
        How the head of the rivet comes off; null where it is not measured.
    options
        Usual ways beside this one, the one that holds most first.
    comparison
        Which of them holds most, drives most easily and can be undone often, in words.
    advice
        What to do and what to mind.
    """

    designation: str
    series: str
    drill: str
    drill_mm: float
    method: str
    thread_percent: float
    formed_percent: float
    pitch_mm: float
    major_mm: float
    pitch_diameter_mm: float
    minor_mm: float
    root_mm: float
    stress_area_mm2: float
    limits: Fit
    post_material: str
    screw_material: str
    engagement_mm: float
    engagement_from: str
    strip_force_n: StripForce
    overlap: float
    wall_force_n: float | None
    wall_mm: float | None
    screw_yield_force_n: float
    breaking_torque_n_mm: float
    safe_torque_n_mm: float
    limited_by: str
    safety_factor: float
    friction_least: float
    friction_most: float
    clamp_force_n: ForceRange
    clearance_drill: str
    wanted_percent: float
    wanted_drill: str
    depths: DepthAnswer | None
    bow: BowAnswer | None
    rivet: RivetAnswer | None
    options: tuple[OptionAnswer, ...]
    comparison: str
    advice: str
