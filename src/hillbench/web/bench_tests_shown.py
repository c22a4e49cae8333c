"""Parts of the page of tests at the bench: pictures, lists, what is offered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from hillbench import units
from hillbench.coasting.roll_test import drift_after
from hillbench.pictures.length_unit import LENGTH_UNITS
from hillbench.pictures.roll_test import RollDot, SmallUnit, roll_test_picture
from hillbench.pictures.spin_down import spin_down_picture
from hillbench.records.bench_test_entities import BenchTestRecord, Travel, Way
from hillbench.records.entities import Kind
from hillbench.usecases.judge_roll_tests import RollsJudged
from hillbench.usecases.judge_spin_downs import SpinsJudged
from hillbench.usecases.show_bench_tests import BenchTests, ShownCoastOut, friction_note
from hillbench.usecases.show_car import TEST_KINDS
from hillbench.usecases.spin_wheels import spin_wheels
from hillbench.usecases.tell_roll_tests import tell_rolls
from hillbench.usecases.tell_spin_downs import percent, tell_spins
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.preferences import Preferences
from hillbench.web.showing import Showing
from hillbench.web.tests_told import told_test


@dataclass(frozen=True, slots=True)
class KeptLine:
    """One test in a list, with what removes it."""

    at: datetime
    told: str
    note: str
    kind: Kind
    id: int


@dataclass(frozen=True, slots=True)
class FrictionOffer:
    """The friction of the latest round, to be taken as the one that counts.

    Attributes
    ----------
    value
        The friction with its uncertainty.
    state
        The state of the bearings in words.
    used
        Whether it counts already.
    """

    value: str
    state: str
    used: bool


@dataclass(frozen=True, slots=True)
class CoastLine:
    """A coast-out with what it says."""

    line: KeptLine
    says: str


def spins_picture(judged: SpinsJudged | None) -> Pictured | None:
    """Return the friction of each wheel in each round; None without any."""
    if judged is None:
        return None
    wheels = spin_wheels(judged)
    sentence = tell_spins(judged)
    return pictured(
        lambda width, key: spin_down_picture(wheels, sentence, width_px=width, key=key), "spins"
    )


def rolls_picture(judged: RollsJudged | None, preferences: Preferences) -> Pictured | None:
    """Return where the car ended with its axles as they stand; None without any roll."""
    if judged is None:
        return None
    dots = [
        RollDot(
            roll.length_m, roll.drift_mm, roll.travel is Travel.TAIL_FIRST, roll.way is Way.BACK
        )
        for roll in judged.rolls
        if roll.turned is judged.rolls[-1].turned
    ]
    along = LENGTH_UNITS[preferences.distance_unit]
    unit = preferences.length_unit
    across = SmallUnit(unit, units.convert(1.0, units.LENGTH, unit))
    curvature_1_m = judged.axles.steer.curvature_1_m.value
    sentence = tell_rolls(judged)
    return pictured(
        lambda width, key: roll_test_picture(
            dots, curvature_1_m, sentence, along=along, across=across, width_px=width, key=key
        ),
        "rolls",
    )


def drifted_mm(judged: RollsJudged, length_m: float) -> float:
    """Return how far beside its line the car is after a length, mm, without sign."""
    return 1e3 * abs(drift_after(judged.axles.steer.curvature_1_m.value, length_m))


def friction_offer(tests: BenchTests) -> FrictionOffer | None:
    """Return the friction of the latest round; None without any."""
    if tests.spins is None:
        return None
    friction = tests.spins.friction
    value = f"{friction.value:.3f} ± {friction.standard_uncertainty:.3f}"
    used = (
        tests.friction_in_use == friction_note(tests.spin_downs[0])
        and abs(tests.description.bearing_friction - friction.value) < 5e-4
    )
    return FrictionOffer(value, tests.spins.rounds[-1], used)


def coasted_words(one: ShownCoastOut) -> str:
    """Return what a coast-out says."""
    if one.says is None:
        return "a fit of the hill reads what this says"
    loss = one.says.loss_share
    share, spread = percent(loss.value), percent(loss.standard_uncertainty)
    slope = f"{one.says.slope_deg:.2f}°"
    return f"loses {share} ± {spread} of its weight, as much as a slope of {slope} gives"


def rub_words(tests: BenchTests) -> str:
    """Return how the latest rub check came out."""
    if not tests.rub_checks:
        return "Nobody looked yet. A wheel that touches costs more than any graphite gains."
    if tests.rubbing:
        count = len(tests.rubbing)
        return f"{count} place{'s' * (count != 1)} to put right, below."
    if tests.not_looked:
        left = len(tests.not_looked)
        places = "1 place is" if left == 1 else f"{left} places are"
        return f"Nothing rubs where it was looked; {places} still to be looked at."
    return "Nothing rubs."


def kept_lines(tests: tuple[BenchTestRecord, ...], show: Showing) -> tuple[KeptLine, ...]:
    """Return tests as lines of a list."""
    return tuple(kept_line(test, show) for test in tests)


def kept_line(test: BenchTestRecord, show: Showing) -> KeptLine:
    """Return a test as a line of a list."""
    kind = TEST_KINDS[type(test)]
    return KeptLine(test.at, told_test(test, show), test.note, kind, test.id)


def way_words(travel: Travel, way: Way) -> str:
    """Return a way to roll a car, in words."""
    return f"{travel.capitalize()}, {way}"
