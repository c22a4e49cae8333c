"""Tests at the bench: typed as they are read, judged, refused beside their field, taken back."""

from __future__ import annotations

import pytest

from hillbench.records import bench_test_store, reading_store
from hillbench.records.bench_book import BenchBook
from hillbench.records.bench_test_entities import RubAnswer, Travel, Turned, Way, Wheel
from hillbench.usecases.list_removed import list_removed
from hillbench.usecases.save_car import save_car
from tests.usecases.hill_runs import add_car, add_hill
from tests.web.conftest import NOW, CheckedClient

SPINS = {"lubricant": "dry", "round_number": "0", "timed_by": "hand"}
ROLLS = {
    "length_m": "2",
    "turned": "as built",
    "drift_uncertainty_mm": "2",
    "aim_uncertainty_deg": "0.1",
}
COAST = {"track_id": "", "surface": "Kitchen tiles", "level_uncertainty_deg": "0.1"}


@pytest.fixture
def car(book: BenchBook) -> int:
    """The number of a car, with a hill beside it."""
    add_hill(book)
    return add_car(book, "Copper", 36.0, NOW)


def wheels(**typed: str) -> dict[str, str]:
    return {f"{name}": text for name, text in typed.items()}


def test_page_of_a_car_without_tests_says_how_to_begin(client: CheckedClient, car: int) -> None:
    page = client.get(f"/cars/{car}/tests").text
    assert "No wheel was spun yet." in page
    assert "It was not rolled yet." in page
    assert "Nobody looked yet." in page
    assert "short circuits" in page  # graphite and electrics
    assert client.get("/cars/99/tests").status_code == 404


def test_rounds_of_graphite_end_in_stop_here(
    client: CheckedClient, book: BenchBook, car: int
) -> None:
    rounds = (
        ("dry", "0", "0.70 0.71 0.69 0.705 0.695"),
        ("graphite", "1", "1.05 1.06 1.04 1.055 1.045"),
        ("Graphite", "2", "1.055 1.05 1.06 1.045 1.05"),
    )
    for lubricant, number, times in rounds:
        typed = {f"{wheel.replace(' ', '_')}__stop_times_s": times for wheel in Wheel}
        form = {**SPINS, "timed_by": "film", **typed}
        form |= {"lubricant": lubricant, "round_number": number}
        answer = client.post(f"/cars/{car}/tests/spin-downs", data=form)
        assert answer.status_code == 303
        assert answer.headers["location"] == f"/cars/{car}/tests#spins"
        page = client.get(f"/cars/{car}/tests").text
        if number == "1":
            assert "Another round is worth it: the last one took 33" in page
    assert "Stop here: the last round gained nothing measurable" in page
    assert page.count("nothing measurable, stop here") >= 4
    assert "On Cellar Stair a fall of" in page
    with book.read() as session:
        kept = bench_test_store.list_spin_downs(session, car)
    assert len(kept) == 12
    assert {test.lubricant for test in kept} == {"dry", "graphite"}


def test_what_was_filmed_is_kept_for_each_spin(
    client: CheckedClient, book: BenchBook, car: int
) -> None:
    form = {
        **SPINS,
        "timed_by": "film",
        "front_left__stop_times_s": "4,1 s; 4,3 s",
        "front_left__turns": "19 20",
        "front_left__start_turns_per_s": "570 rpm",
        "start_uncertainty_turns_per_s": "0.3",
        "note": "120 frames a second",
    }
    assert client.post(f"/cars/{car}/tests/spin-downs", data=form).status_code == 303
    with book.read() as session:
        test = bench_test_store.list_spin_downs(session, car)[0]
    assert (test.stop_times_s, test.turns) == ((4.1, 4.3), (19.0, 20.0))
    assert (test.start_turns_per_s, test.start_uncertainty_turns_per_s) == ((9.5,), 0.3)
    assert "viscous drag" in client.get(f"/cars/{car}/tests").text


def test_start_speed_is_read_in_any_unit_of_turning(
    client: CheckedClient, book: BenchBook, car: int
) -> None:
    for typed, speeds in (
        ("240/22 240/20", (240 / 22, 12.0)),
        ("10 11 turns/s", (10.0, 11.0)),
        ("600; 660 rpm", (10.0, 11.0)),
    ):
        form = {
            **SPINS,
            "front_left__stop_times_s": "1 1.1",
            "front_left__start_turns_per_s": typed,
        }
        assert client.post(f"/cars/{car}/tests/spin-downs", data=form).status_code == 303
        with book.read() as session:
            test = bench_test_store.list_spin_downs(session, car)[0]
        assert test.start_turns_per_s == pytest.approx(speeds)


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({}, "The table of wheels is empty"),
        ({"rear_left__stop_times_s": "soon"}, "Rear left, stop times is &#39;soon&#39;"),
        ({"rear_left__stop_times_s": "0"}, "Rear left, stop times is 0 s in spin 1"),
        ({"rear_left__turns": "20"}, "Rear left, stop times is empty"),
        (
            {"rear_left__stop_times_s": "4 5", "rear_left__turns": "20"},
            "Rear left, turns is a list of 1 for 2 spins",
        ),
        (
            {
                "rear_left__stop_times_s": "4",
                "rear_left__turns": "39",
                "rear_left__start_turns_per_s": "10",
            },
            "Rear left, turns is 39; allowed is more than 2 and at most 24",
        ),
        ({"rear_left__stop_times_s": "4", "round_number": "1.5"}, "a whole number from 0"),
        ({"rear_left__stop_times_s": "4", "lubricant": " "}, "What the bearings run in is empty"),
        ({"rear_left__stop_times_s": "4 mm"}, "a time in one of"),
        (
            {"rear_left__stop_times_s": "4", "rear_left__start_turns_per_s": "9 mm"},
            "a speed of turning in one of: turns/s, hz, rpm",
        ),
    ],
)
def test_spins_that_cannot_be_are_told_and_nothing_is_lost(
    client: CheckedClient, book: BenchBook, car: int, typed: dict[str, str], told: str
) -> None:
    good = {"front_left__stop_times_s": "4.2 4.4"} if typed else {}
    answer = client.post(f"/cars/{car}/tests/spin-downs", data={**SPINS, **good, **typed})
    assert answer.status_code == 422
    assert told in answer.text
    for text in (*good.values(), *typed.values()):
        assert f'value="{text}"' in answer.text
    with book.read() as session:  # all or none
        assert bench_test_store.list_spin_downs(session, car) == ()


def test_friction_is_taken_and_can_be_taken_back(
    client: CheckedClient, book: BenchBook, car: int
) -> None:
    form = {**SPINS, "lubricant": "graphite", "round_number": "1"}
    client.post(f"/cars/{car}/tests/spin-downs", data={**form, "front_left__stop_times_s": "6 6.1"})
    assert "Let the car run with this friction" in client.get(f"/cars/{car}/tests").text
    answer = client.post(f"/cars/{car}/tests/friction")
    assert answer.status_code == 303
    with book.read() as session:
        reading = reading_store.current_readings(session, car)["bearing_friction"]
    assert reading.note == "From spin-downs: graphite, round 1"
    assert "This is what the car runs with." in client.get(f"/cars/{car}/tests").text


def test_friction_without_a_spin_is_refused(client: CheckedClient, car: int) -> None:
    answer = client.post(f"/cars/{car}/tests/friction")
    assert answer.status_code == 422
    assert "spin a wheel first" in answer.text


def test_rolls_are_typed_with_their_side(client: CheckedClient, book: BenchBook, car: int) -> None:
    form = {
        **ROLLS,
        "drift_0": "31 L, 28 left",
        "drift_1": "26 mm; 25",
        "drift_2": "−27; 2,9 cm R",
        "drift_3": "30 r",
        "straightened": "yes",
    }
    assert client.post(f"/cars/{car}/tests/rolls", data=form).status_code == 303
    with book.read() as session:
        test = bench_test_store.list_roll_tests(session, car)[0]
    assert [roll.drift_mm for roll in test.rolls] == [31.0, 28.0, 26.0, 25.0, -27.0, -29.0, -30.0]
    assert (test.rolls[2].travel, test.rolls[2].way) == (Travel.NOSE_FIRST, Way.BACK)
    assert (test.rolls[6].travel, test.rolls[6].way) == (Travel.TAIL_FIRST, Way.BACK)
    assert test.straightened
    page = client.get(f"/cars/{car}/tests").text
    assert "It steers to the left by" in page
    assert "Which axle it is, these rolls cannot tell" in page
    assert "Held straight by the walls" in page


def test_rolls_in_inches_are_read_in_inches(
    client: CheckedClient, book: BenchBook, car: int
) -> None:
    client.cookies.set("hillbench_preferences", "length_unit=in&distance_unit=ft")
    typed = {**ROLLS, "length_m": "6.5", "drift_0": "1 1/4 L; 1.5", "drift_uncertainty_mm": "0.08"}
    assert 'class="entry-unit">in<' in client.get(f"/cars/{car}/tests").text
    client.post(f"/cars/{car}/tests/rolls", data=typed)
    with book.read() as session:
        test = bench_test_store.list_roll_tests(session, car)[0]
    assert [roll.drift_mm for roll in test.rolls] == pytest.approx([31.75, 38.1])
    assert test.rolls[0].length_m == pytest.approx(6.5 * 0.3048)
    assert "After the first yard it is" in client.get(f"/cars/{car}/tests").text


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({}, "A drift is empty"),
        ({"drift_0": "far"}, "Nose first, there is &#39;far&#39;"),
        ({"drift_0": "-12 R"}, "allowed is a side or a sign"),
        ({"drift_0": "2001"}, "allowed is at most the length rolled (2 m)"),
        ({"drift_0": "12", "length_m": "0"}, "The length rolled is 0 m"),
        ({"drift_0": "12", "aim_uncertainty_deg": "40"}, "between 0 and 10 deg"),
        ({"drift_0": "12 g"}, "a length in one of"),
    ],
)
def test_rolls_that_cannot_be_are_told(
    client: CheckedClient, book: BenchBook, car: int, typed: dict[str, str], told: str
) -> None:
    answer = client.post(f"/cars/{car}/tests/rolls", data={**ROLLS, **typed})
    assert answer.status_code == 422
    assert told in answer.text
    with book.read() as session:
        assert bench_test_store.list_roll_tests(session, car) == ()


def test_coast_outs_on_a_floor_and_on_a_track(
    client: CheckedClient, book: BenchBook, car: int
) -> None:
    floor = {**COAST, "distances_m": "3.2 3.3", "entry_speed_m_s": "1.4"}
    assert client.post(f"/cars/{car}/tests/coast-outs", data=floor).status_code == 303
    track = {**COAST, "track_id": "1", "surface": "", "distances_m": "21.4"}
    assert client.post(f"/cars/{car}/tests/coast-outs", data=track).status_code == 303
    with book.read() as session:
        on_track, on_floor = bench_test_store.list_coast_outs(session, car)
    assert (on_floor.surface, on_floor.track_id, on_floor.entry_speed_m_s) == (
        "Kitchen tiles", None, 1.4,
    )  # fmt: skip
    assert (on_track.track_id, on_track.entry_speed_m_s) == (1, None)
    page = client.get(f"/cars/{car}/tests").text
    assert "of its weight, as much as a slope of" in page
    assert "a fit of the hill reads what this says" in page


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ({}, "A distance is empty"),
        ({"distances_m": "3"}, "The entry speed is empty"),
        ({"distances_m": "3", "entry_speed_m_s": "1", "surface": ""}, "The surface is empty"),
        ({"distances_m": "-3", "entry_speed_m_s": "1"}, "A distance is -3 m"),
        ({"distances_m": "3", "entry_speed_m_s": "99"}, "between 0.05 and 50 m/s"),
        (
            {"distances_m": "3", "entry_speed_m_s": "1", "entry_speed_uncertainty_m_s": "2"},
            "How far off the entry speed may be is 2 m/s",
        ),
    ],
)
def test_coast_outs_that_cannot_be_are_told(
    client: CheckedClient, book: BenchBook, car: int, typed: dict[str, str], told: str
) -> None:
    answer = client.post(f"/cars/{car}/tests/coast-outs", data={**COAST, **typed})
    assert answer.status_code == 422
    assert told in answer.text
    with book.read() as session:
        assert bench_test_store.list_coast_outs(session, car) == ()


def test_rub_check_names_what_helps(client: CheckedClient, book: BenchBook, car: int) -> None:
    empty = client.post(f"/cars/{car}/tests/rub-checks", data={"base": "not looked"})
    assert empty.status_code == 422
    assert "look at one at least" in empty.text
    answers = {"base": "rubs", "arches": "free", "inside": "not looked"}
    assert client.post(f"/cars/{car}/tests/rub-checks", data=answers).status_code == 303
    with book.read() as session:
        kept = bench_test_store.list_rub_checks(session, car)[0].answers
    assert kept == {"base": RubAnswer.RUBS, "arches": RubAnswer.FREE}
    page = client.get(f"/cars/{car}/tests").text
    assert "1 place to put right" in page
    assert "pinches the axles" in page
    assert client.post(f"/cars/{car}/tests/rub-checks", data={"base": "maybe"}).status_code == 422


def test_each_kind_is_removed_restored_and_told_in_the_history(
    client: CheckedClient, book: BenchBook, car: int
) -> None:
    spins = {**SPINS, "rear_right__stop_times_s": "4"}
    client.post(f"/cars/{car}/tests/spin-downs", data=spins)
    client.post(f"/cars/{car}/tests/rolls", data={**ROLLS, "drift_0": "12", "turned": Turned.REAR})
    floor = {**COAST, "distances_m": "3.2", "entry_speed_m_s": "1.4"}
    client.post(f"/cars/{car}/tests/coast-outs", data=floor)
    client.post(f"/cars/{car}/tests/rub-checks", data={"base": "free"})
    history = client.get(f"/cars/{car}").text
    for told in (
        "Spin-down, rear right, dry: 4 s",
        "1 roll over 2 m",
        "Coasted 3.2 m",
        "Rub check",
    ):
        assert told in history
    kinds = ("spin_down", "roll_test", "coast_out", "rub_check")
    for kind in kinds:
        back = {"back": f"/cars/{car}/tests"}
        assert client.post(f"/remove/{kind}/1", data=back).status_code == 303
    assert "No wheel was spun yet." in client.get(f"/cars/{car}/tests").text
    removed = client.get("/removed").text
    assert "rear right wheel, dry, 1 spin" in removed
    assert [str(thing.kind) for thing in list_removed(book)].count("roll_test") == 1
    for kind in kinds:
        assert client.post(f"/undo/{kind}/1", data={"back": "/removed"}).status_code == 303
    assert "Spin-down, rear right" in client.get(f"/cars/{car}/tests").text


def test_hostile_words_stay_words(client: CheckedClient, book: BenchBook, car: int) -> None:
    word = "<b>wax</b> & “x”"
    spins = {**SPINS, "lubricant": word, "rear_right__stop_times_s": "4", "note": "<i>"}
    assert client.post(f"/cars/{car}/tests/spin-downs", data=spins).status_code == 303
    page = client.get(f"/cars/{car}/tests").text
    assert "<b>wax" not in page
    assert "&lt;b&gt;wax&lt;/b&gt; &amp; “x”" in page
    long = client.post(f"/cars/{car}/tests/spin-downs", data={**spins, "lubricant": "x" * 41})
    assert "41 characters long" in long.text
    other = save_car(book, "Brass Barge", "Other", "", NOW)
    assert "wax" not in client.get(f"/cars/{other.id}/tests").text
