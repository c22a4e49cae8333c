from __future__ import annotations

from dataclasses import replace

import pytest

from hillbench.errors import InvalidInput
from hillbench.fitting.bench_tests import read_spins
from hillbench.fitting.check import check_evidence
from hillbench.fitting.evidence import Evidence, KnownCar
from hillbench.fitting.readings import CoastOut, RollTest, SpinTest, TimedRun
from tests.fitting.world import CAR, WINDING

GOOD = Evidence(replace(WINDING, gates_at_m=(6.0, 12.0)), (KnownCar("A", CAR),))


def _places(evidence: Evidence) -> list[str]:
    return [problem.where for problem in check_evidence(evidence)]


def test_good_evidence_has_no_problem() -> None:
    runs = (TimedRun("A", 9.0, (3.0, 6.0)), TimedRun("A", 9.0), TimedRun("A", note="no finish"))
    assert _places(replace(GOOD, runs=runs)) == []


@pytest.mark.parametrize(
    ("changed", "place"),
    [
        ({"cars": ()}, "cars"),
        ({"cars": (KnownCar("A", CAR), KnownCar("A", CAR))}, "cars[1].name"),
        ({"cars": (KnownCar("A", replace(CAR, mass_g=-1.0)),)}, "cars[0].car.mass_g"),
        ({"cars": (KnownCar("A", CAR, mass_uncertainty_g=20.0),)}, "cars[0].mass_uncertainty_g"),
        ({"runs": (TimedRun("B", 9.0),)}, "runs[0].car"),
        ({"runs": (TimedRun("A", 9.0, note="fine"),)}, "runs[0].note"),
        ({"runs": (TimedRun("A", 9.0, (3.0,)),)}, "runs[0].gate_times_s"),
        ({"runs": (TimedRun("A", 5.0, (3.0, 6.0)),)}, "runs[0]"),
        ({"runs": (TimedRun("A", 9.0, mass_g=5000.0),)}, "runs[0].mass_g"),
        ({"coast_outs": (CoastOut("A", -1.0, 0.1),)}, "coast_outs[0].distance_m"),
        ({"coast_outs": (CoastOut("A", 3.0, 0.0),)}, "coast_outs[0].distance_uncertainty_m"),
        ({"coast_outs": (CoastOut("A", 3.0, 0.1, -2.0),)}, "coast_outs[0].entry_speed_m_s"),
        ({"spin_downs": (SpinTest("A", 0.0, 2.0),)}, "spin_downs[0].start_turns_per_s"),
        ({"roll_tests": (RollTest("A", 0.0, 2.0),)}, "roll_tests[0].length_m"),
        ({"timer_uncertainty_s": -1.0}, "timer_uncertainty_s"),
    ],
)
def test_each_problem_is_named_by_its_place(changed: dict[str, object], place: str) -> None:
    assert place in _places(replace(GOOD, **changed))  # type: ignore[arg-type]


def test_a_spin_down_that_cannot_be_is_named_by_its_place() -> None:
    spin = SpinTest("A", 20.0, 2.0, turns=39.0)
    with pytest.raises(InvalidInput, match=r"spin_downs\[0\]\.turns"):
        read_spins(replace(GOOD, spin_downs=(spin,)))
