"""Words below the hill: gates, bends and how much larger heights are drawn."""

from __future__ import annotations

from typing import Final

from hillbench.pictures import drawing, labels
from hillbench.pictures.ground import RIGHT_PX, Ground
from hillbench.pictures.length_unit import METRE, LengthUnit
from hillbench.pictures.scale import figure, short_figure

_ROW_PX: Final = 17


def gate_marks(
    ground: Ground, texts: tuple[str, ...], top_px: float
) -> tuple[list[drawing.Mark], float]:
    """Return the gates with their words in rows below the axis, and where the rows end."""
    gates = ground.track.gates_at_m
    marks = [
        drawing.line(
            ground.surface_px(gate),
            (ground.x(gate), ground.base_px + 5.0),
            "gate",
            data={"mark": "gate", "at_m": gate},
        )
        for gate in gates
    ]
    rows, end = word_rows(ground, gates, texts, top_px)
    return marks + rows, end


def bend_words(ground: Ground, top_px: float) -> tuple[list[drawing.Mark], float]:
    """Return direction and radius of each bend below the axis, and where the words end.

    They stand under their bends where two rows hold them; else each bend has a number.
    """
    bends = [bend for bend in ground.profile.bends if bend.turn_deg]
    centres = tuple((bend.from_m + bend.to_m) / 2.0 for bend in bends)
    texts = tuple(bend_text(bend.turn_deg, bend.curvature_1_m, ground.unit) for bend in bends)
    marks, end = word_rows(ground, centres, texts, top_px)
    if end <= top_px + 2 * _ROW_PX:
        return marks, end
    return _numbered_bends(ground, centres, texts, top_px)


def _numbered_bends(
    ground: Ground, centres_m: tuple[float, ...], texts: tuple[str, ...], top_px: float
) -> tuple[list[drawing.Mark], float]:
    columns = max(1, int((ground.x.high_px + RIGHT_PX) / 165.0))
    rows = -(-len(texts) // columns)
    marks = []
    for index, (at, text) in enumerate(zip(centres_m, texts, strict=True)):
        left = 8.0 + (index // rows) * (ground.x.high_px + RIGHT_PX - 8.0) / columns
        base_line = top_px + 15.0 + (index % rows) * _ROW_PX
        number = str(index + 1)
        inside = (ground.x(at), ground.base_px - 5.0)
        marks.append(drawing.words(*inside, number, "words-quiet", anchor="middle"))
        marks.append(drawing.words(left, base_line, f"{number}  {text}", "words-quiet"))
    return marks, top_px + rows * _ROW_PX + 4.0


def bend_text(turn_deg: float, curvature_1_m: float, unit: LengthUnit = METRE) -> str:
    """Return a bend in few words: which way, how far round and on what radius."""
    arrow = "↰" if turn_deg > 0.0 else "↱"
    return f"{arrow} {figure(abs(turn_deg), 0)}° r {unit.told(1.0 / abs(curvature_1_m), 2)}"


def word_rows(
    ground: Ground, places_m: tuple[float, ...], texts: tuple[str, ...], top_px: float
) -> tuple[list[drawing.Mark], float]:
    """Return words under their places, in rows where none touch, each with a fine leader."""
    if not texts:
        return [], top_px
    span = (4.0, ground.x.high_px + RIGHT_PX - 4.0)
    centres = [ground.x(min(max(place, 0.0), ground.x.high)) for place in places_m]
    widths = [labels.text_width_px(text, 12.0) for text in texts]
    marks = []
    placed = labels.stack_in_rows(centres, widths, span, gap_px=10.0)
    for item in placed:
        base_line = top_px + 13.0 + item.row * _ROW_PX
        text = drawing.words(
            item.centre_px, base_line, texts[item.index], "words-quiet", anchor="middle"
        )
        marks.append(text)
    return marks, top_px + (max(item.row for item in placed) + 1) * _ROW_PX


def scale_words(ground: Ground, y_px: float) -> drawing.Mark:
    """Return the sentence on how much larger heights are drawn."""
    times = ground.exaggeration
    text = (
        "Heights and distances to the same scale."
        if abs(times - 1.0) < 0.02
        else f"Heights drawn {short_figure(times, 2)} times as large as distances."
    )
    return drawing.words(ground.x.low_px, y_px, text, "words-quiet")
