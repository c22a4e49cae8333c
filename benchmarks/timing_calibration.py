"""How often the timing answers are right: coverage, stopping, gains. Fixed seeds.

``python -m benchmarks.timing_calibration`` writes docs/benchmarks-timing.md; about eight
minutes on one core.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import numpy.typing as npt
from scipy import stats

from benchmarks.timing_scenarios import (
    CONDITIONS,
    WEARS,
    Truth,
    change_order,
    draw_change,
    draw_runs,
    draw_truth,
    order_of,
)
from hillbench.timing.compare import compare
from hillbench.timing.gain import measure_gain
from hillbench.timing.run import TimedRun
from hillbench.timing.stopping import HEADLINE_SURE, Verdict

PAGE = Path(__file__).parents[1] / "docs" / "benchmarks-timing.md"
RUNS_EACH = (1, 2, 3, 5, 10)
REACHED = {
    "clean": (98, 94, 92, 92, 91),
    "big bad runs": (97, 95, 93, 92, 92),
    "drift, cars in blocks": (98, 94, 94, 94, 92),
    "lanes never swapped": (98, 95, 92, 92, 91),
}
"""Coverage of the prototype, in percent, which is to be met."""


def coverage(condition: str, runs_each: int, trials: int) -> tuple[float, float]:
    """Return the share of 90 % intervals that hold the true gap: ours, and Welch's."""
    rng = np.random.default_rng([1, CONDITIONS.index(condition), runs_each])
    ours, welch = 0, 0
    for trial in range(trials):
        truth = draw_truth(rng, condition)
        runs = draw_runs(truth, order_of(condition, runs_each), rng)
        pair = compare(runs, np.random.default_rng(trial)).pairs[0]
        ours += pair.gap_low_s <= truth.gap_s <= pair.gap_high_s
        low, high = _welch(runs)
        welch += low <= truth.gap_s <= high
    return ours / trials, welch / trials if runs_each > 1 else float("nan")


def _welch(runs: Sequence[TimedRun]) -> tuple[float, float]:
    """Return Welch's 90 % interval of the gap."""
    first, second = (_times_of(runs, car) for car in "AB")
    if len(first) < 2:
        return float("nan"), float("nan")
    interval = stats.ttest_ind(second, first, equal_var=False).confidence_interval(0.90)
    return float(interval.low), float(interval.high)


def _times_of(runs: Sequence[TimedRun], car: str) -> npt.NDArray[np.float64]:
    return np.array([run.time_s for run in runs if run.car == car], dtype=np.float64)


def stopping(trials: int, *, equal: bool = False) -> dict[str, float]:
    """Return what the stopping rule does: claims, wrong ones, runs used, beside others."""
    rng = np.random.default_rng(2 + equal)
    counts = dict.fromkeys(
        ("claims", "wrong", "headline", "headline_wrong", "close", "runs", "one", "welch"), 0.0
    )
    counts["welch_wrong"] = 0.0
    for trial in range(trials):
        drawn = draw_truth(rng, "clean")
        truth = Truth(0.0 if equal else drawn.gap_s, drawn.spread_s, bad_share=0.05)
        runs = draw_runs(truth, order_of("clean", 10), rng)
        used, verdict, headline = _follow(runs, trial)
        claim = verdict in (Verdict.FIRST, Verdict.SECOND)
        right = (verdict is Verdict.FIRST) == (truth.gap_s > 0.0)
        counts["claims"] += claim
        counts["wrong"] += claim and not right
        counts["headline"] += headline
        counts["headline_wrong"] += headline and not right
        counts["close"] += verdict is Verdict.TOO_CLOSE
        counts["runs"] += used
        first = next(run.time_s for run in runs if run.car == "A") or 0.0
        second = next(run.time_s for run in runs if run.car == "B") or 0.0
        counts["one"] += (first < second) != (truth.gap_s > 0.0)
        low, high = _welch([run for run in runs if (run.order or 0.0) <= 2 * used])
        counts["welch"] += low > 0.0 or high < 0.0
        counts["welch_wrong"] += (low > 0.0 > truth.gap_s) or (high < 0.0 < truth.gap_s)
    return {name: count / trials for name, count in counts.items()}


def _follow(runs: list[TimedRun], seed: int) -> tuple[int, Verdict, bool]:
    """Look after each pair from the third on; return runs used, verdict, and headline."""
    verdict, headline, used = Verdict.KEEP_RUNNING, False, 0
    for used in range(3, 11):
        pair = compare(runs[: 2 * used], np.random.default_rng(seed)).pairs[0]
        verdict, headline = pair.verdict, pair.sure_for_headline
        if verdict is not Verdict.KEEP_RUNNING:
            break
    return used, verdict, headline and verdict in (Verdict.FIRST, Verdict.SECOND)


def one_run_each(trials: int) -> float:
    """Return how often one run each picks the wrong car at a gap of 0.03 s."""
    rng = np.random.default_rng(3)
    wrong = 0
    for _ in range(trials):
        spread = draw_truth(rng, "clean").spread_s
        a, b = (run.time_s for run in draw_runs(Truth(0.03, spread), order_of("clean", 1), rng))
        wrong += (a or 0.0) > (b or 0.0)
    return wrong / trials


def gains(layout: str, wear: str, gain_s: float, trials: int) -> tuple[float, ...]:
    """Return shares of claimed gains and losses, coverage, and the same claims by Welch."""
    rng = np.random.default_rng([4, WEARS.index(wear), int(1000 * gain_s)])
    order = change_order(layout, 8)
    found = np.zeros(5)
    for trial in range(trials):
        runs = draw_change(order, gain_s, wear, rng)
        gain = measure_gain(runs, "b", "a", np.random.default_rng(trial))
        before, after = (_times_of(runs, car) for car in "ba")
        t = stats.ttest_ind(before, after, equal_var=False)
        found += np.array(
            [
                gain.verdict is Verdict.SECOND,
                gain.verdict is Verdict.FIRST,
                gain.gain_low_s <= gain_s <= gain.gain_high_s,
                t.statistic > 0.0 and t.pvalue / 2.0 < 1.0 - HEADLINE_SURE,
                t.statistic < 0.0 and t.pvalue / 2.0 < 1.0 - HEADLINE_SURE,
            ],
            dtype=np.float64,
        )
    return tuple(float(value) for value in found / trials)


def main(scale: float = 1.0) -> None:
    """Run all trials and write the page; `scale` makes them fewer for a quick look."""
    started = time.perf_counter()
    trials, looks, changes = (max(10, int(count * scale)) for count in (200, 200, 60))
    lines = [*_head(trials, looks, changes), *_coverage_lines(trials)]
    lines += _stopping_lines(looks)
    lines += _gain_lines(changes)
    minutes = (time.perf_counter() - started) / 60.0
    lines += ["", f"All trials took {minutes:.1f} minutes on one core."]
    PAGE.write_text("\n".join(lines) + "\n", encoding="utf-8")
    print(PAGE.read_text(encoding="utf-8"))


def _head(trials: int, looks: int, changes: int) -> list[str]:
    return [
        "# How often the timing answers are right",
        "",
        "Written by `python -m benchmarks.timing_calibration`, fixed seeds. Simulated truths near",
        "10.5 s: spread of one run log-uniform from 0.02 to 0.12 s, gap of two cars normal with",
        "0.08 s. The truths are not drawn from the model's own prior, which is wider in the gap.",
        f"{trials} comparisons for each cell of the first table (standard error"
        f" {100.0 * np.sqrt(0.09 / trials):.1f} points at 90 %),",
        f"{looks} for each row of the second, {changes} for each of the third"
        f" ({100.0 * np.sqrt(0.03 * 0.97 / changes):.1f} points at 3 %).",
        "Speed: [benchmarks-timing-speed.md](benchmarks-timing-speed.md).",
    ]


def _coverage_lines(trials: int) -> list[str]:
    heading = " | ".join(str(runs) for runs in RUNS_EACH)
    lines = [
        *("", "## 90 % intervals that hold the true gap", ""),
        "Percent, by runs of each car; beside it Welch's interval on the same runs.",
        "",
        f"| condition | | {heading} |",
        "|---|---|" + "---|" * len(RUNS_EACH),
    ]
    for condition in CONDITIONS:
        results = [coverage(condition, runs, trials) for runs in RUNS_EACH]
        ours = " | ".join(f"{100 * got:.0f}" for got, _ in results)
        asked = " | ".join(str(value) for value in REACHED[condition])
        welch = " | ".join("–" if np.isnan(other) else f"{100 * other:.0f}" for _, other in results)
        lines.append(f"| {condition} | Hillbench | {ours} |")
        lines.append(f"| | a prototype reached | {asked} |")
        lines.append(f"| | Welch | {welch} |")
        print(lines[-3], file=sys.stderr)
    return lines


def _stopping_lines(trials: int) -> list[str]:
    lines = [
        *("", "## The stopping rule", ""),
        "Order ABBA…, looks from 3 runs each, at most 10; 5 % bad runs; what matters is one",
        "spread. Percent of comparisons; wrong are claims for the wrong car. Welch: the same runs,",
        "claimed where its 90 % interval leaves out 0.",
        "",
        "| truths | claims | wrong, of claims | at 97.5 % | wrong | too close | runs a car"
        " | Welch claims | wrong, of claims |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for name, equal in (("random gaps", False), ("equal cars", True)):
        got = stopping(trials, equal=equal)
        wrong, head, welch = (
            "all" if equal else f"{100 * got[part] / max(got[whole], 1e-9):.1f}"
            for part, whole in (
                ("wrong", "claims"),
                ("headline_wrong", "headline"),
                ("welch_wrong", "welch"),
            )
        )
        cells = [
            *(f"{100 * got['claims']:.0f}", wrong, f"{100 * got['headline']:.0f}", head),
            *(f"{100 * got['close']:.0f}", f"{got['runs']:.1f}"),
            *(f"{100 * got['welch']:.0f}", welch),
        ]
        lines.append(f"| {name} | {' | '.join(cells)} |")
        print(lines[-1], file=sys.stderr)
        if not equal:
            one = got["one"]
    lines += [
        "",
        "Asked: 69 % claims, 1.9 % of them wrong, 4.7 runs a car; equal cars 13 to 26 % claims.",
        "",
        f"One run each picks the wrong car in {100 * one:.0f} % of these random truths, and in"
        f" {100 * one_run_each(20_000):.0f} % at a gap of 0.03 s (a prototype: 30 %).",
    ]
    return lines


def _gain_lines(trials: int) -> list[str]:
    lines = [
        *("", "## Before and after a change", ""),
        "8 runs before and 8 after, spread 0.05 s, 5 % bad runs; a claim asks for 97.5 %. Wearing",
        "in fades from 0.12 s, wearing out costs 0.012 s a run, a slower track 0.006 s a run.",
        "With a control, 16 runs of an unchanged car that wears likewise. Percent; Welch compares",
        "the same runs before and after, without the control.",
        "",
        "| layout | besides | true gain, s | gains claimed | losses claimed | 90 % interval holds"
        " | Welch: gains | losses |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for layout in ("swap", "control", "plain"):
        for wear in WEARS:
            for gain_s in (0.0, 0.06):
                got = gains(layout, wear, gain_s, trials)
                cells = " | ".join(f"{100 * value:.0f}" for value in got)
                lines.append(f"| {layout} | {wear} | {gain_s:.2f} | {cells} |")
                print(lines[-1], file=sys.stderr)
    return lines


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else 1.0)
