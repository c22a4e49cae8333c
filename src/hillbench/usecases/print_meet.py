"""Print a meet: its heats by lane, its results, and certificates."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import TYPE_CHECKING, Final

from hillbench.racing.counts import EMPTY
from hillbench.racing.meet_state import STAGE_HEATS, MeetHeat, Planned, Row
from hillbench.racing.staging import upcoming
from hillbench.usecases.read_meet import MeetView
from hillbench.usecases.tell_results import CarResult, MeetResults, told_chance
from hillbench.usecases.tell_score import told_score

if TYPE_CHECKING:
    from hillbench.sheets.certificate import CertificateContent
    from hillbench.sheets.drawing import Drawing
    from hillbench.sheets.heat_sheet import HeatRow, LaneEntry
    from hillbench.sheets.page_frame import Link

_PLACES: Final = {1: "First place", 2: "Second place", 3: "Third place"}
_FASTEST: Final = "Fastest run"


def draw_heats(view: MeetView, link: Link, now: datetime, paper: str) -> Drawing:
    """Return the heats of a meet by lane, with what is known and boxes for the rest.

    Parameters
    ----------
    view
        The meet as it stands.
    link
        Its board, as a phone reaches it.
    now
        When it is printed.
    paper
        ``A4`` or ``Letter``.

    Raises
    ------
    InvalidInput
        If the paper is not known.
    """
    from hillbench.sheets.heat_sheet import HeatSheetContent, heat_sheet
    from hillbench.sheets.page import find_page_size

    state = view.state
    word = "Side" if state.settings.open_track else "Lane"
    rows = [_run_heat(view, heat) for heat in state.heats.values() if heat.started_at_s is not None]
    rows += [_planned_heat(view, planned) for planned in upcoming(state)]
    wide = max([state.settings.lanes, *(len(row.lanes) for row in rows)])
    content = HeatSheetContent(
        title=view.meet.name,
        lines=_lines(view),
        lanes=tuple(_lane(view, word, lane) for lane in range(1, wide + 1)),
        heats=tuple(rows),
        link=link,
        foot=_foot(now),
    )
    return heat_sheet(content, find_page_size(paper))


def draw_results(
    view: MeetView, results: MeetResults, link: Link, now: datetime, paper: str
) -> Drawing:
    """Return the results of a meet as a table.

    Parameters
    ----------
    view, results
        The meet and what it says.
    link
        The page of its results, as a phone reaches it.
    now
        When it is printed.
    paper
        ``A4`` or ``Letter``.

    Raises
    ------
    InvalidInput
        If the paper is not known.
    """
    from hillbench.sheets.page import find_page_size
    from hillbench.sheets.results_sheet import ResultColumn, ResultsContent, results_sheet

    chances = any(car.fastest_probability is not None for car in results.cars)
    columns = [
        ResultColumn("Place", "right", strong=True),
        ResultColumn("No", "right"),
        ResultColumn("Car", strong=True),
        ResultColumn("Owner"),
        ResultColumn("Score", "right"),
        ResultColumn("Best", "right"),
        ResultColumn("Typical", "right"),
        *([ResultColumn("Fastest car", "right")] if chances else []),
    ]
    content = ResultsContent(
        kind="Results" if results.over else "Standings",
        title=view.meet.name,
        lines=_lines(view),
        sentence=results.sentence,
        columns=tuple(columns),
        rows=tuple(_result_row(view, car, chances=chances) for car in results.cars),
        notes=(results.rule, *(lane.sentence for lane in results.lanes), *results.records),
        link=link,
        foot=_foot(now),
    )
    return results_sheet(content, find_page_size(paper))


def draw_certificates(view: MeetView, results: MeetResults, paper: str) -> Drawing:
    """Return certificates for the first three places and the fastest run.

    Parameters
    ----------
    view, results
        The meet and what it says.
    paper
        ``A4`` or ``Letter``; it lies on its long side.

    Raises
    ------
    InvalidInput
        If the paper is not known.
    """
    from hillbench.sheets.certificate import certificates
    from hillbench.sheets.page import find_page_size

    return certificates(tuple(_certificates(view, results)), find_page_size(paper))


def _certificates(view: MeetView, results: MeetResults) -> Iterator[CertificateContent]:
    for car in results.cars:
        if car.place in _PLACES and not car.withdrawn:
            yield _certificate(view, _PLACES[car.place], car)
    timed = [car for car in results.cars if car.best_time_s is not None and not car.withdrawn]
    if timed:
        yield _certificate(view, _FASTEST, min(timed, key=lambda car: car.best_time_s or 0.0))


def _certificate(view: MeetView, place: str, car: CarResult) -> CertificateContent:
    from hillbench.sheets.certificate import CertificateContent

    lines = [view.track_name] if view.track_name else []
    if car.best_time_s is not None:
        lines.append(f"Best run {car.best_time_s:.3f} s")
    if view.race_class is not None:
        lines.append(f"Class {view.race_class.name}")
    return CertificateContent(
        meet=view.meet.name,
        place=place,
        car=car.car_name,
        owner=car.owner_name,
        lines=tuple(lines),
        day=_held_on(view),
        signed="Race director",
    )


def _run_heat(view: MeetView, heat: MeetHeat) -> HeatRow:
    from hillbench.sheets.heat_sheet import HeatRow

    lanes = tuple(
        _entry(view, car, heat.rows.get(lane)) for lane, car in enumerate(heat.cars, start=1)
    )
    return HeatRow(str(heat.number), lanes, "" if heat.stage == STAGE_HEATS else heat.stage)


def _planned_heat(view: MeetView, planned: Planned) -> HeatRow:
    from hillbench.sheets.heat_sheet import HeatRow

    note = "again" if planned.again else "" if planned.stage == STAGE_HEATS else planned.stage
    lanes = tuple(_entry(view, car, None) for car in planned.cars)
    return HeatRow(str(planned.number), lanes, note)


def _entry(view: MeetView, car: int, row: Row | None) -> LaneEntry | None:
    from hillbench.sheets.heat_sheet import LaneEntry

    if car == EMPTY:
        return None
    return LaneEntry(str(car), view.name(car), "" if row is None else row.told())


def _result_row(view: MeetView, car: CarResult, *, chances: bool) -> tuple[str, ...]:
    spread = car.standard_uncertainty_s
    typical = "" if car.typical_time_s is None else f"{car.typical_time_s:.3f}"
    if typical and spread is not None:
        typical += f" ± {spread:.3f}"
    chance = car.fastest_probability
    return (
        "" if car.place is None else str(car.place),
        str(car.car),
        car.car_name,
        car.owner_name,
        "withdrawn" if car.withdrawn else told_score(view.state, car.score, car.missing),
        "" if car.best_time_s is None else f"{car.best_time_s:.3f}",
        typical,
        *(["" if chance is None else told_chance(chance)] if chances else []),
    )


def _lane(view: MeetView, word: str, lane: int) -> str:
    closed = " (closed)" if lane in view.state.closed_lanes else ""
    return f"{word} {lane}{closed}"


def _lines(view: MeetView) -> tuple[str, ...]:
    held = [_held_on(view), view.track_name]
    if view.race_class is not None:
        held.append(view.race_class.name)
    return (", ".join(word for word in held if word), *([view.meet.note] if view.meet.note else []))


def _held_on(view: MeetView) -> str:
    day = view.meet.held_on
    return f"{day.day} {day:%b %Y}"


def _foot(now: datetime) -> str:
    local = now.astimezone()
    return f"Hillbench, {local.day} {local:%b %Y, %H:%M}"
