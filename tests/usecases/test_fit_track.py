"""A hill of the bench book is fitted, and a car on it advised, from runs of a known world."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from hillbench.coasting.track import SlopePoint, Track
from hillbench.errors import InvalidInput
from hillbench.fitting.advice import Verdict
from hillbench.fitting.fit import fit
from hillbench.fitting.posterior import WeightedDraws
from hillbench.records.bench_book import BenchBook
from hillbench.records.fit_result_store import MOST_KEPT, find_result, keep_result
from hillbench.records.track_store import TrackState
from hillbench.usecases.advise_car import Wish, advise_car
from hillbench.usecases.fit_track import MadeOf, find_kept, find_or_compute, keep, tell_track
from hillbench.usecases.gather_runs import Gathered, gather_runs
from hillbench.usecases.kept_fit import FIT_SEED, KeptFit, fit_gathered, take_up
from hillbench.usecases.list_drawer import Drawer
from hillbench.usecases.note_run import note_run
from hillbench.usecases.save_track import save_track
from hillbench.usecases.tell_made_of import CARS, HILL, tell_knowledge, tell_unknowns
from tests.usecases.hill_runs import (
    BEGIN,
    ROLLING,
    SCATTER_S,
    add_car,
    add_hill,
    days,
    fill_hill,
)  # fmt: skip

NO_DRAWER = Drawer((), "EUR", Decimal(0))


def _made_of(gathered: Gathered) -> MadeOf:
    return tell_track(gathered, fit_gathered(gathered))


@pytest.fixture(scope="module")
def filled(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[BenchBook, int, int]]:
    """A bench with runs of two cars, the number of the hill and of the first car."""
    with BenchBook.open(Path(tmp_path_factory.mktemp("hill")) / "bench") as book:
        track_id, one, _ = fill_hill(book)
        yield book, track_id, one


@pytest.fixture(scope="module")
def gathered(filled: tuple[BenchBook, int, int]) -> Gathered:
    """All runs of the hill."""
    return gather_runs(filled[0], filled[1], days(5))


@pytest.fixture(scope="module")
def kept(gathered: Gathered) -> KeptFit:
    """The fit of the hill."""
    return fit_gathered(gathered)


@pytest.fixture(scope="module")
def made(gathered: Gathered, kept: KeptFit) -> MadeOf:
    """What the hill is made of."""
    return tell_track(gathered, kept)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BenchBook]:
    """An empty bench book."""
    with BenchBook.open(tmp_path / "bench") as opened:
        yield opened


def test_the_world_that_made_the_runs_is_found_again(made: MadeOf) -> None:
    unknowns = {(one.name, one.owner): one for one in made.answer.unknowns}
    rolling = unknowns["rolling_resistance", "track"]
    assert rolling.low < ROLLING < rolling.high
    assert rolling.high - rolling.low < 0.5 * (rolling.prior_high - rolling.prior_low)
    scatter = unknowns["run_scatter_s", "track"]
    assert scatter.low < SCATTER_S < scatter.high
    assert made.answer.statistics.runs == 16
    assert made.causes == ()


def test_plain_words_name_everything_once(made: MadeOf) -> None:
    hill = tell_unknowns(made.answer.unknowns, HILL)
    cars = tell_unknowns(made.answer.unknowns, CARS)
    assert [one.words for one in hill] == [
        "rolling resistance", "scatter from run to run", "share of bad runs",
    ]  # fmt: skip
    assert hill[0].value.endswith("°")
    assert {one.owner for one in cars} == {"Copper", "Kettle <&>"}
    told = dict(tell_knowledge((*hill, *cars)))
    assert "rolling resistance" in told["Known"].lower()
    assert sum(text.lower().count("rolling resistance") for text in told.values()) == 1


def test_readings_are_ranked_by_what_they_tell(made: MadeOf) -> None:
    bits = [one.bits for one in made.readings]
    assert len(bits) >= 5
    assert bits == sorted(bits, reverse=True)
    assert bits[-1] > 0.0


def test_a_result_comes_back_from_the_book_as_it_was(
    filled: tuple[BenchBook, int, int], gathered: Gathered, kept: KeptFit
) -> None:
    book, key = filled[0], gathered.key("round trip")
    keep(book, gathered, key, kept, days(6))
    assert find_kept(book, KeptFit, key) == kept
    assert find_kept(book, MadeOf, key) is None  # of another kind: computed again

    def never() -> KeptFit:
        raise AssertionError("computed twice")

    assert find_or_compute(book, gathered, KeptFit, never, days(6), key=key) == kept


def test_a_fit_taken_up_again_is_the_same_fit(gathered: Gathered, kept: KeptFit) -> None:
    fitted = fit(gathered.evidence, np.random.default_rng(FIT_SEED))
    again = take_up(kept, gathered)
    assert again.layout.places == fitted.layout.places
    assert again.draws == pytest.approx(fitted.draws, abs=1e-5)
    assert again.best == pytest.approx(fitted.best)


def test_of_a_state_never_measured_a_fit_taken_up_knows_the_prior(
    gathered: Gathered, kept: KeptFit
) -> None:
    setup = next(iter(gathered.now.values()))
    dry = replace(setup, state="dry")
    again = take_up(kept, gathered, [dry])
    drawn = again.draws[:, again.layout.places["bearing_friction", dry.owner]]
    assert stats.kstest(drawn, "norm").pvalue > 0.001


def test_only_the_latest_results_are_kept(filled: tuple[BenchBook, int, int]) -> None:
    book, _, car_id = filled
    for number in range(MOST_KEPT + 2):
        with book.write() as session:
            keep_result(session, 1, car_id, f"key {number}", {"n": number}, days(number))
    with book.read() as session:
        found = [find_result(session, f"key {number}") for number in range(MOST_KEPT + 2)]
    assert found == [None, None, *({"n": number} for number in range(2, MOST_KEPT + 2))]


def test_advice_is_ranked_and_holds_the_wish(filled: tuple[BenchBook, int, int]) -> None:
    book, track_id, car_id = filled
    gathered = gather_runs(book, track_id, days(5), also_car_id=car_id)
    wish = Wish(target_time_s=1.0, mass_limit_g=50.0)
    found = advise_car(gathered, fit_gathered(gathered), car_id, wish, NO_DRAWER)
    assert found.run_count == 8
    names = [one.forecast.change.name for one in found.advice]
    assert "add weight up to 49.95 g" in names
    assert not any("as it is" in name for name in names)  # nobody goes back to a state that is over
    assert all(one.forecast.legal for one in found.advice)
    # A second is beyond any hill of 8 m.
    assert {one.forecast.probability_target for one in found.advice} == {0.0}
    order = list(Verdict)
    ranks = [order.index(one.verdict) for one in found.advice]
    assert ranks == sorted(ranks)
    for one in found.advice:
        forecast = one.forecast
        assert forecast.gain_low_s <= forecast.gain_s <= forecast.gain_high_s  # type: ignore[operator]


def test_a_car_that_never_ran_here_is_advised_from_the_others(
    filled: tuple[BenchBook, int, int],
) -> None:
    book, track_id, _ = filled
    guest = add_car(book, "Guest", 33.0, BEGIN)
    gathered = gather_runs(book, track_id, days(5), also_car_id=guest)
    found = advise_car(gathered, fit_gathered(gathered), guest, Wish(), NO_DRAWER)
    assert found.run_count == 0
    assert found.time_s is not None


def test_one_run_is_said_to_be_one(book: BenchBook) -> None:
    track_id, car_id = add_hill(book), add_car(book, "Copper", 36.0)
    note_run(book, track_id, car_id, 5.0, "clean", days(1))
    made = _made_of(gather_runs(book, track_id, days(2)))
    notes = " ".join(made.answer.notes)
    assert "One run cannot tell a bad run from a good one" in notes
    assert "No car ran at two masses" in notes


def test_runs_that_contradict_each_other_are_told(book: BenchBook) -> None:
    track_id, car_id = add_hill(book), add_car(book, "Copper", 36.0)
    for number, time_s in enumerate((3.9, 5.6, 4.2, 6.3, 3.8, 5.9)):
        note_run(book, track_id, car_id, time_s, "clean", days(1 + number))
    made = _made_of(gather_runs(book, track_id, days(9)))
    assert any("contradict each other" in cause for cause in made.causes)
    assert not any("contradict each other" in note for note in made.answer.notes)


def test_a_hill_that_nobody_can_coast_down_is_refused_in_one_sentence(book: BenchBook) -> None:
    wall = Track(6.0, (SlopePoint(0.0, 10.0), SlopePoint(1.0, 10.0), SlopePoint(2.0, -20.0)))
    track_id = save_track(book, "Wall", "", TrackState(wall, 0.01, 0.2), BEGIN).id
    car_id = add_car(book, "Copper", 36.0)
    note_run(book, track_id, car_id, 5.0, "clean", days(1))
    with pytest.raises(InvalidInput, match="cannot coast even without losses") as caught:
        fit_gathered(gather_runs(book, track_id, days(2)))
    assert len(caught.value.problems) == 1


def test_what_progress_raises_ends_the_fit(
    gathered: Gathered, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Enough(Exception):
        pass

    def stop(_share: float) -> None:
        raise Enough

    # As if the normal shape did not do, so that the sampler runs and tells how far it is.
    monkeypatch.setattr(WeightedDraws, "trusted", property(lambda _draws: False))
    with pytest.raises(Enough):
        fit_gathered(gathered, stop)
