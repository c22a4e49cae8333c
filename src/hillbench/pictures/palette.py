"""Colours and styles of the pictures: one table, written as a style sheet or into the file.

The categories are our own, chosen so that they differ in lightness as well as in hue; the
speed ramp goes evenly from dark blue through grey to straw, so that it reads the same with
any colour vision.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

SPEED_STEPS: Final = 20


@dataclass(frozen=True, slots=True)
class Tone:
    """One colour on light and on dark paper.

    Attributes
    ----------
    light, dark
        Colours as ``#rrggbb``.
    """

    light: str
    dark: str


def _mix(first: str, second: str, share: float) -> str:
    """Return a colour between two, `share` of the way to the second."""
    pairs = zip(bytes.fromhex(first[1:]), bytes.fromhex(second[1:]), strict=True)
    return "#" + "".join(f"{round(a + (b - a) * share):02x}" for a, b in pairs)


def _ramp(anchors: tuple[str, ...], steps: int) -> tuple[str, ...]:
    """Return `steps` colours spread evenly over the anchors."""
    spans = list(itertools.pairwise(anchors))
    colours = []
    for step in range(steps):
        place = step / (steps - 1) * len(spans)
        span = min(int(place), len(spans) - 1)
        colours.append(_mix(*spans[span], place - span))
    return tuple(colours)


_SPEED_LIGHT: Final = _ramp(("#16365f", "#55697f", "#979079", "#e3c653"), SPEED_STEPS)
_SPEED_DARK: Final = _ramp(("#3d659c", "#7286a0", "#ada583", "#f4dd78"), SPEED_STEPS)

TONES: Final[Mapping[str, Tone]] = {
    "paper": Tone("#f7f2e8", "#171c1f"),
    "ink": Tone("#1f2a30", "#ece5d6"),
    "muted": Tone("#545f61", "#aab2ad"),
    "rule": Tone("#ddd3bf", "#343f43"),
    "hill": Tone("#efe7d7", "#1f272a"),
    "bend": Tone("#e0d7c4", "#303a3d"),
    "accent": Tone("#0f6a5b", "#74cdb8"),
    "before": Tone("#85795f", "#7f8b8b"),
    "warning": Tone("#96283a", "#f2a0a6"),
    "start": Tone("#4c5659", "#c4c4b6"),
    "walls": Tone("#8f3d5e", "#d98bab"),
    "bearings": Tone("#2f629b", "#7fb0e2"),
    "rolling": Tone("#a4842a", "#d9bd62"),
    "steady_drag": Tone("#5d4d8c", "#ab9cdb"),
    "air": Tone("#4f8aa8", "#a9d3e6"),
    "finish_motion": Tone("#0f6a5b", "#74cdb8"),
    "piece-top": Tone("#cfe5dc", "#2f5a52"),
    "piece-side": Tone("#a5cdc0", "#25493f"),
    "piece-end": Tone("#86b9a9", "#1c3a33"),
    "post-top": Tone("#e0d7c4", "#4a5457"),
    "post-side": Tone("#c9bd9f", "#3b4548"),
    "post-end": Tone("#b3a583", "#30393c"),
} | {
    f"speed-{step}": Tone(light, dark)
    for step, (light, dark) in enumerate(zip(_SPEED_LIGHT, _SPEED_DARK, strict=True))
}
"""Every colour by its name."""

FONT_FAMILY: Final = "system-ui, 'Segoe UI', 'Noto Sans', 'DejaVu Sans', sans-serif"


def _line(tone: str, width: float, **more: str) -> dict[str, str]:
    return {"stroke": f"@{tone}", "stroke-width": f"{width:g}", "fill": "none", **more}


def _words(tone: str, size: int, **more: str) -> dict[str, str]:
    return {"fill": f"@{tone}", "font-size": f"{size}px", **more}


def _face(tone: str, edge: str = "ink") -> dict[str, str]:
    return {
        "fill": f"@{tone}",
        "stroke": f"@{edge}",
        "stroke-width": "1",
        "stroke-linejoin": "round",
    }


STYLES: Final[Mapping[str, Mapping[str, str]]] = (
    {
        "words": _words("ink", 13),
        "words-strong": _words("ink", 14, **{"font-weight": "650"}),
        "words-quiet": _words("muted", 12),
        "words-accent": _words("accent", 14, **{"font-weight": "650"}),
        "words-warning": _words("warning", 14, **{"font-weight": "650"}),
        "words-headline": _words("ink", 20, **{"font-weight": "650"}),
        "halo": {
            "paint-order": "stroke",
            "stroke": "@paper",
            "stroke-width": "3.5",
            "stroke-linejoin": "round",
        },
        "line": _line("ink", 1.75, **{"stroke-linejoin": "round", "stroke-linecap": "round"}),
        "line-accent": _line("accent", 2.25, **{"stroke-linejoin": "round"}),
        "line-before": _line("before", 1.75, **{"stroke-linejoin": "round"}),
        "line-beyond": _line("muted", 1.5, **{"stroke-dasharray": "2 4"}),
        "rule": _line("rule", 1),
        "axis": _line("muted", 1),
        "gate": _line("muted", 1, **{"stroke-dasharray": "3 3"}),
        "leader": _line("muted", 0.75),
        "limit": _line("ink", 2),
        "arrow": _line("ink", 1.5, **{"stroke-linejoin": "round", "stroke-linecap": "round"}),
        "cross": _line("warning", 2.5, **{"stroke-linecap": "round"}),
        "road-edge": _line("muted", 11, **{"stroke-linejoin": "round"}),
        "road": _line("hill", 8.5, **{"stroke-linejoin": "round"}),
        "hill": {"fill": "@hill"},
        "bend": {"fill": "@bend"},
        "paper": {"fill": "@paper"},
        "dot": {"fill": "@ink", "stroke": "@paper", "stroke-width": "1.5"},
        "square": {"fill": "@ink"},
        "piece": _face("piece-top"),
        "piece-below": _line("muted", 1.25, **{"stroke-dasharray": "4 3"}),
        "stays-free": _face("post-top", "muted"),
        "clearance": _line("before", 1, **{"stroke-dasharray": "2 3"}),
        "glass": {"fill": "@air", "fill-opacity": "0.16"},
        "glass-edge": _line("air", 1.5, **{"stroke-linejoin": "round"}),
        "window": {"fill": "@accent", "fill-opacity": "0.12"},
        # Film and paper stay white in the dark too, since print is judged on them.
        "sheet": {"fill": "#ffffff", "stroke": "@muted", "stroke-width": "1"},
        "line-accent-thin": _line("accent", 0.75, **{"stroke-linejoin": "round"}),
        "gained": {"fill": "@accent", "fill-opacity": "0.22"},
        "lost": {"fill": "@warning", "fill-opacity": "0.22"},
        "warning": {"fill": "@warning"},
    }
    | {
        f"fill-{name}": {"fill": f"@{name}"}
        for name in (
            *("start", "walls", "bearings", "rolling", "steady_drag", "air", "finish_motion"),
            *("accent", "muted", *(f"speed-{step}" for step in range(SPEED_STEPS))),
        )
    }
    | {
        f"{what}-{side}": _face(f"{what}-{side}", edge)
        for what, edge in (("piece", "ink"), ("post", "muted"))
        for side in ("top", "side", "end")
    }
    | {
        # The facets of round things, whose edges are not seen.
        f"{what}-round": _face(f"{what}-side", f"{what}-side")
        for what in ("piece", "post")
    }
)
"""What each style class looks like; a value that begins with @ is a tone."""


def speed_style(speed_m_s: float, fastest_m_s: float) -> str:
    """Return the style class of a speed on the ramp from rest to the fastest."""
    share = speed_m_s / fastest_m_s if fastest_m_s > 0.0 else 0.0
    return f"fill-speed-{min(max(int(share * SPEED_STEPS), 0), SPEED_STEPS - 1)}"


def literal_attributes(styles: tuple[str, ...]) -> dict[str, str]:
    """Return the presentation attributes of style classes, in the colours of light paper.

    The halo is left out: a viewer that does not know ``paint-order`` would draw it over
    the words.
    """
    attributes: dict[str, str] = {}
    for style in styles:
        if style == "halo":
            continue
        for name, value in STYLES[style].items():
            attributes[name] = TONES[value[1:]].light if value.startswith("@") else value
    return attributes


def style_sheet() -> str:
    """Return the style sheet of pictures that stand in a page, for light and dark.

    A picture may stand there in three widths; the one that fits its column is seen.
    """
    return "\n".join(_style_lines()) + "\n"


def _style_lines() -> Iterator[str]:
    light = " ".join(f"--picture-{name}: {tone.light};" for name, tone in TONES.items())
    dark = " ".join(f"--picture-{name}: {tone.dark};" for name, tone in TONES.items())
    yield f":root {{ {light} }}"
    yield "@media (prefers-color-scheme: dark) {"
    yield f'  :root:not([data-theme="light"]) {{ {dark} }}'
    yield "}"
    yield f':root[data-theme="dark"] {{ {dark} }}'
    yield ".picture { display: block; width: 100%; height: auto; overflow: visible; }"
    yield ".picture-fit { container-type: inline-size; }"
    yield ".picture-middle, .picture-narrow { display: none; }"
    yield "@container (width < 47rem) {"
    yield "  .picture-wide { display: none; }"
    yield "  .picture-middle { display: block; }"
    yield "}"
    yield "@container (width < 31rem) {"
    yield "  .picture-middle { display: none; }"
    yield "  .picture-narrow { display: block; }"
    yield "}"
    yield ".picture text { font-variant-numeric: tabular-nums lining-nums; }"
    for name, style in STYLES.items():
        rules = " ".join(
            f"{key}: {f'var(--picture-{value[1:]})' if value.startswith('@') else value};"
            for key, value in style.items()
        )
        yield f".picture .{name} {{ {rules} }}"
