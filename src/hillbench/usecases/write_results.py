"""The results of a meet for other programs: CSV and JSON."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from typing import Any, Final

from hillbench.racing.climb import champion_car
from hillbench.racing.meet_state import Row
from hillbench.usecases.read_meet import MeetView
from hillbench.usecases.tell_results import MeetResults

FORMAT: Final = "hillbench meet results"
_FORMULA_STARTS: Final = ("=", "+", "-", "@", "\t", "\r")


def results_csv(results: MeetResults) -> str:
    """Return the official ranking as CSV, one row a car."""
    return _csv([asdict(one) for one in results.cars])


def rows_csv(view: MeetView) -> str:
    """Return every run as CSV, void ones and corrections included.

    The columns car, time_s, lane and note are those that `hillbench compare` reads.
    """
    return _csv(list(run_rows(view)))


def results_json(view: MeetView, results: MeetResults) -> str:
    """Return all that a meet says as JSON."""
    told: dict[str, Any] = {
        "format": FORMAT,
        "meet": view.meet.name,
        "held_on": view.meet.held_on.isoformat(),
        "track": view.track_name,
        "race_class": "" if view.race_class is None else view.race_class.name,
        "settings": asdict(view.state.settings),
        "champion": None if (car := champion_car(view.state)) is None else view.name(car),
        **asdict(results),
        "runs": list(run_rows(view)),
        "protests": [asdict(one) for one in view.state.protests],
    }
    return json.dumps(told, ensure_ascii=False, indent=1) + "\n"


def run_rows(view: MeetView) -> Iterator[dict[str, Any]]:
    """Yield every run of a meet by heat, earlier runs of the same heat first."""
    for heat in view.state.heats.values():
        for rows, reason in heat.void:
            yield from _rows(view, heat.number, heat.stage, rows.values(), reason)
        yield from _rows(view, heat.number, heat.stage, heat.rows.values(), "")


def _rows(
    view: MeetView, heat: int, stage: str, rows: Iterable[Row], void: str
) -> Iterator[dict[str, Any]]:
    for row in rows:
        edited = "; ".join(f"was {before} ({why})" for before, why in row.edits)
        yield {
            "heat": heat,
            "stage": stage,
            "lane": row.lane,
            "car": view.name(row.car),
            "number": row.car,
            "time_s": row.time_s,
            "place": row.place,
            "note": row.note,
            "void": void,
            "corrected": edited,
        }


def _csv(rows: list[dict[str, Any]]) -> str:
    out = io.StringIO()
    if rows:
        writer = csv.DictWriter(out, list(rows[0]), lineterminator="\r\n")
        writer.writeheader()
        writer.writerows({name: _cell(value) for name, value in row.items()} for row in rows)
    return out.getvalue()


def _cell(value: object) -> object:
    """Return a cell that no spreadsheet takes for a formula."""
    if isinstance(value, str) and value.startswith(_FORMULA_STARTS):
        return f"'{value}"
    return "" if value is None else value
