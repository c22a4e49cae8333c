"""Tell in words what a screw in a post comes to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from hillbench.fastening.bow import Bow
from hillbench.fastening.depth import THIN_WALL
from hillbench.fastening.drill import Drill, Method, formed_percent, thread_percent
from hillbench.fastening.material import is_plastic
from hillbench.fastening.options import Drive, Option, Rating, fits, rate
from hillbench.usecases.thread_question import ThreadCase

BENCH_CAUTION: Final = (
    "Wear eye protection and hold the part in a vice, not in your fingers: a drill that"
    " breaks through grabs, and chips of metal fly and cut."
)
"""Stands under every answer about drilling."""

WANDER_MM: Final = 0.05
"""By how much a hole drilled by hand may be too wide; common practice, no source."""

_GIVES_WAY: Final = {
    "post thread": "the thread in the post strips",
    "screw thread": "the thread of the screw strips",
    "screw in tension": "the screw stretches",
    "post wall": "the wall of the post splits",
}

_SHARES: Final = (
    (40.0, "about a third"),
    (48.0, "less than half"),
    (55.0, "about half"),
    (62.0, "some three fifths"),
    (72.0, "about two thirds"),
    (83.4, "three quarters or more"),
)


def tell_percent(percent: float) -> str:
    """Return a percent of thread as a share in words."""
    if percent < 25.0:
        return "hardly any"
    return next((words for most, words in _SHARES if percent <= most), "nearly all")


def tell_thread(case: ThreadCase, rating: Rating) -> str:
    """Return the one sentence that answers: how much thread, what it holds, how tight."""
    thread, drill = case.option.thread, case.option.drill
    how = "tapped" if case.option.method is Method.TAPPED else "formed by the screw"
    return (
        f"{thread.designation} in a {drill.name} hole, {how}, has {rating.percent:.0f} % of a"
        f" full thread; {case.setting.engagement_mm:.1f} mm of it in {case.setting.post.name}"
        f" holds about {_rounded(rating.held.weakest()[1])} N; tighten to at most"
        f" {_rounded(rating.torque.torque_n_mm)} N mm.{_but(case, rating)}"
    )


def _but(case: ThreadCase, rating: Rating) -> str:
    """Return what spoils the whole of it; nothing where nothing does."""
    spoils = []
    if rating.drive is Drive.NOT:
        spoils.append("tap or screw would break")
    if case.depths is not None and case.depths.left_mm < 0.0:
        spoils.append("the drill would come through")
    if case.depths is not None and case.depths.bottoms:
        spoils.append("the screw would bottom")
    return f" But {' and '.join(spoils)}." if spoils else ""


def tell_advice(case: ThreadCase, rating: Rating, bow: Bow | None) -> str:
    """Return what to do and what to mind, as one paragraph."""
    return " ".join([*advice_by_step(case, rating, bow), BENCH_CAUTION])


def advice_by_step(case: ThreadCase, rating: Rating, bow: Bow | None) -> tuple[str, ...]:
    """Return what to do and what to mind, a paragraph for each step in the order of work."""
    steps = (
        _rivet(case),
        _hole(case, rating),
        _depth(case),
        _holding(case, rating),
        _bowing(case, bow),
    )
    told = (" ".join(sentences) for sentences in steps)
    return tuple(step for step in told if step)


def _rivet(case: ThreadCase) -> Iterator[str]:
    rivet = case.rivet
    if rivet is not None:
        yield (
            f"Take the head of the rivet off: centre mark, pilot {rivet.pilot.name}, then"
            f" {rivet.drill.name}, at most {rivet.head_depth_mm:.1f} mm deep."
        )


def _hole(case: ThreadCase, rating: Rating) -> Iterator[str]:
    thread, drill = case.option.thread, case.option.drill
    share = tell_percent(rating.percent)
    better = f"{case.wanted_drill.name} gives {case.wanted_percent:.0f} %"
    if rating.drive is Drive.NOT:
        yield f"Do not drive it: the hole is too small, the tap or screw would break; {better}."
    elif case.option.method is Method.TAPPED and rating.percent < 50.0:
        yield f"The tap leaves {share} of a full thread: easy to drive, easy to strip; {better}."
        yield _wandering(case, rating)
        formed = formed_percent(thread, drill.diameter_mm)
        if formed >= 50.0:
            yield (
                f"Without the tap, a screw that forms its own thread would raise about"
                f" {formed:.0f} % in the same hole, and drive harder."
            )
    elif rating.percent > 78.0:
        yield f"{share.capitalize()} of a full thread drives hard and holds hardly more; {better}."
    elif rating.drive is Drive.HARD:
        yield f"{share.capitalize()} of a full thread holds well; it drives {rating.drive}."
    else:
        yield f"{share.capitalize()} of a full thread is a sound choice; it drives {rating.drive}."
    if case.option.method is Method.FORMED and rating.drive is not Drive.NOT:
        cut = thread_percent(thread, drill.diameter_mm)
        yield (
            f"Forming pushes metal into the thread ({rating.percent:.0f} % where a tap would leave"
            f" {cut:.0f} %): oil the screw, and turn it back at every quarter turn."
        )
    yield f"It can be undone {rating.reopening}."


def _wandering(case: ThreadCase, rating: Rating) -> str:
    """Tell what a shallow thread holds in a hole that came out a little wide."""
    drill = case.option.drill
    wider = Drill(drill.name, drill.diameter_mm + WANDER_MM, drill.kind)
    option = Option(case.option.thread, wider, case.option.method)
    left = rate(option, case.setting).held.post_n if fits(option) else 0.0
    return (
        f"A hole {WANDER_MM:g} mm too wide strips at {_rounded(left)} N instead of"
        f" {_rounded(rating.held.post_n)} N."
    )


def _holding(case: ThreadCase, rating: Rating) -> Iterator[str]:
    first, force = rating.held.weakest()
    yield f"Pulled hard, {_GIVES_WAY[first]} first, at about {_rounded(force)} N."
    yield (
        f"{_rounded(rating.torque.torque_n_mm)} N mm above what turns the screw freely is safe by"
        f" a factor of {case.setting.safety_factor:g} for friction from"
        f" {case.setting.friction.least:g} to {case.setting.friction.most:g}"
        f" (limit: {rating.torque.limited_by}): a short driver in two fingers, no more."
    )
    if is_plastic(case.setting.post):
        yield "Plastic creeps: the clamping force falls with time, so do not tighten to make up."
    post_mm, major_mm = case.setting.post_diameter_mm, case.option.thread.major_mm
    if post_mm is not None and (post_mm - major_mm) / 2.0 < THIN_WALL * major_mm:
        yield (
            f"The wall left round the thread is thin ({(post_mm - major_mm) / 2.0:.2f} mm, less"
            f" than {THIN_WALL:g} of the screw): drill dead centre, or take a smaller thread."
        )


def _depth(case: ThreadCase) -> Iterator[str]:
    depths = case.depths
    if depths is None:
        return
    if depths.left_mm < 0.0:
        stock = f" (stock length {depths.stock_length})" if depths.stock_length else ""
        other = " or a tap with a shorter lead" if depths.tap_lead_mm > 0.0 else ""
        yield (
            f"Drilled as deep as this screw and tap want, the drill would come through by"
            f" {-depths.left_mm:.1f} mm: a screw up to {max(depths.longest_screw_mm, 0.0):.1f} mm"
            f"{stock}{other} stays inside."
        )
    else:
        yield (
            f"Drill {depths.drill_mm:.1f} mm deep at full diameter and leave"
            f" {depths.left_mm:.1f} mm; thread {depths.tap_mm:.1f} mm."
        )
    if depths.bottoms:
        yield "The screw would bottom before its head is down: it feels tight and holds nothing."
    elif depths.engagement_diameters < 1.0:
        yield (
            f"Only {depths.engagement_diameters:.1f} diameters of thread meet; 1.5 is better"
            " in soft metal."
        )


def _bowing(case: ThreadCase, bow: Bow | None) -> Iterator[str]:
    if bow is None:
        return
    if case.gap_mm <= 0.0:
        yield "The post meets the base, so the screw does not bow it."
        return
    closes = bow.bow_mm >= case.gap_mm - 1e-9
    yield (
        f"The post ends {case.gap_mm:.2f} mm short: the screw bows the base by"
        f" {bow.bow_mm:.2f} mm"
        + (", onto the post" if closes else " and does not close the gap")
        + f" ({_rounded(bow.closing_force_n)} N would close it)."
    )
    if bow.stays_bent:
        yield "The base would stay bent."
    yield "A washer or shim of that height keeps it straight and the axles in line."


def _rounded(value: float) -> str:
    """Return a value to two figures: the strengths behind it are no better known."""
    return f"{float(f'{value:.2g}'):.0f}" if value >= 10.0 else f"{value:.2g}"
