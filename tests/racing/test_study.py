"""What formats tell, and the commands of a meet."""

from __future__ import annotations

import json
import math
import time
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from hillbench.cli.main import main
from hillbench.errors import InvalidInput
from hillbench.racing.field import Field
from hillbench.racing.study import Format, formats_for, meets_for, study_formats
from hillbench.usecases.draw_heats import draw_heats
from hillbench.usecases.study_formats import compare_formats


@pytest.mark.parametrize("field", [Field(2, 2), Field(5, 1), Field(3, 4), Field(7, 2)])
def test_small_fields_have_an_answer(field: Field) -> None:
    seen: list[tuple[int, int]] = []
    found = study_formats(
        field,
        rng=np.random.default_rng(1),
        meets=200,
        progress=lambda done, total: seen.append((done, total)),
    )
    assert tuple(one.format for one in found) == formats_for(field)
    assert seen == [(done, len(found)) for done in range(len(found) + 1)]
    for one in found:
        assert 1.0 / field.cars < one.fastest_wins <= 1.0
        assert 0.0 <= one.mean_rank_error <= (field.cars**2 - 1) / (3 * field.cars)
        assert one.minutes == one.heats * field.heat_minutes


def test_cars_far_apart_are_always_ranked_right() -> None:
    sure = Field(6, 3, 5.0, 0.0, 0.0, 1e-4, bad_rate=0.0, no_finish_rate=0.0)
    for one in study_formats(sure, rng=np.random.default_rng(1), meets=300):
        assert one.fastest_wins > 0.99
        if one.format in {Format.TIMED_HEATS, Format.PAIRS}:
            assert one.mean_rank_error < 0.01


def test_the_default_field_as_in_the_theory_page() -> None:
    """Figures of a prototype written before and apart, each within what 2,000 meets tell."""
    prototype = {
        Format.TIMED_HEATS: (0.74, 1.18, 64.0),
        Format.POINTS: (0.54, 1.77, 64.0),
        Format.DOUBLE: (0.64, 2.53, 61.0),
        Format.TIMED_HEATS_FINAL: (0.82, 1.14, 80.0),
    }
    for one in study_formats(
        Field(), rng=np.random.default_rng(2), meets=2000, formats=tuple(prototype)
    ):
        wins, error, runs = prototype[one.format]
        assert one.fastest_wins == pytest.approx(wins, abs=0.04)
        assert one.mean_rank_error == pytest.approx(error, abs=0.08)
        assert one.car_runs == pytest.approx(runs, abs=0.5)


def test_forty_cars_answer_at_once() -> None:
    study_formats(Field(4, 4), rng=np.random.default_rng(1), meets=100)
    began = time.process_time()
    study_formats(Field(40, 4), rng=np.random.default_rng(1))
    assert time.process_time() - began < 3.0
    assert meets_for(Field(40, 4)) >= 1000


def test_a_large_study_is_the_same_wherever_it_runs(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("hillbench.usecases.study_formats._AT_ONCE", 100)
    field = Field(4, 2)
    alone = compare_formats(field, seed=5, meets=250)
    assert compare_formats(field, seed=5, meets=250, processes=2) == alone
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None
    ) as cluster:
        address = cluster.scheduler_address
        assert compare_formats(field, seed=5, meets=250, cluster=address) == alone


def test_pieces_pool_to_the_whole() -> None:
    """A study in pieces tells what one of another seed does, within what both can tell."""
    whole = compare_formats(Field(4, 2), seed=6, meets=2000).figures
    more = compare_formats(Field(4, 2), seed=5, meets=6000).figures
    for one, other in zip(more, whole, strict=True):
        assert one.fastest_wins_error < other.fastest_wins_error / 1.5
        apart = abs(one.fastest_wins - other.fastest_wins)
        assert apart < 4 * math.hypot(one.fastest_wins_error, other.fastest_wins_error)
        apart = abs(one.mean_rank_error - other.mean_rank_error)
        assert apart < 4 * math.hypot(one.mean_rank_error_error, other.mean_rank_error_error)


def test_a_cluster_that_is_not_there(monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("distributed")
    monkeypatch.setattr("hillbench.usecases.spread_work.ANSWER_WITHIN_S", 0.3)
    with pytest.raises(InvalidInput, match="check that it runs and answers"):
        compare_formats(Field(4, 2), meets=4500, cluster="tcp://127.0.0.1:9")


@pytest.mark.parametrize(
    ("asked", "told"),
    [({"season_meets": 0}, "season_meets is 0"), ({"processes": 99}, "processes is 99")],
)
def test_studies_that_cannot_be(asked: dict[str, int], told: str) -> None:
    with pytest.raises(InvalidInput, match=told):
        compare_formats(Field(4, 2), **asked)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "change", [{"cars": 1}, {"lanes": 9}, {"run_sd_s": 0.0}, {"bad_rate": 0.9}]
)
def test_fields_that_cannot_be(change: dict[str, float]) -> None:
    with pytest.raises(InvalidInput, match=next(iter(change))):
        Field(**change)  # type: ignore[arg-type]


def test_the_heats_command(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["heats", "--cars", "7", "--lanes", "3", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert list(answer) == ["heats", "lane_counts", "pair_meetings", "back_to_back", "exact"]
    assert list(answer["pair_meetings"]) == ["least", "most", "bound_least", "bound_most"]
    assert answer["heats"] == [list(heat) for heat in draw_heats(7, 3).heats]
    assert main(["heats", "--cars", "3", "--lanes", "4"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert "proven the best" in lines[0]
    assert len(lines) == 2 + 4
    assert main(["heats", "--cars", "0", "--lanes", "9"]) == 2
    assert len(capsys.readouterr().err.splitlines()) == 2


def test_the_formats_command(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    words = ["formats", "--cars", "6", "--lanes", "2", "--meets", "200"]
    assert main([*words, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    asked = compare_formats(Field(6, 2), meets=200).answer
    assert answer["formats"][0]["fastest_wins"] == asked.formats[0].fastest_wins
    assert answer["field"]["cars"] == 6
    assert main(words) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[0] == asked.sentence
    assert len(lines) == 2 + len(asked.formats)
    drawing = tmp_path / "formats.svg"
    assert main([*words, "--plot", str(drawing)]) == 0
    text = "".join(ElementTree.parse(drawing).getroot().itertext())
    assert all(one.name.split(",")[0].split()[0] in text for one in asked.formats)
    assert f"{100 * asked.formats[0].fastest_wins:.0f} %" in text
    assert main(["formats", "--meets", "3"]) == 2
