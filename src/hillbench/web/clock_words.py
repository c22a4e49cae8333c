"""What the Clock's pages say in words."""

from __future__ import annotations

import re
from typing import Final

from hillbench.records.entities import TimedRun
from hillbench.records.outing_entities import Conditions
from hillbench.usecases.show_outing import OutingView

_UNIT: Final = re.compile(r"(\d) (s|%|°C)(?!\w)")


def unbroken(sentence: str) -> str:
    """Return a sentence whose lines do not end between a number and its unit."""
    return _UNIT.sub("\\1\N{NO-BREAK SPACE}\\2", sentence)


def told_run(run: TimedRun) -> str:
    """Return a run in words."""
    return str(run.note) if run.finish_time_s is None else f"{run.finish_time_s:.3f} s, {run.note}"


def told_conditions(conditions: Conditions) -> tuple[str, ...]:
    """Return what the day was like, in words."""
    told = []
    if conditions.temperature_c is not None:
        told.append(f"{conditions.temperature_c:g} °C")
    if conditions.humidity_percent is not None:
        told.append(f"{conditions.humidity_percent:g} % humidity")
    if conditions.surface_cleaned is not None:
        told.append("track cleaned" if conditions.surface_cleaned else "track not cleaned")
    if conditions.lubricant_note:
        told.append(conditions.lubricant_note)
    return tuple(told)


def told_basis(view: OutingView) -> str:
    """Return what the answer rests on; nothing before there is one."""
    comparison = view.comparison
    if comparison is None:
        return ""
    source = comparison.spread_source
    parts = [f"One run varies by about {comparison.spread_s:.3f} s (from these runs and {source})."]
    if not comparison.matters_given:
        parts.append(f"Gaps under {comparison.matters_s:.3g} s are taken not to matter.")
    if view.hand_timed_count:
        parts.append(f"{view.hand_timed_count} timed by hand.")
    return " ".join(parts)
