"""Sheets of pictures for a fit and for advice."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.fitting.finding import Finding, Knowledge
from hillbench.pictures.advice import advice_picture
from hillbench.pictures.posterior import PosteriorRow, posterior_picture
from hillbench.pictures.report import sheet
from hillbench.pictures.residual import residual_picture
from hillbench.usecases.advise_file import Advised
from hillbench.usecases.fit_file import FitFindings
from hillbench.usecases.tell_fit import UNKNOWN_WORDS, owner_words

_UNITS = {"cm2": "cm²", "deg": "°", "1/deg": "1/°"}


def posterior_rows(findings: Sequence[Finding]) -> tuple[PosteriorRow, ...]:
    """Return the rows of the picture of what is known, with whose each unknown is."""
    return tuple(
        PosteriorRow(
            f"{UNKNOWN_WORDS[one.name]}, {owner_words(one.name, one.owner)}",
            _UNITS.get(one.unit, one.unit),
            (one.prior_low, one.prior_median, one.prior_high),
            (one.low, one.median, one.high),
            one.knowledge is Knowledge.KNOWN,
        )
        for one in findings
    )


def fit_sheet(found: FitFindings, sentence: str) -> str:
    """Return a fit on one sheet: what is known, and how the times fit, as SVG."""
    parts = [
        (
            "What was believed, and what is known now",
            posterior_picture(posterior_rows(found.findings), standalone=True),
        )
    ]
    for caption, key, residuals in (
        ("How the times fit along the track", "residual-track", found.misfit.by_stretch),
        ("How the times fit by car and mass", "residual-mass", found.misfit.by_mass),
    ):
        if residuals:
            parts.append((caption, residual_picture(residuals, key=key, standalone=True)))
    return sheet("What this hill is made of", sentence, parts)


def advice_sheet(advised: Advised, sentence: str) -> str:
    """Return advice on one sheet, as SVG."""
    parts = [("What each change would gain", advice_picture(advised.advice, standalone=True))]
    return sheet("What would help", sentence, parts)
