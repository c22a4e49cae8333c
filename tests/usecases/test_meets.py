"""A meet is written once, in order, never over what another official wrote."""

from __future__ import annotations

import csv
import io
import json
import threading
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image

from hillbench.errors import InvalidInput, NotFound
from hillbench.racing.format import Format
from hillbench.racing.meet_event import EventKind
from hillbench.racing.meet_state import MeetSettings
from hillbench.racing.officiate import Told
from hillbench.racing.season import SeasonRule, SeasonScore
from hillbench.racing.staging import upcoming
from hillbench.records.bench_book import BenchBook
from hillbench.records.meet_store import find_class
from hillbench.records.outing_store import list_outing_runs, list_outings
from hillbench.records.track_store import TrackState
from hillbench.timing.line_rule import LineTime
from hillbench.usecases.draw_meet import draw_meet, set_meet
from hillbench.usecases.enter_cars import NewEntry, enter_cars, note_car, note_lane
from hillbench.usecases.export_bench import export_bench
from hillbench.usecases.find_photo_file import find_photo_file
from hillbench.usecases.import_bench import import_bench
from hillbench.usecases.keep_meet_runs import keep_meet_runs
from hillbench.usecases.measure_car import measure_car
from hillbench.usecases.rank_season import show_season
from hillbench.usecases.read_meet import read_meet
from hillbench.usecases.run_heat import (
    correct_heat,
    end_meet,
    enter_heat,
    note_protest,
    rule_on,
    run_again,
    start_heat,
    take_back,
)
from hillbench.usecases.save_car import save_car
from hillbench.usecases.save_meet import copy_class, save_meet, save_season
from hillbench.usecases.save_track import save_track
from hillbench.usecases.scrutinise import Checked, known_of, scrutinise
from hillbench.usecases.take_meet_line import take_meet_line
from hillbench.usecases.tell_event import tell_event
from hillbench.usecases.tell_results import tell_results, told_chance
from hillbench.usecases.weigh_car import weigh_car
from hillbench.usecases.write_journal import MeetChanged, Writer, write_journal
from hillbench.usecases.write_results import results_csv, results_json, rows_csv
from tests.browser.hills import WINDING
from tests.databases import ON_BOTH
from tests.usecases.meets import ADA, BO, HEATS, NOW, RULES, open_meet, run_all, run_next

pytestmark = ON_BOTH


@pytest.fixture
def book(tmp_path: Path) -> Iterator[BenchBook]:
    with BenchBook.open(tmp_path) as opened:
        yield opened


def test_an_entry_sent_again_is_kept_once(book: BenchBook) -> None:
    meet = open_meet(book)
    heat = upcoming(read_meet(book, meet).state)[0]
    told = [Told(lane, 10.0 + lane) for lane in (1, 2, 3)]
    sent = replace(ADA, entry_key="phone-1", seen=read_meet(book, meet).state.seq)
    first = enter_heat(book, meet, sent, heat.number, told)
    count = len(read_meet(book, meet).events)
    for _ in range(3):
        again = enter_heat(book, meet, sent, heat.number, told)
        assert again.repeated
        assert [event.seq for event in again.events] == [event.seq for event in first.events]
    assert len(read_meet(book, meet).events) == count


def test_the_later_of_two_officials_is_told_what_changed(book: BenchBook) -> None:
    meet = open_meet(book)
    number = run_next(book, meet)
    seen = read_meet(book, meet).state.seq
    ada, bo = replace(ADA, seen=seen), replace(BO, seen=seen)
    correct_heat(book, meet, ada, number, Told(1, 9.5), "read wrongly")
    with pytest.raises(MeetChanged) as told:
        correct_heat(book, meet, bo, number, Told(1, 9.6), "read otherwise")
    assert [event.by for event in told.value.events] == ["Ada, clock"]
    row = read_meet(book, meet).state.heats[number].rows[1]
    assert (row.time_s, len(row.edits)) == (9.5, 1)
    # Having seen it, the same is done on purpose.
    fresh = replace(bo, seen=told.value.seq)
    correct_heat(book, meet, fresh, number, Told(1, 9.6), "agreed")
    assert read_meet(book, meet).state.heats[number].rows[1].time_s == 9.6


def test_officials_at_different_things_do_not_hinder_each_other(book: BenchBook) -> None:
    meet = open_meet(book)
    start_heat(book, meet, ADA, 1)
    seen = read_meet(book, meet).state.seq
    scrutinise(book, meet, replace(BO, seen=seen), 2, Checked({}, {}, "Bo"))
    enter_heat(book, meet, replace(ADA, seen=seen), 1, [Told(1, 10.0)])
    note_car(book, meet, replace(BO, seen=seen), 7, EventKind.WITHDRAWN, 2)
    enter_heat(book, meet, replace(ADA, seen=seen + 1), 1, [Told(2, 10.0)])


def test_two_who_tell_the_same_lane_at_once_leave_one_time(book: BenchBook) -> None:
    meet = open_meet(book)
    start_heat(book, meet, ADA, 1)
    seen = read_meet(book, meet).state.seq
    ends: list[str] = []

    def tell(name: str, time_s: float) -> None:
        try:
            enter_heat(book, meet, Writer(name, NOW, seen), 1, [Told(1, time_s)])
            ends.append("kept")
        except MeetChanged:
            ends.append("told")

    threads = [threading.Thread(target=tell, args=(f"P{n}", 10.0 + n)) for n in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(ends) == ["kept", "told", "told", "told"]
    events = [event for event in read_meet(book, meet).events if event.kind is EventKind.TIMES]
    assert len(events) == 1


def test_many_writers_leave_a_journal_without_gaps(book: BenchBook) -> None:
    meet = open_meet(book, drawn=False)

    def write(name: str) -> None:
        for number in range(5):
            entry = NewEntry(f"{name} {number}")
            enter_cars(book, meet, Writer(name, NOW, entry_key=f"{name}-{number}"), [entry], 1)

    threads = [threading.Thread(target=write, args=(f"W{n}",)) for n in range(3)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    events = read_meet(book, meet).events
    assert [event.seq for event in events] == list(range(1, len(events) + 1))
    assert len(read_meet(book, meet).state.entries) == 7 + 15


def test_a_time_far_from_the_others_is_asked_about(book: BenchBook) -> None:
    meet = open_meet(book)
    run_next(book, meet)
    with pytest.raises(InvalidInput, match=r"was 10\.20 s meant"):
        enter_heat(book, meet, ADA, 2, [Told(2, 1020.0)])
    enter_heat(book, meet, ADA, 2, [Told(2, 1020.0)], confirmed=True)


def test_an_entry_that_waited_on_the_phone_has_the_moment_it_was_made(book: BenchBook) -> None:
    meet = open_meet(book)
    made_at = NOW - timedelta(minutes=4)
    for at, kept_at in ((made_at, made_at), (NOW + timedelta(hours=1), NOW)):
        start_heat(book, meet, replace(ADA, at=at), upcoming(read_meet(book, meet).state)[0].number)
        event = read_meet(book, meet).events[-1]
        assert datetime.fromtimestamp(event.at_s, UTC) == kept_at
        take_back(book, meet, ADA)


def test_names_at_a_meet_are_told_apart(book: BenchBook) -> None:
    meet = open_meet(book)
    with pytest.raises(InvalidInput, match="no other car of the meet has"):
        enter_cars(book, meet, BO, [NewEntry("cAR 3")], 1)
    with pytest.raises(InvalidInput, match="control character"):
        enter_cars(book, meet, BO, [NewEntry("a\u202eb")], 1)
    enter_cars(book, meet, BO, [NewEntry('<script>alert("1")</script>')], 1)


def test_lanes_close_and_open_and_the_last_one_stays(book: BenchBook) -> None:
    meet = open_meet(book)
    for lane in (1, 3):
        note_lane(book, meet, BO, lane, closed=True, seed=3)
    with pytest.raises(InvalidInput, match="at least one lane"):
        note_lane(book, meet, BO, 2, closed=True, seed=3)
    assert {heat.cars[0] for heat in upcoming(read_meet(book, meet).state)} == {0}
    note_lane(book, meet, BO, 1, closed=False, seed=3)
    assert 0 not in {heat.cars[0] for heat in upcoming(read_meet(book, meet).state)}


def test_once_heats_have_run_only_the_ranking_may_change(book: BenchBook) -> None:
    meet = open_meet(book)
    run_next(book, meet)
    with pytest.raises(InvalidInput, match="since heats have run"):
        set_meet(book, meet, BO, replace(HEATS, lanes=2))
    set_meet(book, meet, BO, replace(HEATS, score="best"))
    assert read_meet(book, meet).state.settings.score == "best"


def test_the_final_is_drawn_from_the_fastest(book: BenchBook) -> None:
    meet = open_meet(book, 7, MeetSettings(Format.TIMED_HEATS_FINAL, lanes=3, finalists=3))
    run_all(book, meet)
    draw_meet(book, meet, BO, 1)
    with pytest.raises(InvalidInput, match="before the ladder or the final is drawn"):
        enter_cars(book, meet, BO, [NewEntry("Too late")], 1)
    view = run_all(book, meet)
    assert sorted(view.state.finalists) == [1, 2, 3]
    results = tell_results(view)
    assert [one.car for one in results.cars] == [1, 2, 3, 4, 5, 6, 7]
    assert [one.runs for one in results.cars] == [6, 6, 6, 3, 3, 3, 3]
    assert results.sentence.startswith("Car 1 wins, and is the fastest car with more than 99 %")


def test_scrutiny_is_signed_and_the_last_sheet_counts(book: BenchBook) -> None:
    meet = open_meet(book, settings=replace(HEATS, must_pass=True), drawn=False)
    fine = {"mass_g": [58.0], "wheelbase_mm": [40.0]}
    heavy = {**fine, "mass_g": [61.0]}
    _, judged = scrutinise(book, meet, BO, 1, Checked(heavy, {"Dry?": True}, "Bo"))
    assert judged.verdict == "fail"
    with pytest.raises(InvalidInput, match="two or more that go on, passed"):
        draw_meet(book, meet, BO, 1)
    for car in (1, 2, 3):
        scrutinise(book, meet, BO, car, Checked(fine, {"Dry?": True}, "Bo"))
    entry = read_meet(book, meet).state.entries[1]
    assert [sheet.verdict for sheet in entry.sheets] == ["fail", "pass"]
    assert entry.sheets[0].reasons == ("Mass is 61.00 g, 1.00 g over the most of 60 g.",)
    draw_meet(book, meet, BO, 1)
    cars = {car for heat in upcoming(read_meet(book, meet).state) for car in heat.cars}
    assert cars == {1, 2, 3}
    with pytest.raises(InvalidInput, match="signed_by is empty"):
        scrutinise(book, meet, BO, 1, Checked(fine, {}, " "))
    with pytest.raises(InvalidInput, match="no picture that can be read"):
        scrutinise(book, meet, BO, 1, Checked(fine, {}, "Bo", photo=b"<svg onload=x>"))
    with pytest.raises(InvalidInput, match="a car entered"):
        scrutinise(book, meet, BO, 99, Checked(fine, {}, "Bo"))


def test_the_cars_own_record_fills_what_is_known(book: BenchBook) -> None:
    car = save_car(book, "Brindlewick", "Plum", "", NOW)
    weigh_car(book, car.id, [55.1, 55.3], 0.1, NOW)
    measure_car(book, car.id, {"wheelbase_mm": 41.0, "track_width_mm": 29.0}, NOW)
    assert known_of(book, car.id) == {
        "mass_g": pytest.approx(55.2),
        "wheelbase_mm": 41.0,
        "width_mm": 29.0,
    }


def test_posted_cars_are_checked_in_and_out(book: BenchBook) -> None:
    meet = open_meet(book)
    enter_cars(book, meet, BO, [NewEntry("Parcel", "Osric", posted=True)], 1)
    assert not read_meet(book, meet).state.entries[8].received
    note_car(book, meet, BO, 8, EventKind.RECEIVED, 1)
    note_car(book, meet, BO, 8, EventKind.RECEIVED, 1)
    note_car(book, meet, BO, 8, EventKind.SENT_BACK, 1)
    entry = read_meet(book, meet).state.entries[8]
    assert (entry.posted, entry.received, entry.sent_back) == (True, True, True)
    kinds = [event.kind for event in read_meet(book, meet).events]
    assert kinds.count(EventKind.RECEIVED) == 1


def test_a_class_is_copied_and_changed(book: BenchBook) -> None:
    open_meet(book)
    first, second = copy_class(book, 1, NOW), copy_class(book, 1, NOW)
    assert (first.name, second.name) == ("Sixty 7, copy", "Sixty 7, copy 2")
    with book.read() as session:
        assert find_class(session, first.id).rules == RULES
        assert find_class(session, first.id).copied_from_id == 1
    assert not first.holds_on(NOW.date() - timedelta(days=1))
    assert first.holds_on(NOW.date())


def test_results_tell_lanes_records_and_how_sure_they_are(book: BenchBook) -> None:
    meet = open_meet(book, 10, MeetSettings(Format.TIMED_HEATS, lanes=3, rounds=2))
    view = read_meet(book, meet)
    while upcoming(view.state):
        heat = upcoming(view.state)[0]
        told = [
            Told(
                lane, round(10.0 + 0.02 * car + 0.05 * (lane == 2) + 0.004 * ((car * lane) % 5), 3)
            )
            for lane, car in enumerate(heat.cars, start=1)
            if car
        ]
        enter_heat(book, meet, ADA, heat.number, told)
        view = read_meet(book, meet)
    results = tell_results(view)
    slow = results.lanes[1]
    # What was put in: lane 2 costs 0.05 s, two thirds of it against the mean of the lanes.
    assert slow.slower_s == pytest.approx(0.0333, abs=0.004)
    assert slow.sentence.startswith("Lane 2 is 0.03")
    assert "slow" in slow.sentence
    assert results.records[0].startswith("Fastest run: Car 1, ")
    assert results.rule.startswith("By the mean of all times. Ties: best time")
    assert sum(one.fastest_probability or 0.0 for one in results.cars) == pytest.approx(1.0)
    assert told_chance(0.999) == "more than 99 %"


def test_results_go_to_csv_and_json_with_void_and_corrected_rows(book: BenchBook) -> None:
    meet = open_meet(book, 4)
    enter_cars(book, meet, BO, [NewEntry("=cmd|' /C calc'!A0", "Mallory")], 1)
    first = run_next(book, meet)
    run_again(book, meet, BO, first, "a cat")
    number = run_next(book, meet)
    correct_heat(book, meet, BO, number, Told(1, 9.9), "read wrongly")
    view = run_all(book, meet)
    rows = list(csv.DictReader(io.StringIO(rows_csv(view))))
    assert sum(row["void"] == "a cat" for row in rows) == 3
    assert sum("read wrongly" in row["corrected"] for row in rows) == 1
    ranked = list(csv.DictReader(io.StringIO(results_csv(tell_results(view)))))
    assert len(ranked) == 5
    assert not any(row["car_name"].startswith("=") for row in ranked)
    told = json.loads(results_json(view, tell_results(view)))
    assert told["format"] == "hillbench meet results"
    assert len(told["runs"]) == len(rows)
    assert {one["car_name"] for one in told["cars"]} >= {"=cmd|' /C calc'!A0"}


def test_every_line_of_the_journal_is_told_in_words(book: BenchBook) -> None:
    meet = open_meet(book)
    number = run_next(book, meet)
    correct_heat(book, meet, BO, number, Told(1, note="no finish"), "it stopped")
    note_protest(book, meet, BO, 1, number, "pushed")
    rule_on(book, meet, BO, read_meet(book, meet).state.protests[0].seq, "no")
    end_meet(book, meet, BO, closed=True)
    end_meet(book, meet, BO, closed=False)
    take_back(book, meet, BO)
    view = read_meet(book, meet)
    told = [tell_event(event, view.names) for event in view.events]
    assert all(told)
    assert f"Heat {number}, lane 1: corrected to no finish, because: it stopped" in told
    assert view.state.closed
    with pytest.raises(InvalidInput, match="open it again"):
        run_next(book, meet)


def test_a_season_adds_up_its_meets(book: BenchBook) -> None:
    season = save_season(book, "Lanterns", "", SeasonRule(points=(3.0, 2.0, 1.0)), NOW)
    for cars in (5, 6):
        meet = open_meet(book, cars)
        view = run_all(book, meet)
        save_meet(
            book, view.meet.name, "", view.meet.held_on, NOW, meet_id=meet, season_id=season.id
        )
    found = show_season(book, season.id).standings
    assert [(one.car, one.total) for one in found[:3]] == [
        ("name car 1", 6.0),
        ("name car 2", 4.0),
        ("name car 3", 2.0),
    ]
    save_season(book, "Lanterns", "", SeasonRule(SeasonScore.GAP), NOW, season_id=season.id)
    gaps = show_season(book, season.id).standings
    assert gaps[0].car == "name car 1"
    assert (gaps[0].total or 0.0) < 0.0


def test_times_are_kept_with_the_cars_of_the_bench(book: BenchBook) -> None:
    car = save_car(book, "Brindlewick", "Plum", "", NOW)
    track = save_track(book, "Hill", "", TrackState(WINDING, 0.008, 0.2), NOW).id
    meet = save_meet(book, "Home", "", NOW.date(), NOW, track_id=track, settings=HEATS)
    entries = [NewEntry("Plum", car_id=car.id), *(NewEntry(f"Guest {n}") for n in range(3))]
    enter_cars(book, meet.id, BO, entries, 1)
    draw_meet(book, meet.id, BO, 1)
    view = run_all(book, meet.id)
    assert keep_meet_runs(book, view, NOW) == 3
    with pytest.raises(InvalidInput, match="kept already"):
        keep_meet_runs(book, view, NOW)
    with book.read() as session:
        (outing,) = list_outings(session)
        runs = list_outing_runs(session, [outing.id])
    assert {run.car_id for run in runs} == {car.id}
    assert {run.lane for run in runs} == {"1", "2", "3"}


def test_a_meet_that_is_not_there(book: BenchBook) -> None:
    with pytest.raises(NotFound, match="no meet '77'"):
        read_meet(book, 77)
    with pytest.raises(NotFound):
        write_journal(book, 77, ADA, lambda _state, _events: ())


def test_an_exported_meet_comes_back_with_its_journal_and_photos(
    book: BenchBook, tmp_path: Path
) -> None:
    meet = open_meet(book)
    run_next(book, meet)
    photo = io.BytesIO()
    Image.new("RGB", (60, 40), (1, 2, 3)).save(photo, "PNG")
    scrutinise(book, meet, BO, 1, Checked({"mass_g": [59.0]}, {}, "Bo", photo.getvalue()))
    path = export_bench(book, tmp_path / "bench.zip", NOW).path
    with BenchBook.open(tmp_path / "other") as other:
        assert import_bench(other, path).photo_count == 1
        assert read_meet(other, meet) == read_meet(book, meet)
        sha256 = read_meet(other, meet).state.entries[1].sheets[0].photo_sha256
        assert find_photo_file(other, sha256, 320)[0].is_file()


def test_a_timers_line_goes_to_the_heat_on_the_track(book: BenchBook) -> None:
    meet = open_meet(book)
    first = replace(ADA, entry_key="line-1")
    for _ in range(2):  # sent again, it counts once
        take_meet_line(book, meet, first, [LineTime(10.2, "2"), LineTime(None, "1")])
    rows = read_meet(book, meet).state.heats[1].rows
    assert {lane: row.told() for lane, row in rows.items()} == {1: "no finish", 2: "10.200 s"}
    with pytest.raises(InvalidInput, match="told already"):
        take_meet_line(book, meet, ADA, [LineTime(9.9, "2")])
    take_meet_line(book, meet, ADA, [LineTime(10.4)])
    assert read_meet(book, meet).state.heats[1].rows[3].time_s == 10.4
    take_meet_line(book, meet, ADA, [LineTime(10.1), LineTime(10.2), LineTime(10.3)])
    assert read_meet(book, meet).state.heats[2].done
