"""What a fit says of invented hills, where all is known."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hillbench.coasting.losses import Losses
from hillbench.coasting.track import SlopePoint, Track
from hillbench.errors import InvalidInput
from hillbench.fitting.evidence import Setup
from hillbench.fitting.finding import Finding, Knowledge, find_load_losses, find_unknowns
from hillbench.fitting.fit import Fit, FitStatus, fit
from hillbench.fitting.misfit import find_misfit
from hillbench.fitting.readings import CoastOut, RollTest, SpinTest, TimedRun
from tests.fitting.world import CAR, LOSSES, SIX_GATES, WINDING, Truth, evidence, make_runs

GATED = replace(WINDING, gates_at_m=SIX_GATES)
TRUTH = Truth()
LOAD_LOSS = 0.009 + 0.18 * 0.1 * (37.0 - 2.8) / 37.0


def _fitted(track: Track, count: int, masses: tuple[float | None, ...] = (None,)) -> Fit:
    rng = np.random.default_rng(4)
    return fit(evidence(track, TRUTH, make_runs(track, TRUTH, count, rng, masses)), rng)


def _by_name(fitted: Fit) -> dict[str, Finding]:
    rng = np.random.default_rng(1)
    return {one.name: one for one in (*find_unknowns(fitted), *find_load_losses(fitted, rng))}


def _relative(finding: Finding) -> float:
    return (finding.high - finding.low) / (2.0 * 1.645) / finding.median


@pytest.mark.parametrize("masses", [(None,), (None, 47.0, 57.0)])
def test_the_truth_lies_within_wide_intervals(masses: tuple[float | None, ...]) -> None:
    found = _by_name(_fitted(GATED, 10, masses))
    for name, true in (
        ("load_loss", LOAD_LOSS),
        ("wall_friction", 0.22),
        ("steady_drag_mn", 0.4),
        ("bearing_friction", 0.18),
        ("drag_area_cm2", 4.0),
        ("run_scatter_s", 0.05),
    ):
        low, middle, high = found[name].low, found[name].median, found[name].high
        assert middle - 2.0 * (middle - low) < true < middle + 2.0 * (high - middle), name


def test_identifiability() -> None:
    """Total times alone, then gates, then masses with a coast-out: the design's prototype.

    It had ±66 % of c_r from total times; walls ±5 % and c_r ±12 % from six gates; walls ±2 % and
    c_r ±4 % from three masses and a coast-out.
    """
    rng = np.random.default_rng(8)
    totals = _by_name(_fitted(WINDING, 8))
    gates = _by_name(_fitted(GATED, 8))
    runs = make_runs(WINDING, TRUTH, 8, rng, (None, 47.0, 57.0))
    coast = CoastOut("Mustard", 7.55, 0.15, 2.0, 0.01, state="dry")
    both = _by_name(fit(evidence(WINDING, TRUTH, runs, coast_outs=(coast,)), rng))
    assert _relative(totals["load_loss"]) > 0.3
    assert totals["load_loss"].knowledge is Knowledge.UNKNOWN
    assert _relative(gates["wall_friction"]) < 0.07
    assert 0.04 < _relative(gates["load_loss"]) < 0.16
    assert _relative(both["wall_friction"]) < 0.03
    assert _relative(both["load_loss"]) < 0.06
    for found in (gates, both):
        assert found["bearing_friction"].knowledge is not Knowledge.KNOWN


def test_a_spin_down_tells_bearings_and_rolling_apart() -> None:
    rng = np.random.default_rng(5)
    runs = make_runs(GATED, TRUTH, 10, rng, (None, 47.0))
    # k r_w² ω0/(g r_a t) = 0.18 with k = 1/2: t = 1.78 s from 20 turns a second.
    spin = SpinTest("Mustard", 20.0, 1.78, state="dry", stop_time_uncertainty_s=0.05)
    found = _by_name(fit(evidence(GATED, TRUTH, runs, spin_downs=(spin,)), rng))
    assert found["bearing_friction"].knowledge is Knowledge.KNOWN
    assert found["bearing_friction"].low < 0.18 < found["bearing_friction"].high
    assert found["rolling_resistance"].low < 0.009 < found["rolling_resistance"].high


def test_the_exponent_is_found_where_bearings_fall_with_load() -> None:
    rng = np.random.default_rng(6)
    losses = replace(LOSSES, bearing_friction=0.4, bearing_load_exponent=-0.2)
    truth = replace(TRUTH, losses=losses, scatter_s=0.01)
    runs = make_runs(GATED, truth, 12, rng, (25.0, 40.0, 80.0))
    given = evidence(GATED, truth, runs)
    free = _by_name(fit(replace(given, fit_load_exponent=True), rng))
    assert free["bearing_load_exponent"].low < -0.2 < free["bearing_load_exponent"].high < -0.1
    assert find_misfit(fit(given, rng)).causes


def test_a_late_start_gate_is_told_by_the_first_stretch() -> None:
    """Every car is held at the start for 0.15 s: no loss explains that, and the page says where."""
    rng = np.random.default_rng(5)
    truth = replace(TRUTH, scatter_s=0.01, bad_rate=0.0)
    runs = [
        replace(
            run,
            finish_time_s=(run.finish_time_s or 0.0) + 0.15,
            gate_times_s=tuple((time or 0.0) + 0.15 for time in run.gate_times_s),
        )
        for run in make_runs(GATED, truth, 10, rng, (37.0, 47.0))
    ]
    misfit = find_misfit(fit(evidence(GATED, truth, runs), rng))
    first = misfit.by_stretch[0]
    assert first.is_sure
    assert first.mean_s > 0.0
    assert any("look at when the clock starts" in cause for cause in misfit.causes)


@pytest.mark.parametrize(
    ("exponent", "scatter_s", "told"),
    [(-0.2, 0.03, "Heavier cars are faster than computed by"), (-0.33, 0.005, " g are about 0.2")],
)
def test_what_goes_with_mass_is_told(exponent: float, scatter_s: float, told: str) -> None:
    """Bearings whose friction falls with the load, taken as if it did not."""
    rng = np.random.default_rng(6)
    losses = replace(LOSSES, bearing_friction=0.5, bearing_load_exponent=exponent)
    truth = replace(TRUTH, losses=losses, scatter_s=scatter_s, bad_rate=0.0)
    runs = make_runs(GATED, truth, 14, rng, (20.0, 40.0, 90.0))
    misfit = find_misfit(fit(evidence(GATED, truth, runs), rng))
    assert any(told in cause for cause in misfit.causes), misfit.causes
    assert len(misfit.by_mass) == 3


def test_no_run_and_one_run_invent_nothing() -> None:
    rng = np.random.default_rng(1)
    none = fit(evidence(WINDING, TRUTH, ()), rng, [Setup("Mustard", "dry", CAR)])
    assert none.status is FitStatus.NO_READINGS
    assert all(0.85 < one.left < 1.15 for one in find_unknowns(none))
    one = _by_name(_fitted(WINDING, 1))
    assert one["bearing_friction"].knowledge is Knowledge.UNKNOWN
    assert one["load_loss"].low < LOAD_LOSS < one["load_loss"].high


def test_masses_never_varied_leave_steady_drag_unknown() -> None:
    assert _by_name(_fitted(GATED, 10))["steady_drag_mn"].knowledge is not Knowledge.KNOWN


def test_a_late_run_is_odd_and_does_not_pull() -> None:
    rng = np.random.default_rng(7)
    runs = make_runs(GATED, replace(TRUTH, bad_rate=0.0), 8, rng)
    late = replace(
        runs[3],
        finish_time_s=(runs[3].finish_time_s or 0.0) + 1.0,
        gate_times_s=tuple((time or 0.0) + 1.0 for time in runs[3].gate_times_s),
    )
    given = evidence(GATED, TRUTH, (*runs[:3], late, *runs[4:]))
    fitted = fit(given, rng)
    odd = find_misfit(fitted).odd_runs
    assert [one.number for one in odd] == [3]
    assert odd[0].late_s == pytest.approx(1.0, abs=0.2)
    plain = _by_name(fit(evidence(GATED, TRUTH, runs), rng))["load_loss"]
    assert _by_name(fitted)["load_loss"].median == pytest.approx(plain.median, rel=0.1)


def test_runs_that_are_late_alike_are_told() -> None:
    """Half of the runs were made before the car was oiled, and nobody noted it."""
    rng = np.random.default_rng(8)
    truth = replace(TRUTH, bad_rate=0.0, scatter_s=0.02)
    runs = make_runs(WINDING, truth, 12, rng)
    late = [replace(run, finish_time_s=(run.finish_time_s or 0.0) + 0.6) for run in runs[:4]]
    given = evidence(WINDING, truth, (*late, *runs[4:]))
    causes = find_misfit(fit(given, rng)).causes
    assert any("4 of 12 runs of Mustard (dry) are all about 0.59 s" in cause for cause in causes)


def test_contradictory_runs_are_told() -> None:
    runs = tuple(TimedRun("Mustard", time) for time in (8.5, 10.5, 8.4, 10.6, 8.6, 10.4))
    causes = find_misfit(fit(evidence(WINDING, TRUTH, runs), np.random.default_rng(1))).causes
    assert any("contradict" in cause for cause in causes)


def test_a_car_that_stalls_with_the_losses_believed_is_fitted() -> None:
    flat = Track(8.0, (SlopePoint(0.5, 8.0), SlopePoint(1.0, 0.0)))
    truth = replace(TRUTH, losses=Losses(0.05, 0.003, 0.05, 0.2))
    rng = np.random.default_rng(2)
    runs = make_runs(flat, truth, 8, rng)
    found = _by_name(fit(evidence(flat, truth, runs), rng))
    true = 0.003 + 0.05 * 0.1 * (37.0 - 2.8) / 37.0
    assert found["load_loss"].low < true < found["load_loss"].high


def test_a_track_no_car_can_finish_is_refused() -> None:
    uphill = Track(5.0, (SlopePoint(0.0, -3.0),))
    with pytest.raises(InvalidInput, match="cannot coast even without losses"):
        fit(evidence(uphill, TRUTH, (TimedRun("Mustard", 3.0),)), np.random.default_rng(1))


def test_the_same_seed_gives_the_same_draws() -> None:
    assert np.array_equal(_fitted(WINDING, 5).draws, _fitted(WINDING, 5).draws)


def test_roll_tests_of_a_crooked_car_raise_its_rolling() -> None:
    rng = np.random.default_rng(3)
    roll = RollTest("Mustard", 1.0, 400.0, 5.0, 0.5)
    fitted = fit(
        evidence(WINDING, TRUTH, (), roll_tests=(roll,)), rng, [Setup("Mustard", "dry", CAR)]
    )
    found = _by_name(fitted)
    # 2 y/(D² + y²) times the wheelbase: 1.58°.
    assert found["steer_deg"].median == pytest.approx(1.58, abs=0.05)
    assert found["steer_deg"].knowledge is Knowledge.MEASURED


def test_a_coast_out_down_the_hill_counts_from_the_start_line() -> None:
    """A ramp of length l at slope γ onto a flat: c = h/x nearly, whatever the mass."""
    track = Track(2.0, (SlopePoint(1.0, 15.0), SlopePoint(1.3, 0.0)))
    height = np.sin(np.radians(15.0)) * 1.0 + 0.3 * np.sin(np.radians(7.5))
    stop = CoastOut("Mustard", height / 0.03, 0.02, state="dry")
    fitted = fit(evidence(track, TRUTH, (), coast_outs=(stop,)), np.random.default_rng(1))
    loss = _by_name(fitted)["load_loss"].median + _by_name(fitted)["steady_drag_mn"].median / 363.0
    assert loss == pytest.approx(0.03, rel=0.12)  # the air takes the rest
