"""The pictures of one run with what they say."""

from __future__ import annotations

from dataclasses import dataclass

from hillbench.coasting.result import Run
from hillbench.coasting.track import Track
from hillbench.pictures.energy import energy_picture, energy_sentence
from hillbench.pictures.length_unit import LengthUnit
from hillbench.pictures.margin import margin_picture, margin_sentence, telling_margins
from hillbench.pictures.profile import profile_picture, profile_sentence
from hillbench.pictures.trace import trace_picture
from hillbench.web.pictured import Pictured, pictured


@dataclass(frozen=True, slots=True)
class RunPictures:
    """The pictures of one run with what they say.

    Attributes
    ----------
    profile, energy, trace, margins
        Pictures.
    energy_sentence, trace_sentence, margin_sentence
        What they say, in words.
    moved, has_margins
        Whether the car left the start line, and whether any bend or crest sets a limit.
    """

    profile: Pictured
    energy: Pictured
    trace: Pictured
    margins: Pictured
    energy_sentence: str
    trace_sentence: str
    margin_sentence: str
    moved: bool
    has_margins: bool

    @classmethod
    def of(cls, track: Track, run: Run, unit: LengthUnit) -> RunPictures:
        """Draw the pictures of a run."""
        finished = run.finish_time_s is not None
        return cls(
            profile=pictured(
                lambda width, key: profile_picture(track, run, width_px=width, key=key, unit=unit),
                "profile",
            ),
            energy=pictured(
                lambda width, key: energy_picture(
                    run.energy, width_px=width, key=key, finished=finished
                ),
                "energy",
            ),
            trace=pictured(
                lambda width, key: trace_picture(track, run, width_px=width, key=key, unit=unit),
                "trace",
            ),
            margins=pictured(
                lambda width, key: margin_picture(run.margins, width_px=width, key=key, unit=unit),
                "margin",
            ),
            energy_sentence=energy_sentence(run.energy),
            trace_sentence=profile_sentence(run, unit),
            margin_sentence=margin_sentence(run.margins, unit),
            moved=len(run.trace.at_m) > 1,
            has_margins=bool(telling_margins(run.margins)),
        )
