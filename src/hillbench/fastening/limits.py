"""Limits of size of screws and tapped holes."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.fastening.metric_limits import metric_external, metric_internal
from hillbench.fastening.span import ExternalLimits, InternalLimits
from hillbench.fastening.thread import System, Thread
from hillbench.fastening.unified_limits import unified_external, unified_internal


@dataclass(frozen=True, slots=True)
class Fit:
    """The limits of a screw and of the hole it goes into.

    Attributes
    ----------
    external
        Limits of the screw.
    internal
        Limits of the tapped hole.
    """

    external: ExternalLimits
    internal: InternalLimits


def usual_fit(thread: Thread) -> Fit:
    """Return the limits screws are sold to: 2A and 2B, or 6g and 6H."""
    if thread.system is System.METRIC:
        return Fit(metric_external(thread), metric_internal(thread))
    return Fit(unified_external(thread, 2), unified_internal(thread, 2))
