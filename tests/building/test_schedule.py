"""Working backwards: latest times, waits that are used, evenings that are kept."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from hillbench.building.schedule import Task, Window, schedule_back

EVENINGS = [Window(day * 1440.0 + 1140.0, day * 1440.0 + 1260.0) for day in range(5)]
"""Five evenings from 19:00 to 21:00."""

DUE = 5 * 1440.0 + 600.0


def test_decals_that_dry_overnight_are_on_the_evening_before() -> None:
    tasks = [Task("decals", 30.0, 720.0), Task("close", 10.0, 0.0, ("decals",))]
    found = schedule_back(tasks, EVENINGS, DUE)
    assert [one.key for one in found.placed] == ["decals", "close"]
    decals, close = found.placed
    assert (close.begins_minute, close.ends_minute) == (4 * 1440 + 1250.0, 4 * 1440 + 1260.0)
    assert decals.ends_minute == 3 * 1440 + 1260.0
    assert decals.rests_until_minute <= close.begins_minute


def test_a_wait_is_used_for_other_steps() -> None:
    tasks = [
        Task("glue", 10.0, 60.0),
        Task("wheels", 30.0),
        Task("close", 10.0, 0.0, ("glue", "wheels")),
    ]
    found = {one.key: one for one in schedule_back(tasks, EVENINGS[-1:], DUE).placed}
    assert found["glue"].ends_minute <= found["wheels"].begins_minute
    assert found["wheels"].ends_minute <= found["close"].begins_minute
    assert found["glue"].begins_minute >= EVENINGS[-1].from_minute


def test_what_finds_no_time_is_named_with_all_that_leads_to_it() -> None:
    tasks = [Task("choose", 10.0), Task("sand", 200.0, 0.0, ("choose",)), Task("weigh", 5.0)]
    found = schedule_back(tasks, EVENINGS, DUE)
    assert found.unplaced == ("choose", "sand")
    assert [one.key for one in found.placed] == ["weigh"]
    assert schedule_back(tasks, [], DUE).unplaced == ("choose", "sand", "weigh")


@given(
    st.lists(
        st.tuples(st.integers(1, 60), st.integers(0, 800), st.sets(st.integers(0, 7))), max_size=8
    )
)
def test_no_step_overlaps_breaks_a_wait_or_leaves_the_evenings(
    drawn: list[tuple[int, int, set[int]]],
) -> None:
    tasks = [
        Task(str(n), float(minutes), float(wait), tuple(str(k) for k in waits if k < n))
        for n, (minutes, wait, waits) in enumerate(drawn)
    ]
    found = schedule_back(tasks, EVENINGS, DUE)
    placed = {one.key: one for one in found.placed}
    assert {*placed, *found.unplaced} == {task.key for task in tasks}
    for before, after in zip(found.placed, found.placed[1:], strict=False):
        assert before.ends_minute <= after.begins_minute + 1e-6
    for task in tasks:
        if task.key not in placed:
            continue
        one = placed[task.key]
        assert any(
            w.from_minute - 1e-6 <= one.begins_minute and one.ends_minute <= w.to_minute + 1e-6
            for w in EVENINGS
        )
        assert one.rests_until_minute <= DUE + 1e-6
        for key in task.waits_for:
            if key in placed:
                assert placed[key].rests_until_minute <= one.begins_minute + 1e-6
