"""`hillbench listen`: times from a timer on a serial port, printed or entered."""

from __future__ import annotations

import json
import uuid
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Annotated

import typer

from hillbench.cli.settings import open_bench

if TYPE_CHECKING:
    from hillbench.records.bench_book import BenchBook
    from hillbench.timing.line_rule import LineRule, LineTime


def listen(
    context: typer.Context,
    port: Annotated[str, typer.Argument(metavar="PORT", help="Such as /dev/ttyUSB0 or COM3.")],
    baud: Annotated[int, typer.Option("--baud", min=50, help="Symbols a second.")] = 9600,
    rule: Annotated[
        str | None, typer.Option("--rule", help="How the timer writes, by its name.")
    ] = None,
    outing: Annotated[
        int | None, typer.Option("--outing", help="Enter the runs in this outing.")
    ] = None,
    meet: Annotated[
        int | None, typer.Option("--meet", help="Enter the runs in the heat on the track there.")
    ] = None,
    learn: Annotated[
        str | None, typer.Option("--learn", metavar="LINE", help="Learn a rule from this line.")
    ] = None,
    time: Annotated[str, typer.Option("--time", help="What of the line is the time.")] = "",
    lane: Annotated[str, typer.Option("--lane", help="What of the line is the lane.")] = "",
    gate: Annotated[
        list[str] | None, typer.Option("--gate", help="What is a gate time; once for each.")
    ] = None,
    runs: Annotated[int | None, typer.Option("--runs", min=1, help="Stop after so many.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="One JSON object a time.")] = False,
) -> None:
    """Read times from a timer on a serial port; print them, or enter them in an outing or a meet.

    A timer that is unplugged is waited for. Lines that do not fit the rule are told on
    standard error and left out.
    """
    from hillbench.cli.timer_port import timer_lines

    with open_bench(context) as book:
        known = _rule(book, rule, learn, time, lane, gate or [])
        taker = _Taker(book, known, outing, meet, as_json=as_json)
        for line in timer_lines(port, baud, _tell):
            taker.take(line)
            if runs is not None and taker.count >= runs:
                return


class _Taker:
    """Takes lines: prints each time, enters it where an outing or a meet was named."""

    def __init__(
        self,
        book: BenchBook,
        rule: LineRule,
        outing_id: int | None,
        meet_id: int | None,
        *,
        as_json: bool,
    ) -> None:
        self._book = book
        self._rule = rule
        self._outing_id = outing_id
        self._meet_id = meet_id
        self._as_json = as_json
        self._session = uuid.uuid4().hex
        self._lines = 0
        self.count = 0

    def take(self, line: str) -> None:
        """Print, and enter, the times of one line."""
        from hillbench.errors import InvalidInput
        from hillbench.timing.line_rule import read_line

        self._lines += 1
        try:
            times = read_line(self._rule, line)
            if times is None:
                _tell(f"Not understood: {line[:80]!r}")
                return
            self._enter(times)
        except InvalidInput as error:
            for problem in error.problems:
                _tell(f"Not taken: {line[:80]!r}. {problem.sentence()}")
            return
        self.count += len(times)
        for time in times:
            typer.echo(self._told(time))

    def _enter(self, times: tuple[LineTime, ...]) -> None:
        from hillbench.usecases.take_line import take_times
        from hillbench.usecases.take_meet_line import take_meet_line
        from hillbench.usecases.write_journal import Writer

        key, now = f"timer:{self._session}:{self._lines}", datetime.now(UTC)
        if self._outing_id is not None:
            take_times(self._book, self._outing_id, times, now, entry_key=key)
        if self._meet_id is not None:
            writer = Writer("timer", now, entry_key=key)
            take_meet_line(self._book, self._meet_id, writer, times)

    def _told(self, time: LineTime) -> str:
        if self._as_json:
            answer = {"time_s": time.time_s, "lane": time.lane, "place": time.place}
            return json.dumps({**answer, "gate_times_s": time.gate_times_s})
        told = ["no finish" if time.time_s is None else f"{time.time_s:.4f} s"]
        told += [f"lane {time.lane}"] if time.lane else []
        told += [f"place {time.place}"] if time.place else []
        if time.gate_times_s:
            gates = ("–" if gate is None else f"{gate:.4f}" for gate in time.gate_times_s)
            told.append(f"gates {' '.join(gates)} s")
        return "  ".join(told)


def _rule(
    book: BenchBook, name: str | None, line: str | None, time: str, lane: str, gates: list[str]
) -> LineRule:
    from hillbench.timing.line_rule import Field, mark_text
    from hillbench.usecases.take_line import find_rule, learn_rule

    if line is None:
        return find_rule(book, name)
    marks = [mark_text(line, Field.TIME, time)]
    if lane:
        marks.append(mark_text(line, Field.LANE, lane))
    marks += [mark_text(line, Field.GATE, gate) for gate in gates]
    return learn_rule(book, name or "timer", [line], marks, datetime.now(UTC))


def _tell(sentence: str) -> None:
    typer.echo(sentence, err=True)
