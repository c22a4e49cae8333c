"""Each test at the bench in one sentence, for lists and for the history of a car."""

from __future__ import annotations

from collections.abc import Sequence

from hillbench.records.bench_test_entities import (
    BenchTestRecord,
    CoastOutRecord,
    RollTestRecord,
    RubAnswer,
    RubCheckRecord,
    SpinDownTest,
    Turned,
)
from hillbench.usecases.spin_tests import state_name
from hillbench.web.showing import Showing
from hillbench.web.templating import count


def told_test(test: BenchTestRecord, show: Showing) -> str:
    """Return a test in one sentence without its end."""
    match test:
        case SpinDownTest():
            return _spin_down(test)
        case RollTestRecord():
            return _roll_test(test, show)
        case CoastOutRecord():
            return _coast_out(test, show)
        case RubCheckRecord():
            return _rub_check(test)


def told_counts(tests: Sequence[BenchTestRecord]) -> str:
    """Return how many tests of each kind there are, in words; nothing without any."""
    kinds = {
        "spin-down": SpinDownTest,
        "roll test": RollTestRecord,
        "coast-out": CoastOutRecord,
        "rub check": RubCheckRecord,
    }
    counts = {name: sum(isinstance(test, kind) for test in tests) for name, kind in kinds.items()}
    return ", ".join(count(number, name) for name, number in counts.items() if number)


def _spin_down(test: SpinDownTest) -> str:
    times = ", ".join(f"{time_s:g}" for time_s in test.stop_times_s)
    told = f"Spin-down, {test.wheel}, {state_name(test.lubricant, test.round_number)}: {times} s"
    if test.start_turns_per_s:
        speeds = ", ".join(f"{speed:g}" for speed in test.start_turns_per_s)
        told += f" from {speeds} turns a second"
    if test.turns:
        told += f", {', '.join(f'{turns:g}' for turns in test.turns)} turns"
    return told


def _roll_test(test: RollTestRecord, show: Showing) -> str:
    drifts = ", ".join(
        f"{show.length(abs(roll.drift_mm)).trimmed()} {'right' if roll.drift_mm < 0 else 'left'}"
        for roll in test.rolls
    )
    length = show.distance(test.rolls[0].length_m).trimmed()
    turned = test.rolls[0].turned
    told = f"{count(len(test.rolls), 'roll')} over {length}: {drifts}"
    if turned is not Turned.NONE:
        told += f", axles: {turned}"
    return f"{told}, axles set anew before" if test.straightened else told


def _coast_out(test: CoastOutRecord, show: Showing) -> str:
    distances = ", ".join(str(show.distance(one).trimmed()) for one in test.distances_m)
    where = "on a track" if test.track_id is not None else f"on {test.surface}"
    if test.entry_speed_m_s is None:
        return f"Coasted {distances} down from the start {where}"
    return f"Coasted {distances} {where} from {show.speed(test.entry_speed_m_s).trimmed()}"


def _rub_check(test: RubCheckRecord) -> str:
    rubs = sum(answer is RubAnswer.RUBS for answer in test.answers.values())
    looked = count(len(test.answers), "place")
    return f"Rub check, {looked}: {f'{rubs} not as it should be' if rubs else 'nothing rubs'}"
