"""Where the energy of the start goes: steps down from the height let go to the finish."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from hillbench.coasting.result import EnergyBudget
from hillbench.pictures import drawing
from hillbench.pictures.drawing import ROOMY_PX, WIDE_PX
from hillbench.pictures.scale import Scale, share_figure, short_figure

LOSS_NAMES: Final = {
    "bearings": "bearings",
    "rolling": "rolling",
    "steady_drag": "steady drag",
    "air": "air",
    "walls": "walls",
}
"""Each loss as it is called on pages."""

_TAKERS: Final = {
    "bearings": "the bearings",
    "rolling": "rolling",
    "steady_drag": "steady drag",
    "air": "the air",
    "walls": "the walls",
}

_LABEL_PX: Final = 132.0
_VALUE_PX: Final = 142.0
_LEAST_BAR_PX: Final = 2.0


@dataclass(frozen=True, slots=True)
class _Row:
    name: str
    words: str
    from_mj: float
    to_mj: float
    share: float


@dataclass(frozen=True, slots=True)
class _Layout:
    step_px: float
    bar_px: float
    bar_drop_px: float
    narrow: bool


_WIDE: Final = _Layout(step_px=32.0, bar_px=22.0, bar_drop_px=0.0, narrow=False)
_NARROW: Final = _Layout(step_px=46.0, bar_px=18.0, bar_drop_px=20.0, narrow=True)


def energy_picture(
    energy: EnergyBudget,
    *,
    width_px: int = WIDE_PX,
    key: str = "energy",
    standalone: bool = False,
    finished: bool = True,
) -> str:
    """Return the energy budget as a staircase of bars, largest loss first, as SVG.

    Parameters
    ----------
    energy
        Where the energy went.
    width_px
        Width the picture is laid out for.
    key
        Name of the picture, unique in its page.
    standalone
        Whether it is to be a file of its own.
    finished
        Whether the last step is at the finish, or where the run ended early.
    """
    rows = _rows(energy, finished=finished)
    layout = _WIDE if width_px >= ROOMY_PX else _NARROW
    left = 4.0 if layout.narrow else _LABEL_PX
    right = width_px - 8.0 if layout.narrow else width_px - _VALUE_PX
    x = Scale(0.0, max(energy.start, 1e-9), left, right)
    marks: list[drawing.Mark] = []
    for index, row in enumerate(rows):
        top = 8.0 + index * layout.step_px
        marks += _row_marks(row, x, top, layout, width_px)
        if index + 1 < len(rows) and not layout.narrow:
            edge = x(row.to_mj if index else row.from_mj)
            low = top + layout.bar_drop_px + layout.bar_px
            high = top + layout.step_px + layout.bar_drop_px
            marks.append(drawing.line((edge, low), (edge, high), "leader"))
    return drawing.picture(
        key,
        "Where the energy goes",
        energy_sentence(energy),
        (width_px, 12.0 + len(rows) * layout.step_px),
        marks,
        standalone=standalone,
    )


def energy_sentence(energy: EnergyBudget) -> str:
    """Return the budget in words, largest loss first."""
    if not energy.start > 0.0:
        return "No height energy was let go."
    parts = [
        f"{share_figure(value / energy.start)} goes to {_TAKERS[name]}"
        for name, value in _by_size(energy)
    ]
    left = f"{share_figure(energy.finish_motion / energy.start)} is left as motion"
    let_go = f"{short_figure(energy.start)} mJ of height energy let go"
    if not parts:
        return f"Of {let_go}, {left}."
    first, *others = parts
    rest = [part.replace(" goes to", " to") for part in others]
    return f"Of {let_go}, {', '.join([first, *rest])}; {left}."


def _by_size(energy: EnergyBudget) -> list[tuple[str, float]]:
    losses = [(name, value) for name, value in energy.losses().items() if value > 0.0]
    return sorted(losses, key=lambda item: -item[1])


def _rows(energy: EnergyBudget, *, finished: bool) -> list[_Row]:
    whole = energy.start if energy.start > 0.0 else 1.0
    rows = [_Row("start", "height let go", energy.start, 0.0, 1.0)]
    level = energy.start
    for name, value in _by_size(energy):
        rows.append(_Row(name, LOSS_NAMES[name], level, level - value, value / whole))
        level -= value
    last = "motion at finish" if finished else "motion at the end"
    motion = energy.finish_motion
    rows.append(_Row("finish_motion", last, motion, 0.0, motion / whole))
    return rows


def _row_marks(
    row: _Row, x: Scale, top: float, layout: _Layout, width_px: int
) -> list[drawing.Mark]:
    low, high = x(min(row.from_mj, row.to_mj)), x(max(row.from_mj, row.to_mj))
    high = max(high, low + _LEAST_BAR_PX)
    data = {"mark": "bar", "name": row.name, "mj": f"{abs(row.from_mj - row.to_mj):.6g}"}
    bar = drawing.box(
        low, top + layout.bar_drop_px, high - low, layout.bar_px, f"fill-{row.name}", data=data
    )
    figures = f"{short_figure(abs(row.from_mj - row.to_mj))} mJ"
    share = "" if row.name == "start" else share_figure(row.share).replace("under", "<")
    if layout.narrow:
        value = f"{figures} · {share}" if share else figures
        return [
            drawing.words(4.0, top + 14.0, row.words),
            drawing.words(width_px - 8.0, top + 14.0, value, anchor="end"),
            bar,
        ]
    return [
        drawing.words(x.low_px - 10.0, top + 16.0, row.words, anchor="end"),
        drawing.words(width_px - 74.0, top + 16.0, figures, anchor="end"),
        drawing.words(width_px - 4.0, top + 16.0, share, anchor="end"),
        bar,
    ]
