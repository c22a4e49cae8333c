"""Seasons: points, drops, absences, gaps to the median."""

from __future__ import annotations

import pytest

from hillbench.errors import InvalidInput
from hillbench.racing.season import (
    Absence,
    MeetOutcome,
    SeasonPlace,
    SeasonRule,
    SeasonScore,
    rank_season,
)


def meets(*orders: str) -> list[MeetOutcome]:
    """Return meets by their orders; a slash parts the places, letters before it share one."""
    found = []
    for number, order in enumerate(orders):
        places: dict[str, int] = {}
        for group in order.split("/"):
            place = len(places) + 1
            places |= dict.fromkeys(group, place)
        found.append(MeetOutcome(f"meet {number}", places, {}))
    return found


def totals(found: tuple[SeasonPlace, ...]) -> list[tuple[int | None, str, float | None]]:
    return [(one.place, one.car, one.total) for one in found]


POINTS = SeasonRule(points=(10.0, 6.0, 3.0))


def test_points_are_added_up() -> None:
    found = rank_season(meets("a/b/c", "b/a/c", "a/c/b"), POINTS)
    assert totals(found) == [(1, "a", 26.0), (2, "b", 19.0), (3, "c", 12.0)]


def test_cars_that_share_a_place_share_its_points_and_the_next() -> None:
    found = rank_season(meets("ab/c"), POINTS)
    assert totals(found) == [(1, "a", 8.0), (1, "b", 8.0), (3, "c", 3.0)]


def test_the_worst_meet_is_dropped_and_an_absence_is_the_worst() -> None:
    found = rank_season(meets("a/b", "b/a", "b"), SeasonRule(points=(10.0, 6.0), drop=1))
    assert totals(found) == [(1, "b", 20.0), (2, "a", 16.0)]
    assert found[1].scores == (10.0, 6.0, None)
    assert found[1].dropped == (2,)


def test_the_last_meet_is_never_dropped() -> None:
    found = rank_season(meets("a/b"), SeasonRule(points=(10.0, 6.0), drop=3))
    assert totals(found) == [(1, "a", 10.0), (2, "b", 6.0)]


def test_an_absence_may_count_the_average() -> None:
    rule = SeasonRule(points=(10.0, 6.0), absence=Absence.AVERAGE)
    found = rank_season(meets("a/b", "b/a", "b"), rule)
    assert totals(found) == [(1, "b", 26.0), (2, "a", 24.0)]


def test_ties_are_split_by_meets_won_then_by_the_best_place() -> None:
    rule = SeasonRule(points=(4.0, 3.0, 2.0, 1.0))
    # a: 4 + 1 + 1; b: 2 + 2 + 2; both 6.
    found = rank_season(meets("a/x/b/y", "x/y/b/a", "x/y/b/a"), rule)
    assert [one.car for one in found if one.total == 6.0] == ["a", "b"]


def test_too_few_meets_are_not_placed() -> None:
    found = rank_season(meets("a/b", "a"), SeasonRule(points=(10.0, 6.0), least_meets=2))
    assert totals(found) == [(1, "a", 20.0), (None, "b", None)]


def test_gaps_to_the_median_are_in_percent_of_its_time() -> None:
    rule = SeasonRule(SeasonScore.GAP)
    short = MeetOutcome("short", {"a": 1, "b": 2, "c": 3}, {"a": 4.9, "b": 5.0, "c": 5.2})
    long = MeetOutcome("long", {"a": 1, "b": 2}, {"a": 19.0, "b": 21.0})
    found = rank_season([short, long], rule)
    # By hand: a −2 % and −5 %; b 0 % and +5 %; c +4 %.
    assert [one.car for one in found] == ["a", "b", "c"]
    assert [one.total for one in found] == pytest.approx([-3.5, 2.5, 4.0])


@pytest.mark.parametrize("rule", [{"points": (1.0, 2.0)}, {"points": ()}, {"drop": -1}])
def test_rules_that_cannot_be_are_refused(rule: dict[str, object]) -> None:
    with pytest.raises(InvalidInput):
        SeasonRule(**rule)  # type: ignore[arg-type]
