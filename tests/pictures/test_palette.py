"""Contrast by WCAG 2.2, success criteria 1.4.3 (words) and 1.4.11 (marks)."""

from __future__ import annotations

import itertools

import pytest

from hillbench.pictures import palette


def luminance(colour: str) -> float:
    """Return the relative luminance as WCAG 2.2 defines it."""
    channels = [value / 255.0 for value in bytes.fromhex(colour[1:])]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio as WCAG 2.2 defines it."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("ground", ["paper", "hill", "bend"])
def test_words_can_be_read(theme: str, ground: str) -> None:
    under = getattr(palette.TONES[ground], theme)
    for name in ("ink", "muted", "accent", "warning"):
        if ground == "bend" and name not in {"ink", "muted"}:
            continue
        assert contrast(getattr(palette.TONES[name], theme), under) >= 4.5, name


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_bars_can_be_seen(theme: str) -> None:
    paper = getattr(palette.TONES["paper"], theme)
    for name in ("start", "walls", "bearings", "rolling", "steady_drag", "finish_motion", "air"):
        assert contrast(getattr(palette.TONES[name], theme), paper) >= 3.0, name


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_speed_ramp_grows_evenly_lighter(theme: str) -> None:
    tones = [getattr(palette.TONES[f"speed-{step}"], theme) for step in range(palette.SPEED_STEPS)]
    steps = [luminance(b) - luminance(a) for a, b in itertools.pairwise(tones)]
    assert min(steps) > 0.0


def test_style_sheet_defines_every_tone_it_uses() -> None:
    sheet = palette.style_sheet()
    for style in palette.STYLES.values():
        for value in style.values():
            if value.startswith("@"):
                assert f"--picture-{value[1:]}:" in sheet
    assert palette.speed_style(0.0, 3.0) == "fill-speed-0"
    assert palette.speed_style(3.0, 3.0) == f"fill-speed-{palette.SPEED_STEPS - 1}"
    assert palette.speed_style(0.0, 0.0) == "fill-speed-0"
