"""Choose a thread and its drill: what it holds, how deep, how tight, and what else would do."""

from __future__ import annotations

from hillbench.fastening.bow import Bow, find_bow
from hillbench.fastening.drill import formed_percent, thread_percent
from hillbench.fastening.limits import usual_fit
from hillbench.fastening.options import Option, Rating, compare, rate, usual_options
from hillbench.fastening.screw import clearance_drills
from hillbench.fastening.strength import breaking_torque_n_mm
from hillbench.usecases.tell_thread import tell_advice
from hillbench.usecases.tell_thread_options import tell_comparison
from hillbench.usecases.thread_answer import (
    BowAnswer,
    DepthAnswer,
    ForceRange,
    OptionAnswer,
    RivetAnswer,
    StripForce,
    ThreadAnswer,
)
from hillbench.usecases.thread_question import ThreadCase, ThreadQuestion, read_thread_question


def choose_thread(question: ThreadQuestion) -> ThreadAnswer:
    """Return what a screw in a post comes to; raises `InvalidInput` with every problem."""
    return answer_thread(read_thread_question(question))


def answer_thread(case: ThreadCase) -> ThreadAnswer:
    """Return the answer to a question that has been read."""
    thread, drill = case.option.thread, case.option.drill
    setting = case.setting
    rating = rate(case.option, setting)
    bow = bow_of(case, rating)
    options = compare(_options(case), setting)
    return ThreadAnswer(
        designation=thread.designation,
        series=thread.series,
        drill=drill.name,
        drill_mm=drill.diameter_mm,
        method=str(case.option.method),
        thread_percent=thread_percent(thread, drill.diameter_mm),
        formed_percent=formed_percent(thread, drill.diameter_mm),
        pitch_mm=thread.pitch_mm,
        major_mm=thread.major_mm,
        pitch_diameter_mm=thread.pitch_diameter_mm,
        minor_mm=thread.minor_mm,
        root_mm=thread.root_mm,
        stress_area_mm2=thread.stress_area_mm2,
        limits=usual_fit(thread),
        post_material=setting.post.name,
        screw_material=setting.screw.name,
        engagement_mm=setting.engagement_mm,
        engagement_from=case.engagement_from,
        strip_force_n=StripForce(rating.held.post_n, rating.held.screw_n),
        overlap=rating.held.overlap,
        wall_force_n=rating.held.wall_n,
        wall_mm=_wall_mm(case),
        screw_yield_force_n=rating.held.stretch_n,
        breaking_torque_n_mm=breaking_torque_n_mm(thread, setting.screw),
        safe_torque_n_mm=rating.torque.torque_n_mm,
        limited_by=rating.torque.limited_by,
        safety_factor=setting.safety_factor,
        friction_least=setting.friction.least,
        friction_most=setting.friction.most,
        clamp_force_n=ForceRange(rating.torque.clamp_least_n, rating.torque.clamp_most_n),
        clearance_drill=clearance_drills(thread)["normal"].name,
        wanted_percent=case.wanted_percent,
        wanted_drill=case.wanted_drill.name,
        depths=_depths(case),
        bow=None
        if bow is None
        else BowAnswer(bow.bow_mm, bow.closing_force_n, bow.stress_mpa, bow.stays_bent),
        rivet=_rivet(case),
        options=tuple(_option_answer(one) for one in options),
        comparison=tell_comparison(options),
        advice=tell_advice(case, rating, bow),
    )


def draw_thread(case: ThreadCase, sentence: str) -> str:
    """Return a cut through screw, base and post as a file of its own, SVG.

    Parameters
    ----------
    case
        The question as read.
    sentence
        The answer in one sentence.
    """
    from hillbench.pictures.fastening import fastening_picture

    return fastening_picture(
        case.option, case.setting, case.stack, case.depths, sentence, standalone=True
    )


def bow_of(case: ThreadCase, rating: Rating) -> Bow | None:
    """Return how far the safe torque may bow the base; None where its span is not given."""
    if case.base is None:
        return None
    # A base is of the post's material: most castings are of one metal throughout.
    return find_bow(case.base, case.setting.post, case.gap_mm, rating.torque.clamp_most_n)


def _wall_mm(case: ThreadCase) -> float | None:
    post_mm = case.setting.post_diameter_mm
    return None if post_mm is None else (post_mm - case.option.thread.major_mm) / 2.0


def _depths(case: ThreadCase) -> DepthAnswer | None:
    depths = case.depths
    if depths is None:
        return None
    return DepthAnswer(
        screw_mm=depths.screw_mm,
        engagement_diameters=depths.engagement_diameters,
        tap_mm=depths.tap_mm,
        tap_lead_mm=depths.tap_lead_mm,
        drill_mm=depths.drill_mm,
        drill_tip_mm=depths.drill_tip_mm,
        left_mm=depths.left_mm,
        bottoms=depths.bottoms,
        longest_screw_mm=depths.longest_screw_mm,
        stock_length=depths.stock_length,
    )


def _rivet(case: ThreadCase) -> RivetAnswer | None:
    rivet = case.rivet
    if rivet is None:
        return None
    pilot, drill = rivet.pilot, rivet.drill
    return RivetAnswer(
        pilot.name, pilot.diameter_mm, drill.name, drill.diameter_mm, rivet.head_depth_mm
    )


def _options(case: ThreadCase) -> list[Option]:
    post_mm = case.setting.post_diameter_mm
    options: list[Option] = [case.option]
    options += [
        option
        for option in usual_options()
        if option != case.option and (post_mm is None or option.thread.major_mm < post_mm)
    ]
    return options


def _option_answer(rating: Rating) -> OptionAnswer:
    return OptionAnswer(
        designation=rating.option.thread.designation,
        drill=rating.option.drill.name,
        method=str(rating.option.method),
        made_percent=rating.percent,
        strip_force_n=StripForce(rating.held.post_n, rating.held.screw_n),
        safe_torque_n_mm=rating.torque.torque_n_mm,
        drive=str(rating.drive),
        reopening=str(rating.reopening),
    )
