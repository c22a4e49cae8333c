"""Tests at the bench and gate times that the app would not have let in are refused on import."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from pydantic import ValidationError

from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_checks import check_bench
from hillbench.records.bench_file import BenchFile
from hillbench.records.bench_rows import bench_from_rows
from tests.records.write_released import fill

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)


@pytest.fixture(scope="module")
def exported(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, Any]]:
    """A bench with something of everything, as JSON."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("bench"))) as book:
        fill(book)
        with book.read() as session:
            yield bench_from_rows(session, "test", NOW).model_dump(mode="json")


def changed(exported: dict[str, Any], part: str, number: int, **fields: Any) -> BenchFile:
    bench = {**exported, part: [dict(one) for one in exported[part]]}
    bench[part][number] |= fields
    return BenchFile.model_validate(bench)


def test_bench_as_it_was_written_is_fine(exported: dict[str, Any]) -> None:
    assert list(check_bench(BenchFile.model_validate(exported))) == []
    parts = ("spin_downs", "roll_tests", "coast_outs", "rub_checks")
    assert [len(exported[part]) for part in parts] == [2, 1, 1, 1]


@pytest.mark.parametrize(
    ("part", "number", "fields", "place"),
    [
        ("spin_downs", 0, {"turns": [20.0]}, "spin_downs[0].turns"),
        ("spin_downs", 0, {"start_turns_per_s": [9.0] * 3}, "spin_downs[0].start_turns_per_s"),
        ("spin_downs", 1, {"note": " blanks "}, "spin_downs[1]"),
        ("coast_outs", 0, {"entry_speed_m_s": None}, "coast_outs[0]"),
        ("coast_outs", 0, {"surface": ""}, "coast_outs[0]"),
        ("coast_outs", 0, {"track_version_id": 1, "track_id": 2}, "coast_outs[0].track_version_id"),
        ("timed_runs", 0, {"gate_times_s": [1.0]}, "timed_runs[0].gate_times_s"),
    ],
)
def test_contents_that_cannot_be_are_named(
    exported: dict[str, Any], part: str, number: int, fields: dict[str, Any], place: str
) -> None:
    assert [one.where for one in check_bench(changed(exported, part, number, **fields))] == [place]


@pytest.mark.parametrize(
    ("part", "fields"),
    [
        ("spin_downs", {"stop_times_s": []}),
        ("spin_downs", {"stop_times_s": [-1.0]}),
        ("spin_downs", {"wheel": "fifth"}),
        ("spin_downs", {"round_number": -1}),
        ("roll_tests", {"rolls": []}),
        ("coast_outs", {"distances_m": [0.0]}),
        ("rub_checks", {"answers": {"base": "perhaps"}}),
    ],
)
def test_forms_that_cannot_be_are_refused(
    exported: dict[str, Any], part: str, fields: dict[str, Any]
) -> None:
    with pytest.raises(ValidationError):
        changed(exported, part, 0, **fields)
