"""The page of a car's tests at the bench, put together from what they say."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import ClassVar, Final

from hillbench import units
from hillbench.building.caution import ALWAYS, TEXTS, Caution, CautionText
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import (
    RubAnswer,
    SpinTimedBy,
    Turned,
    Wheel,
)
from hillbench.records.entities import CarRecord
from hillbench.usecases.list_tracks import list_tracks
from hillbench.usecases.rub_places import PLACES, RubPlace
from hillbench.usecases.show_bench_tests import (
    BenchTests,
    show_bench_tests,
)
from hillbench.usecases.tell_roll_tests import tell_axle, tell_rolls, tell_scrub, tell_turning
from hillbench.usecases.tell_spin_downs import (
    tell_matters,
    tell_notes,
    tell_spins,
)
from hillbench.web.bench_test_forms import ROLL_WAYS
from hillbench.web.bench_tests_shown import (
    CoastLine,
    FrictionOffer,
    KeptLine,
    coasted_words,
    drifted_mm,
    friction_offer,
    kept_line,
    kept_lines,
    rolls_picture,
    rub_words,
    spins_picture,
    way_words,
)
from hillbench.web.page import Page
from hillbench.web.pictured import Pictured
from hillbench.web.preferences import Preferences
from hillbench.web.quantities import BY_NAME
from hillbench.web.showing import Showing, Shown, symbol, typed_again
from hillbench.web.typed import Typed, default_unit

FORMS: Final = ("spins", "rolls", "coast", "rubs")
"""Names of the forms on the page."""

_TIMED_OPTIONS: Final = ((str(SpinTimedBy.HAND), "by hand"), (str(SpinTimedBy.FILM), "on film"))
_TURNED_OPTIONS: Final = tuple((str(one), str(one)) for one in Turned)
_RUB_OPTIONS: Final = (
    (str(RubAnswer.FREE), "yes"),
    (str(RubAnswer.RUBS), "no"),
    (str(RubAnswer.NOT_LOOKED), "not looked"),
)
_USUAL_AIM_DEG: Final = 0.3
_USUAL_DRIFT_MM: Final = 2.0
_USUAL_LEVEL_DEG: Final = 0.2
_USUAL_ROLL_M: Final = 2.0


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
    drift, drift_over
        Drift over the first metre or yard, without sign, and which; None without any roll.
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
    spin_lines: tuple[KeptLine, ...]
    wheels: tuple[tuple[str, str], ...]
    rolls_say: str
    axle_says: str
    turning_says: str
    scrub_says: str
    drift: Shown | None
    drift_over: str
    rolls_picture: Pictured | None
    roll_lines: tuple[KeptLine, ...]
    roll_ways: tuple[tuple[str, str], ...]
    coast_lines: tuple[CoastLine, ...]
    track_options: tuple[tuple[str, str], ...]
    rub_says: str
    rub_lines: tuple[KeptLine, ...]
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
    over, over_m = ("yard", 0.9144) if preferences.distance_unit == "ft" else ("metre", 1.0)
    return BenchTestsPage(
        car=tests.car,
        spins_say=tell_spins(tests.spins),
        matters_say=tell_matters(tests.spins.matters) if tests.spins else "",
        spin_notes=tell_notes(tests.spins) if tests.spins else (),
        spins_picture=spins_picture(tests.spins),
        offer=friction_offer(tests),
        assumed=tuple(BY_NAME[name].short for name in tests.assumed) if tests.spins else (),
        spin_lines=kept_lines(tests.spin_downs, show),
        wheels=tuple((str(wheel), wheel.replace(" ", "_")) for wheel in Wheel),
        rolls_say=tell_rolls(rolls),
        axle_says=tell_axle(rolls) if rolls else "",
        turning_says=tell_turning(rolls) if rolls else "",
        scrub_says=tell_scrub(rolls.scrub) if rolls else "",
        drift=show.length(drifted_mm(rolls, over_m)) if rolls else None,
        drift_over=over,
        rolls_picture=rolls_picture(rolls, preferences),
        roll_lines=kept_lines(tests.roll_tests, show),
        roll_ways=tuple((f"drift_{place}", way_words(*way)) for place, way in enumerate(ROLL_WAYS)),
        coast_lines=tuple(
            CoastLine(kept_line(one.test, show), coasted_words(one)) for one in tests.coast_outs
        ),
        track_options=(("", "a flat surface, named beside"), *tracks),
        rub_says=rub_words(tests),
        rub_lines=kept_lines(tests.rub_checks, show),
        rub_places=PLACES,
        rubbing=tests.rubbing,
        timed_options=_TIMED_OPTIONS,
        turned_options=_TURNED_OPTIONS,
        rub_options=_RUB_OPTIONS,
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
