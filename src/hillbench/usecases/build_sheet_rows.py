"""The tables of a build sheet: mass, balance, fasteners, lubrication, decals, parts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from hillbench.building.caution import ALWAYS, TEXTS, Caution
from hillbench.building.step import MassChange, StepKind
from hillbench.errors import InvalidInput
from hillbench.records.build_entities import BuildState
from hillbench.records.entities import Reading
from hillbench.sheets.flow import Row
from hillbench.uncertainty import Estimate
from hillbench.usecases.bearing_states import FrictionRead
from hillbench.usecases.build_entry import BuildEntry
from hillbench.usecases.build_shown import ShownBuild, ShownStep
from hillbench.usecases.choose_thread import choose_thread
from hillbench.usecases.keep_ballast_plan import KeptPlan
from hillbench.usecases.plan_build import thread_question_of

_MINUS: Final = "\N{MINUS SIGN}"
_FASTENING: Final = (StepKind.DRILL, StepKind.TAP, StepKind.CLOSE)
_AHEAD: Final = "CG ahead of rear axle"
_HEIGHT: Final = "CG above the track"
_MEASURED: Final = (("cg_ahead_of_rear_axle_mm", _AHEAD), ("cg_height_mm", _HEIGHT))
_KEPT_IN_MIND: Final = (Caution.LEAD, Caution.SMALL_PARTS)


def mass_rows(shown: ShownBuild) -> tuple[Row, ...]:
    """Return the ledger from the car as it was to the car as it is, weighings between.

    Parameters
    ----------
    shown
        The build. What is not done counts only while it is in hand, and is told as planned.
    """
    return tuple(_mass_rows(shown))


def _mass_rows(shown: ShownBuild) -> Iterator[Row]:
    ledger = shown.ledger
    if ledger.start is not None:
        yield Row("before", grams(ledger.start))
    for line in ledger.lines:
        if not line.entry.done and shown.build.state is not BuildState.IN_HAND:
            continue
        planned = "" if line.entry.done else ", planned"
        for change in line.entry.changes:
            yield Row(_counted(change) + planned, signed_grams(change.total_g))
        if line.entry.weighed is not None:
            yield Row(f"weighed after “{line.entry.title}”", grams(line.entry.weighed))
    if ledger.final is not None:
        word = "finished" if ledger.is_weighed else "expected in the end"
        yield Row(word, grams(ledger.final), strong=True)
    if shown.build.limit_g is not None:
        yield Row("most allowed", f"{shown.build.limit_g:.2f} g")
    if ledger.verdict is not None:
        chance = f"{100.0 * ledger.verdict.probability_over:.0f} %"
        yield Row("chance of being over on the scale that decides", chance)


def balance_rows(kept: KeptPlan | None, readings: Mapping[str, Reading]) -> tuple[Row, ...]:
    """Return where the centre of gravity lies, as measured and by the ballast plan.

    Parameters
    ----------
    kept
        The plan that was chosen; None for none.
    readings
        What was measured of the car, by quantity.
    """
    wheelbase = readings.get("wheelbase_mm")
    wheelbase_mm = wheelbase.value if wheelbase is not None else None
    rows = []
    for name, label in _MEASURED:
        read = readings.get(name)
        if read is not None:
            share = wheelbase_mm if name == "cg_ahead_of_rear_axle_mm" else None
            rows.append(Row(f"{label}, measured", _of_wheelbase(read.value, share)))
    return (*rows, *(() if kept is None else _planned_balance(kept, wheelbase_mm)))


def _of_wheelbase(length_mm: float, wheelbase_mm: float | None) -> str:
    share = f", {100.0 * length_mm / wheelbase_mm:.0f} % of the wheelbase" if wheelbase_mm else ""
    return f"{length_mm:.1f} mm{share}"


def _planned_balance(kept: KeptPlan, wheelbase_mm: float | None) -> tuple[Row, ...]:
    plan = kept.plan
    side = abs(plan.cg_side_mm)
    way = "left" if plan.cg_side_mm > 0.0 else "right"
    beside = "in the middle" if side < 0.05 else f"{side:.1f} mm to the {way}"
    return (
        Row(f"{_AHEAD}, planned", _of_wheelbase(plan.cg_ahead_of_rear_axle_mm, wheelbase_mm)),
        Row(f"{_HEIGHT}, planned", f"{plan.cg_height_mm:.1f} mm"),
        Row("across, planned", beside),
        Row("pieces half a millimetre off move it", f"{plan.sensitivity_mm:.2f} mm"),
    )


def fastener_rows(shown: ShownBuild) -> tuple[Row, ...]:
    """Return what was drilled, tapped and screwed, with tools, sizes, depths and torque."""
    return (*_work_rows(shown, _FASTENING), *_torque_rows(shown))


def _torque_rows(shown: ShownBuild) -> Iterator[Row]:
    entry = BuildEntry.from_plain(shown.build.plan)
    if not entry.screws:
        return
    try:
        answer = choose_thread(thread_question_of(entry))
    except InvalidInput:  # the steps were made otherwise; they stand for themselves
        return
    kind = "formed" if entry.formed else "tapped"
    percent = answer.formed_percent if entry.formed else answer.thread_percent
    yield Row("full thread in the post", f"{percent:.0f} %, {kind}")
    yield Row("tighten to at most", f"{answer.safe_torque_n_mm:.0f} N mm", strong=True)


def decal_rows(shown: ShownBuild) -> tuple[Row, ...]:
    """Return how the decals were applied."""
    return tuple(_work_rows(shown, (StepKind.DECAL,)))


def lubrication_rows(shown: ShownBuild, frictions: Sequence[FrictionRead]) -> tuple[Row, ...]:
    """Return the rounds of lubricant, and the friction of the bearings before and after.

    Parameters
    ----------
    shown
        The build.
    frictions
        Every friction of the car's bearings that was read, earliest first.
    """
    begun, ended = shown.build.created_at, shown.build.ended_at
    before = [read for read in frictions if read.at < begun]
    after = [read for read in frictions if read.at >= begun and (ended is None or read.at <= ended)]
    rows = list(_work_rows(shown, (StepKind.LUBRICATE,)))
    for word, found in (("before", before), ("after", after)):
        if found:
            rows.append(Row(f"bearing friction {word}", f"{found[-1].friction:.3f}", strong=True))
    return tuple(rows)


def part_rows(shown: ShownBuild) -> tuple[Row, ...]:
    """Return what was drawn from the drawer, with its cost and their sum."""
    cost = shown.cost
    rows = [
        Row(line.name, f"{line.amount}, {line.cost} {cost.currency}" if line.cost else line.amount)
        for line in cost.lines
    ]
    if cost.total:
        rest = ", without what has no price" if cost.unpriced else ""
        rows.append(Row(f"in all{rest}", f"{cost.total} {cost.currency}", strong=True))
    return tuple(rows)


def sheet_notes(shown: ShownBuild) -> tuple[str, ...]:
    """Return the cautions that outlive the work: what the finished car may do to others."""
    met = {caution for one in shown.steps for caution in one.step.cautions}
    notes = [TEXTS[caution].rule for caution in _KEPT_IN_MIND if caution in met]
    return (*notes, ALWAYS) if notes else ()


def grams(mass: Estimate) -> str:
    """Return a mass with its standard uncertainty."""
    return f"{mass.value:.2f} ± {max(mass.standard_uncertainty, 0.01):.2f} g"


def signed_grams(mass_g: float) -> str:
    """Return what is added or taken off."""
    sign = _MINUS if mass_g < 0.0 else "+"
    return f"{sign}{abs(mass_g):.2f} g"


def tool_words(one: ShownStep) -> str:
    """Return with what a step is done, and how deep: drill, 3.1 mm, 0.8 mm deep."""
    step = one.step
    parts = [step.tool, step.size]
    if step.depth_mm is not None:
        parts.append(f"{step.depth_mm:.1f} mm deep")
    return ", ".join(part for part in parts if part)


def _work_rows(shown: ShownBuild, kinds: Sequence[StepKind]) -> Iterator[Row]:
    for one in shown.steps:
        in_hand = shown.build.state is BuildState.IN_HAND
        if one.step.kind not in kinds or (one.record.done_at is None and not in_hand):
            continue
        planned = "" if one.record.done_at is not None else "; planned"
        words = [tool_words(one), one.record.note]
        told = "; ".join(word for word in words if word) or "done" * (not planned)
        yield Row(one.step.title, (told + planned).removeprefix("; "))


def _counted(change: MassChange) -> str:
    return f"{change.count} × {change.name}" if change.count > 1 else change.name
