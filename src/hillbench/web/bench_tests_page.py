"""The page of a car's tests at the bench, put together from what they say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import ClassVar, Final

from hillbench import units
from hillbench.building.caution import ALWAYS, TEXTS, Caution, CautionText
from hillbench.coasting.spin_rounds import RoundVerdict
from hillbench.pictures.length_unit import LENGTH_UNITS
from hillbench.pictures.roll_test import RollDot, SmallUnit, roll_test_picture
from hillbench.pictures.spin_down import Says, SpinRow, SpinWheel, spin_down_picture
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import (
    BenchTestRecord,
    RubAnswer,
    SpinTimedBy,
    Travel,
    Turned,
    Way,
    Wheel,
)
from hillbench.records.entities import CarRecord, Kind
from hillbench.usecases.judge_roll_tests import RollsJudged
from hillbench.usecases.judge_spin_downs import SpinsJudged
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.rub_places import PLACES, RubPlace
from hillbench.usecases.show_bench_tests import (
    BenchTests,
    ShownCoastOut,
    friction_note,
    show_bench_tests,
)
from hillbench.usecases.show_car import TEST_KINDS
from hillbench.usecases.tell_roll_tests import tell_axle, tell_rolls, tell_scrub, tell_turning
from hillbench.usecases.tell_spin_downs import (
    percent,
    tell_matters,
    tell_notes,
    tell_spins,
    tell_wheel,
)
from hillbench.web.bench_test_forms import ROLL_WAYS
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured, pictured
from hillbench.web.preferences import Preferences
from hillbench.web.quantities import BY_NAME
from hillbench.web.showing import Showing, Shown, symbol, typed_again
from hillbench.web.tests_told import told_test
from hillbench.web.typed import Typed, default_unit

FORMS: Final = ("spins", "rolls", "coast", "rubs")
"""Names of the forms on the page."""

_SAYS: Final[Mapping[RoundVerdict, Says]] = {
    RoundVerdict.GAINED: "on",
    RoundVerdict.STOP: "stop",
    RoundVerdict.WORSE: "worse",
    RoundVerdict.UNSURE: "open",
}
_USUAL_AIM_DEG: Final = 0.3
_USUAL_DRIFT_MM: Final = 2.0
_USUAL_LEVEL_DEG: Final = 0.2
_USUAL_ROLL_M: Final = 2.0


@dataclass(frozen=True, slots=True)
class TestLine:
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

    line: TestLine
    says: str


@dataclass(frozen=True)
class BenchTestsPage(Page):
    """Tests of one car at the bench: free wheels, straight rolling, coast-outs, rubbing.

    Attributes
    ----------
    car
        The car.
    spins_say, matters_say, spin_notes
        What the spin-downs say, what is taken to matter, and what they cannot tell.
    spins_picture
        Friction by wheel and round; None without any.
    offer
        The friction to be taken as the one that counts; None without any.
    assumed
        Quantities on which the spin-downs rest that nobody measured, in words.
    spin_lines
        Every spin-down.
    wheels
        Names of the wheels with the beginning of their fields.
    rolls_say, axle_says, turning_says, scrub_says
        How it rolls, which axle it is, which way round is best, and what it costs.
    drift
        Drift over the first metre, without sign; None without any roll.
    rolls_picture
        Where it ended; None without any.
    roll_lines
        Every roll test.
    roll_ways
        Ways to roll it, as fields of the form.
    coast_lines
        Every coast-out with what it says.
    track_options
        Surfaces to coast on, as choices of the form.
    rub_says
        How the latest rub check came out.
    rub_lines
        Every rub check.
    rub_places, rubbing
        Places to look at, and those that rubbed.
    timed_options, turned_options, rub_options
        Choices of the forms.
    length_unit, distance_unit
        Units of bare lengths and distances.
    cautions, always
        What can hurt, and why.
    spins, rolls, coast, rubs
        The forms, as typed.
    """

    template: ClassVar[str] = "bench_tests/page.html"
    place: ClassVar[str] = "cars"

    car: CarRecord
    spins_say: str
    matters_say: str
    spin_notes: tuple[str, ...]
    spins_picture: Pictured | None
    offer: FrictionOffer | None
    assumed: tuple[str, ...]
    spin_lines: tuple[TestLine, ...]
    wheels: tuple[tuple[str, str], ...]
    rolls_say: str
    axle_says: str
    turning_says: str
    scrub_says: str
    drift: Shown | None
    rolls_picture: Pictured | None
    roll_lines: tuple[TestLine, ...]
    roll_ways: tuple[tuple[str, str], ...]
    coast_lines: tuple[CoastLine, ...]
    track_options: tuple[tuple[str, str], ...]
    rub_says: str
    rub_lines: tuple[TestLine, ...]
    rub_places: tuple[RubPlace, ...]
    rubbing: tuple[RubPlace, ...]
    timed_options: tuple[tuple[str, str], ...]
    turned_options: tuple[tuple[str, str], ...]
    rub_options: tuple[tuple[str, str], ...]
    length_unit: str
    distance_unit: str
    cautions: tuple[CautionText, ...]
    always: str
    spins: Typed
    rolls: Typed
    coast: Typed
    rubs: Typed


def bench_tests_page(
    book: BenchBook, car_id: int, preferences: Preferences, typed: Typed | None = None
) -> BenchTestsPage:
    """Return the page of a car's tests; `typed` is shown again in the form it was typed into.

    Raises
    ------
    NotFound
        If there is no such car.
    """
    tests = show_bench_tests(book, car_id)
    show = Showing(preferences)
    forms = _empty_forms(tests, preferences)
    if typed is not None:
        forms[typed.form] = typed
    tracks = tuple(
        (str(one.record.id), f"the track {one.record.name}") for one in list_tracks(book)
    )
    rolls = tests.rolls
    return BenchTestsPage(
        car=tests.car,
        spins_say=tell_spins(tests.spins),
        matters_say=tell_matters(tests.spins.matters) if tests.spins else "",
        spin_notes=tell_notes(tests.spins) if tests.spins else (),
        spins_picture=_spins_picture(tests.spins),
        offer=_offer(tests),
        assumed=tuple(BY_NAME[name].short for name in tests.assumed) if tests.spins else (),
        spin_lines=_lines(tests.spin_downs, show),
        wheels=tuple((str(wheel), wheel.replace(" ", "_")) for wheel in Wheel),
        rolls_say=tell_rolls(rolls),
        axle_says=tell_axle(rolls) if rolls else "",
        turning_says=tell_turning(rolls) if rolls else "",
        scrub_says=tell_scrub(rolls.scrub) if rolls else "",
        drift=show.length(abs(rolls.axles.steer.drift_mm_per_m)) if rolls else None,
        rolls_picture=_rolls_picture(rolls, preferences),
        roll_lines=_lines(tests.roll_tests, show),
        roll_ways=tuple((f"drift_{place}", _way(*way)) for place, way in enumerate(ROLL_WAYS)),
        coast_lines=tuple(
            CoastLine(_line(one.test, show), _coasted(one)) for one in tests.coast_outs
        ),
        track_options=(("", "a flat surface, named beside"), *tracks),
        rub_says=_rub_says(tests),
        rub_lines=_lines(tests.rub_checks, show),
        rub_places=PLACES,
        rubbing=tests.rubbing,
        timed_options=((SpinTimedBy.HAND, "by hand"), (SpinTimedBy.FILM, "on film")),
        turned_options=tuple((str(one), str(one)) for one in Turned),
        rub_options=(
            (RubAnswer.FREE, "yes"),
            (RubAnswer.RUBS, "no"),
            (RubAnswer.NOT_LOOKED, "not looked"),
        ),
        length_unit=symbol(default_unit(units.LENGTH, preferences)),
        distance_unit=symbol(default_unit(units.DISTANCE, preferences)),
        cautions=(TEXTS[Caution.GRAPHITE], TEXTS[Caution.SOLVENT], TEXTS[Caution.SMALL_PARTS]),
        always=ALWAYS,
        **forms,
    )


def _empty_forms(tests: BenchTests, preferences: Preferences) -> dict[str, Typed]:
    last = tests.spin_downs[0] if tests.spin_downs else None
    length, distance = (default_unit(one, preferences) for one in (units.LENGTH, units.DISTANCE))
    rolled = tests.roll_tests[0] if tests.roll_tests else None
    held: Mapping[str, Mapping[str, str]] = {
        "spins": {
            "lubricant": last.lubricant if last else "dry",
            "round_number": str(last.round_number) if last else "0",
            "timed_by": str(last.timed_by) if last else str(SpinTimedBy.HAND),
        },
        "rolls": {
            "length_m": typed_again(
                rolled.rolls[0].length_m if rolled else _USUAL_ROLL_M, units.DISTANCE, distance
            ),
            "drift_uncertainty_mm": typed_again(
                rolled.drift_uncertainty_mm if rolled else _USUAL_DRIFT_MM, units.LENGTH, length
            ),
            "aim_uncertainty_deg": f"{rolled.aim_uncertainty_deg if rolled else _USUAL_AIM_DEG:g}",
            "turned": str(rolled.rolls[-1].turned if rolled else Turned.NONE),
        },
        "coast": {"level_uncertainty_deg": f"{_USUAL_LEVEL_DEG:g}", "track_id": ""},
        "rubs": {place.name: str(RubAnswer.NOT_LOOKED) for place in PLACES},
    }
    return {form: Typed.holding(form, held[form]) for form in FORMS}


def _spins_picture(judged: SpinsJudged | None) -> Pictured | None:
    if judged is None:
        return None
    wheels = [
        SpinWheel(
            one.wheel.capitalize(),
            _SAYS[one.change.verdict] if one.change else "open",
            tell_wheel(one),
            tuple(
                SpinRow(point.name, point.low, point.friction.value, point.high)
                for point in one.points
            ),
        )
        for one in judged.wheels
    ]
    sentence = tell_spins(judged)
    return pictured(
        lambda width, key: spin_down_picture(wheels, sentence, width_px=width, key=key), "spins"
    )


def _rolls_picture(judged: RollsJudged | None, preferences: Preferences) -> Pictured | None:
    if judged is None:
        return None
    dots = [
        RollDot(
            roll.length_m, roll.drift_mm, roll.travel is Travel.TAIL_FIRST, roll.way is Way.BACK
        )
        for roll in judged.rolls
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


def _offer(tests: BenchTests) -> FrictionOffer | None:
    if tests.spins is None:
        return None
    friction = tests.spins.friction
    value = f"{friction.value:.3f} ± {friction.standard_uncertainty:.3f}"
    used = (
        tests.friction_in_use == friction_note(tests.spin_downs[0])
        and abs(tests.description.bearing_friction - friction.value) < 5e-4
    )
    return FrictionOffer(value, tests.spins.rounds[-1], used)


def _coasted(one: ShownCoastOut) -> str:
    if one.says is None:
        return "a fit of the hill reads what this says"
    loss = one.says.loss_share
    share, spread = percent(loss.value), percent(loss.standard_uncertainty)
    slope = f"{one.says.slope_deg:.2f}°"
    return f"loses {share} ± {spread} of its weight, as much as a slope of {slope} gives"


def _rub_says(tests: BenchTests) -> str:
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


def _lines(tests: tuple[BenchTestRecord, ...], show: Showing) -> tuple[TestLine, ...]:
    return tuple(_line(test, show) for test in tests)


def _line(test: BenchTestRecord, show: Showing) -> TestLine:
    kind = TEST_KINDS[type(test)]
    return TestLine(test.at, told_test(test, show), test.note, kind, test.id)


def _way(travel: Travel, way: Way) -> str:
    return f"{travel.capitalize()}, {way}"
