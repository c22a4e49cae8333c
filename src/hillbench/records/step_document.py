"""A step of a build to and from the plain values that JSON holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from hillbench.building.caution import Caution
from hillbench.building.step import Draw, Link, MassChange, Step, StepKind


def step_to_plain(step: Step) -> dict[str, Any]:
    """Return a step as numbers, texts and lists."""
    plain = asdict(step)
    plain["kind"], plain["link"] = str(step.kind), str(step.link)
    plain["waits_for"] = list(step.waits_for)
    plain["cautions"] = [str(caution) for caution in step.cautions]
    plain["changes"] = [asdict(change) for change in step.changes]
    plain["draws"] = [asdict(draw) for draw in step.draws]
    return plain


def step_from_plain(plain: Mapping[str, Any]) -> Step:
    """Return the step that such values stand for."""
    return Step(
        **{
            **plain,
            "kind": StepKind(plain["kind"]),
            "link": Link(plain["link"]),
            "waits_for": tuple(plain["waits_for"]),
            "cautions": tuple(Caution(word) for word in plain["cautions"]),
            "changes": tuple(MassChange(**change) for change in plain["changes"]),
            "draws": tuple(Draw(**draw) for draw in plain["draws"]),
        }
    )
