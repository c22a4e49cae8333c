"""One run on one sheet, for a file: the answer, then the pictures below each other."""

from __future__ import annotations

import re
from collections.abc import Sequence
from html import escape
from typing import Final

from hillbench.coasting.result import Run
from hillbench.coasting.track import Track
from hillbench.pictures import palette
from hillbench.pictures.drawing import WIDE_PX, in_own_colours, words
from hillbench.pictures.energy import energy_picture
from hillbench.pictures.labels import wrapped
from hillbench.pictures.profile import profile_picture
from hillbench.pictures.trace import trace_picture

_HEADLINE_PX: Final = 64.0
_HEADLINE_SIZE_PX: Final = 20.0
_BOLD: Final = 1.12
"""How much wider bold words are."""

_LINE_PX: Final = 28.0
_CAPTION_PX: Final = 40.0
_MARGIN_PX: Final = 24.0
_SIZE_PATTERN: Final = re.compile(r'viewBox="0 0 [\d.]+ ([\d.]+)"')


def run_report(track: Track, run: Run, sentence: str, *, title: str = "A run down the hill") -> str:
    """Return a file of its own with the answer, profile, speed and time, and energy, as SVG.

    Parameters
    ----------
    track
        The track that was run.
    run
        What the run was computed to be.
    sentence
        The answer in one sentence; stands at the top.
    title
        Title of the sheet, for those who do not see it.
    """
    finished = run.finish_time_s is not None
    parts = (
        ("The hill, coloured by speed", profile_picture(track, run, standalone=True)),
        ("Speed and time along the track", trace_picture(track, run, standalone=True)),
        (
            "Where the energy goes",
            energy_picture(run.energy, standalone=True, finished=finished),
        ),
    )
    return sheet(title, sentence, parts)


def sheet(title: str, sentence: str, parts: Sequence[tuple[str, str]]) -> str:
    """Return a file of its own: an answer, then pictures with their captions, as SVG.

    Parameters
    ----------
    title
        Title of the sheet, for those who do not see it.
    sentence
        The answer in one sentence; stands at the top.
    parts
        Caption of each picture and the picture, standing alone, from the top.
    """
    lines = wrapped(sentence, WIDE_PX - 8.0, _BOLD * _HEADLINE_SIZE_PX)
    y = _HEADLINE_PX + (len(lines) - 1) * _LINE_PX
    body = [
        in_own_colours(words(4.0, 38.0 + number * _LINE_PX, line, "words-headline"))
        for number, line in enumerate(lines)
    ]
    for caption, part in parts:
        body.append(in_own_colours(words(4.0, y + 24.0, caption, "words-strong")))
        body.append(f'<g transform="translate(0 {y + _CAPTION_PX:g})">{part}</g>')
        y += _CAPTION_PX + _height_px(part)
    return _sheet(title, sentence, y, "".join(body))


def _sheet(title: str, sentence: str, height_px: float, body: str) -> str:
    width, height = WIDE_PX + 2 * _MARGIN_PX, height_px + _MARGIN_PX
    paper = palette.TONES["paper"].light
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" '
        f'width="{width:g}" height="{height:g}" role="img" aria-labelledby="sheet-title" '
        f'font-family="{palette.FONT_FAMILY}"><title id="sheet-title">{escape(title)}</title>'
        f"<desc>{escape(sentence)}</desc>"
        f'<rect width="{width:g}" height="{height:g}" fill="{paper}"/>'
        f'<g transform="translate({_MARGIN_PX:g} 0)">{body}</g></svg>\n'
    )


def _height_px(picture: str) -> float:
    match = _SIZE_PATTERN.search(picture)
    if match is None:
        raise ValueError("a picture states its size")
    return float(match[1])
