"""A meet is what its journal adds up to, in every format, whatever happens during the day."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hillbench.errors import InvalidInput
from hillbench.racing.counts import EMPTY
from hillbench.racing.format import OF_TWO, WITH_LADDER, Format
from hillbench.racing.meet_event import Draft, Event, EventKind, collisions, in_effect, last_action
from hillbench.racing.meet_fold import fold
from hillbench.racing.meet_ranking import rank_officially, rank_so_far
from hillbench.racing.meet_state import NOT_STARTED, MeetSettings
from hillbench.racing.officiate import (
    Told,
    call_back,
    close,
    correct,
    protest,
    rule_on,
    run_again,
    start,
    take_back,
    tell,
)
from hillbench.racing.progress import told_draw
from hillbench.racing.redraw import draw_rest
from hillbench.racing.staging import heat_gap_s, heats_until, upcoming
from tests.racing.meets import Journal, by_number, lane_counts

HEATS = MeetSettings(Format.TIMED_HEATS, lanes=3)


def journal_of(one: Format, cars: int) -> Journal:
    journal = Journal(MeetSettings(one, lanes=2 if one in OF_TWO else 3), cars)
    journal.draw()
    return journal


@pytest.mark.parametrize("one", Format)
def test_the_fastest_car_wins_where_times_never_lie(one: Format) -> None:
    journal = journal_of(one, 7)
    journal.run_all(by_number)
    places = rank_officially(journal.state)
    assert (places[0].car, places[0].place) == (1, 1)
    assert not upcoming(journal.state)
    # Points by place tell less than times: near cars may change places.
    if one not in WITH_LADDER and one is not Format.POINTS:
        assert [place.car for place in places] == [1, 2, 3, 4, 5, 6, 7]


@pytest.mark.parametrize(
    ("one", "cars", "heats"),
    [
        # n - 1 and 2n - 2 matches; n(n - 1)/2 pairs: as in tests/outside, from the rules.
        (Format.SINGLE, 7, 6),
        (Format.SINGLE_OF_THREE, 5, 8),
        (Format.DOUBLE, 6, 10),
        (Format.PAIRS, 6, 15),
        (Format.TIMED_HEATS, 7, 7),
        (Format.TIMED_HEATS_FINAL, 7, 7 + 4),
        (Format.TWO_RUNS_FINAL, 7, 6 + 4),
        (Format.SINGLE_SEEDED, 6, 4 + 5),
        (Format.POINTS, 7, 7),
    ],
)
def test_each_format_takes_the_heats_its_rules_say(one: Format, cars: int, heats: int) -> None:
    journal = journal_of(one, cars)
    assert journal.run_all(by_number) == heats


def test_the_same_journal_gives_the_same_meet() -> None:
    journal = journal_of(Format.TIMED_HEATS_FINAL, 8)
    journal.run_all(by_number)
    assert fold(journal.events) == fold(journal.events)


def test_a_withdrawal_and_a_late_entry_leave_what_was_run_and_share_the_rest() -> None:
    journal = Journal(HEATS, 7)
    journal.draw()
    for _ in range(3):
        journal.run_next(by_number)
    ran = {number: heat.cars for number, heat in journal.state.heats.items()}
    journal.write(Draft(EventKind.WITHDRAWN, {"car": 4}))
    journal.write(Draft(EventKind.ENTERED, {"car": 8, "name": "Late"}))
    rest = draw_rest(journal.state, journal.rng)
    assert rest is not None
    journal.write(rest)
    assert journal.state.entries[8].late
    journal.run_all(by_number)
    heats = [heat.cars for heat in journal.state.heats.values()]
    assert dict(list({n: h.cars for n, h in journal.state.heats.items()}.items())[:3]) == ran
    assert lane_counts(heats, [1, 2, 3, 5, 6, 7, 8], 3) == {1}
    places = rank_officially(journal.state)
    assert [one.car for one in places] == [1, 2, 3, 5, 6, 7, 8, 4]
    assert places[-1].place is None


def test_an_absent_car_runs_later_and_one_that_did_not_start_gets_its_run() -> None:
    journal = Journal(HEATS, 7)
    journal.draw()
    missing = next(car for car in upcoming(journal.state)[0].cars if car)
    journal.write(Draft(EventKind.ABSENT, {"car": missing}))
    rest = draw_rest(journal.state, journal.rng)
    assert rest is not None
    journal.write(rest)
    assert missing not in upcoming(journal.state)[0].cars
    journal.write(Draft(EventKind.PRESENT, {"car": missing}))
    heat = next(one for one in upcoming(journal.state) if missing in one.cars)
    told = [
        Told(lane, note=NOT_STARTED) if car == missing else Told(lane, by_number(car, lane))
        for lane, car in enumerate(heat.cars, start=1)
    ]
    journal.write(*tell(journal.state, heat.number, told))
    rest = draw_rest(journal.state, journal.rng)
    assert rest is not None
    journal.write(rest)
    journal.run_all(by_number)
    runs = [
        row.lane
        for one in journal.state.heats.values()
        for row in one.rows.values()
        if row.car == missing and row.note != NOT_STARTED
    ]
    assert sorted(runs) == [1, 2, 3]


def test_a_lane_out_of_order_stays_empty() -> None:
    journal = Journal(HEATS, 6)
    journal.draw()
    journal.run_next(by_number)
    journal.write(Draft(EventKind.LANE_CLOSED, {"lane": 2}))
    rest = draw_rest(journal.state, journal.rng)
    assert rest is not None
    journal.write(rest)
    assert all(heat.cars[1] == EMPTY for heat in upcoming(journal.state))
    journal.run_all(by_number)
    heats = [heat.cars for heat in journal.state.heats.values()]
    for lane in (0, 2):
        assert {sum(heat[lane] == car for heat in heats) for car in range(1, 7)} == {1}


def test_one_heat_at_a_time_and_every_lane_once() -> None:
    journal = Journal(HEATS, 7)
    journal.draw()
    first, second = upcoming(journal.state)[:2]
    journal.write(*start(journal.state, first.number))
    with pytest.raises(InvalidInput, match="one heat at a time"):
        start(journal.state, second.number)
    journal.write(*call_back(journal.state, first.number))
    journal.write(*tell(journal.state, first.number, [Told(1, 10.1)]))
    assert journal.state.running is not None
    assert journal.state.running.missing == (2, 3)
    with pytest.raises(InvalidInput, match=r"told already: 10\.100 s"):
        tell(journal.state, first.number, [Told(1, 10.2)])
    with pytest.raises(InvalidInput, match="before any time"):
        call_back(journal.state, first.number)
    journal.write(*tell(journal.state, first.number, [Told(2, note="no finish"), Told(3, 10.3)]))
    heat = journal.state.heats[first.number]
    assert heat.done
    assert heat.false_starts == 1


@pytest.mark.parametrize(
    ("told", "says"),
    [
        (Told(9, 10.0), "a lane with a car"),
        (Told(1, math.nan), "0.1 to 3600 s"),
        (Told(1, -1.0), "0.1 to 3600 s"),
        (Told(1), "without a time"),
        (Told(1, 10.0, note="off track"), "one or the other"),
        (Told(1, 10.0, note="flew"), "one of: clean"),
        (Told(1, None, place=1), "without a time"),
    ],
)
def test_what_no_lane_can_do_is_refused(told: Told, says: str) -> None:
    journal = Journal(HEATS, 7)
    journal.draw()
    with pytest.raises(InvalidInput, match=says):
        tell(journal.state, 1, [told])


def test_places_must_fit_together() -> None:
    settings_ = MeetSettings(Format.POINTS, lanes=3, timed=False)
    journal = Journal(settings_, 7)
    journal.draw()
    with pytest.raises(InvalidInput, match="shared if equal"):
        tell(journal.state, 1, [Told(1, place=1), Told(2, place=3), Told(3, place=3)])
    dead_heat = [Told(1, place=1), Told(2, place=1), Told(3, place=3)]
    journal.write(*tell(journal.state, 1, dead_heat))
    points = {one.car: one.score for one in rank_officially(journal.state) if one.place}
    cars = journal.state.heats[1].cars
    # 4, 3, 2: the two that share the first place share 4 + 3.
    assert points == {cars[0]: 3.5, cars[1]: 3.5, cars[2]: 2.0}


def test_a_rerun_keeps_the_void_rows_and_counts_the_new_ones() -> None:
    journal = Journal(HEATS, 7)
    journal.draw()
    heat = journal.run_next(lambda car, _: 5.0 + car)
    with pytest.raises(InvalidInput, match="say why"):
        run_again(journal.state, heat.number, " ")
    journal.write(*run_again(journal.state, heat.number, "a cat"))
    again = upcoming(journal.state)[0]
    assert (again.number, again.cars, again.again) == (heat.number, heat.cars, True)
    journal.run_next(by_number)
    kept = journal.state.heats[heat.number]
    assert {row.time_s for row in kept.void[0][0].values()} == {5.0 + car for car in heat.cars}
    assert kept.void[0][1] == "a cat"
    scores = {one.car: one.score for one in rank_so_far(journal.state) if one.place}
    assert scores == {car: by_number(car, 1) for car in heat.cars}


def test_a_correction_needs_a_reason_and_keeps_the_old_value() -> None:
    journal = Journal(HEATS, 7)
    journal.draw()
    heat = journal.run_next(by_number)
    before = journal.state.heats[heat.number].rows[1].told()
    with pytest.raises(InvalidInput, match="reason is empty"):
        correct(journal.state, heat.number, Told(1, 9.0), "")
    journal.write(*correct(journal.state, heat.number, Told(1, 9.0), "read wrongly"))
    row = journal.state.heats[heat.number].rows[1]
    assert (row.time_s, row.edits) == (9.0, [(before, "read wrongly")])


def test_a_match_that_was_built_upon_is_not_changed() -> None:
    journal = journal_of(Format.SINGLE, 4)
    first = journal.run_next(by_number)
    journal.run_next(by_number)
    journal.run_next(by_number)
    with pytest.raises(InvalidInput, match="nobody built upon"):
        run_again(journal.state, first.number, "too late")
    winner = min(car for car in first.cars if car)
    lane = first.cars.index(winner) + 1
    with pytest.raises(InvalidInput, match="nobody built upon"):
        correct(journal.state, first.number, Told(lane, 99.0), "too late")
    # A correction that leaves the winner alone is fine.
    assert correct(journal.state, first.number, Told(lane, 9.0), "a digit")


def test_a_dead_heat_decides_nothing_and_is_raced_again() -> None:
    journal = journal_of(Format.SINGLE, 2)
    journal.run_next(lambda _car, _lane: 10.0)
    assert len(upcoming(journal.state)) == 1
    journal.run_next(by_number)
    assert not upcoming(journal.state)
    assert rank_officially(journal.state)[0].car == 1


def test_a_car_that_leaves_the_ladder_lets_its_opponent_on() -> None:
    journal = journal_of(Format.SINGLE, 4)
    first = upcoming(journal.state)[0]
    gone, other = (car for car in first.cars if car)
    journal.write(Draft(EventKind.WITHDRAWN, {"car": gone}))
    journal.run_all(by_number)
    assert len(journal.state.heats) == 2
    assert other in {one.car for one in rank_officially(journal.state) if one.place in {1, 2}}


def test_undo_takes_back_the_last_thing_whole_again_and_again() -> None:
    journal = Journal(HEATS, 7)
    journal.draw()
    states = [journal.state]
    for _ in range(3):
        journal.run_next(by_number)
        states.append(journal.state)
    for earlier in reversed(states[:-1]):
        journal.write(*take_back(journal.events))
        now = journal.state
        assert (now.heats, now.plan) == (earlier.heats, earlier.plan)
    again = journal.run_next(by_number)
    assert again.cars == states[1].heats[again.number].cars


def test_the_first_settings_are_never_taken_back() -> None:
    journal = Journal(HEATS, 0)
    assert last_action(journal.events) == ()
    with pytest.raises(InvalidInput, match="something to take back"):
        take_back(journal.events)


def test_an_undo_can_be_taken_back_itself() -> None:
    draft = [
        Event(1, EventKind.SETTINGS, {}),
        Event(2, EventKind.WITHDRAWN, {"car": 1}),
        Event(3, EventKind.UNDONE, {"events": [2]}),
        Event(4, EventKind.UNDONE, {"events": [3]}),
    ]
    assert [event.seq for event in in_effect(draft[:3])] == [1]
    assert [event.seq for event in in_effect(draft)] == [1, 2]


def test_officials_collide_only_over_the_same_thing() -> None:
    since = [
        Event(8, EventKind.TIMES, {"heat": 3, "rows": [{"lane": 1}]}),
        Event(9, EventKind.SCRUTINY, {"car": 2}),
    ]

    def hit(kind: EventKind, **payload: object) -> list[int]:
        return [event.seq for event in collisions([Draft(kind, payload)], since)]

    assert hit(EventKind.TIMES, heat=4, rows=[{"lane": 1}]) == []
    assert hit(EventKind.TIMES, heat=3, rows=[{"lane": 2}]) == []
    assert hit(EventKind.TIMES, heat=3, rows=[{"lane": 1}]) == [8]
    assert hit(EventKind.TIMES, heat=31, rows=[{"lane": 1}]) == []
    assert hit(EventKind.CORRECTED, heat=3, lane=1) == [8]
    assert hit(EventKind.RERUN, heat=3) == [8]
    assert hit(EventKind.SCRUTINY, car=2) == [9]
    assert hit(EventKind.WITHDRAWN, car=2) == []
    assert hit(EventKind.UNDONE, events=[9]) == [8, 9]
    redrawn = Event(10, EventKind.DRAWN, {"stage": "heats"})
    begun = Draft(EventKind.STARTED, {"heat": 5})
    assert collisions([begun], [redrawn]) == (redrawn,)


def test_a_meet_ends_only_with_its_protests_decided() -> None:
    journal = Journal(HEATS, 7)
    journal.draw()
    heat = journal.run_next(by_number)
    journal.write(*protest(journal.state, 1, heat.number, "Bo", "it was pushed"))
    seq = journal.state.protests[0].seq
    with pytest.raises(InvalidInput, match="all decided"):
        close(journal.state)
    journal.write(*rule_on(journal.state, seq, "it was not"))
    journal.write(*close(journal.state))
    with pytest.raises(InvalidInput, match="open it again"):
        start(journal.state, 2)


def test_who_runs_when_is_told() -> None:
    journal = Journal(HEATS, 7)
    assert told_draw(journal.state) == "nothing is drawn yet"
    journal.draw()
    for _ in range(5):
        journal.run_next(by_number)
    assert told_draw(journal.state) == "5 heats run, 2 to come"
    last = upcoming(journal.state)[1]
    only_there = [car for car in last.cars if car not in upcoming(journal.state)[0].cars]
    assert {heats_until(journal.state, car) for car in only_there} <= {1}
    # The journal above writes a line a minute, two a heat: start and times.
    assert heat_gap_s(journal.state) == 120.0


@settings(max_examples=15, deadline=None)
@given(st.lists(st.sampled_from(["run", "again", "withdraw", "late", "undo"]), max_size=14))
def test_whatever_happens_every_car_that_stays_runs_once_on_every_lane(doings: list[str]) -> None:
    journal = Journal(HEATS, 6)
    journal.draw()
    for what in doings:
        state = journal.state
        if what == "run" and upcoming(state):
            journal.run_next(by_number)
        elif what == "again" and any(heat.done for heat in state.heats.values()):
            number = next(heat.number for heat in state.heats.values() if heat.done)
            journal.write(*run_again(state, number, "again"))
        elif what == "withdraw" and len(state.active()) > 4:
            car = state.active()[0]
            journal.write(Draft(EventKind.WITHDRAWN, {"car": car}))
            _redraw(journal)
        elif what == "late":
            number = max(state.entries) + 1
            journal.write(Draft(EventKind.ENTERED, {"car": number, "name": f"Late {number}"}))
            _redraw(journal)
        elif what == "undo" and last_action(journal.events):
            kinds = {event.kind for event in last_action(journal.events)}
            # A draw alone is half of what a use case writes in one go.
            if kinds in ({EventKind.STARTED, EventKind.TIMES}, {EventKind.RERUN}):
                journal.write(*take_back(journal.events))
    journal.run_all(by_number)
    heats = [heat.cars for heat in journal.state.heats.values()]
    assert lane_counts(heats, journal.state.active(), 3) == {1}


def _redraw(journal: Journal) -> None:
    rest = draw_rest(journal.state, journal.rng)
    if rest is not None:
        journal.write(rest)
