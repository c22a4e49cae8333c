"""Heats against designs of combinatorics; ladders and rounds against their counts."""

from __future__ import annotations

import itertools
from collections import Counter

import numpy as np
import pytest

from hillbench.racing.counts import Heat
from hillbench.racing.difference_kernel import even_differences
from hillbench.racing.ladder import Part, Seed, build_ladder, champion, next_matches
from hillbench.racing.pairs import draw_pairs
from hillbench.racing.proof import bound_is_impossible
from hillbench.racing.schedule import draw_schedule
from tests.outside.registry import Outside

AREA = "Racing: heats and ladders"

# Cyclic difference sets (v, k, λ): exhaustive search agrees with OEIS A095025, A095028, A095029.
SETS = {
    (3, 2): 1,
    (4, 3): 2,
    (7, 3): 1,
    (5, 4): 3,
    (7, 4): 2,
    (13, 4): 1,
    (6, 5): 4,
    (11, 5): 2,
    (21, 5): 1,
    (7, 6): 5,
    (11, 6): 3,
    (31, 6): 1,
    (8, 7): 6,
    (15, 7): 3,
    (9, 8): 7,
    (15, 8): 4,
    (57, 8): 1,
}
NAMES = {
    (7, 3): "Fano plane",
    (13, 4): "Singer difference set of order 3 (Sage)",
    (31, 6): "Singer difference set of order 5 (Sage)",
    (7, 4): "complement of the Fano plane",
}
NO_CYCLIC_SET = ((16, 6, 2), (22, 7, 2), (43, 7, 1), (29, 8, 2))


def meetings(heats: tuple[Heat, ...]) -> Counter[tuple[int, int]]:
    """Count meetings by plain pairs, apart from the package."""
    return Counter(
        pair for heat in heats for pair in itertools.combinations(sorted(filter(None, heat)), 2)
    )


@pytest.mark.parametrize("size", SETS)
def test_designs_with_equal_meetings(outside: Outside, size: tuple[int, int]) -> None:
    cars, lanes = size
    heats = draw_schedule(cars, lanes, rng=np.random.default_rng(1), meet_equally=True).heats
    counted = meetings(heats)
    wrong = sum(
        counted[pair] != SETS[size] for pair in itertools.combinations(range(1, cars + 1), 2)
    )
    source = NAMES.get(size, "cyclic difference set, OEIS A095025 to A095029")
    outside.check(
        f"{cars} cars on {lanes} lanes: pairs that do not meet {SETS[size]} times",
        source=source,
        how="run",
        expected=0.0,
        got=wrong,
        within=0.0,
        unit="pairs",
    )
    columns = [sorted(heat[lane] for heat in heats) for lane in range(lanes)]
    outside.check(
        f"{cars} cars on {lanes} lanes: lanes on which not every car runs once",
        source="Youden rectangle: Smith and Hartley 1948; Jäger et al., arXiv:1910.02791",
        how="exact",
        expected=0.0,
        got=sum(column != list(range(1, cars + 1)) for column in columns),
        within=0.0,
        unit="lanes",
    )


@pytest.mark.parametrize("size", NO_CYCLIC_SET)
def test_sets_that_do_not_exist_are_not_found(outside: Outside, size: tuple[int, ...]) -> None:
    cars, lanes, often = size
    blocks = np.zeros((1, lanes), dtype=np.int32)
    found = even_differences(blocks, cars, (cars - 1) * often**2, 200_000, 1)
    outside.check(
        f"cyclic sets found for ({cars}, {lanes}, {often})",
        source="exhaustive search finds none",
        how="run",
        expected=0.0,
        got=float(found),
        within=0.0,
    )


def test_impossible_parameters(outside: Outside) -> None:
    """Bruck, Ryser and Chowla exclude (22, 7, 2); configurations (22_5) do not exist."""
    outside.check(
        "(22, 7, 2) is told to be impossible",
        source="Bruck-Ryser-Chowla theorem: 7 - 2 is no square",
        how="exact",
        expected=1.0,
        got=float(bound_is_impossible(22, 7)),
        within=0.0,
    )
    existing = [*SETS, (16, 6)]
    outside.check(
        "designs that exist told to be impossible",
        source="OEIS A095025 to A095029; three biplanes of 16 (Handbook of Combinatorial Designs)",
        how="memory",
        expected=0.0,
        got=sum(bound_is_impossible(*size) for size in existing),
        within=0.0,
        unit="designs",
    )


def test_proof_of_impossibility_by_the_determinant_itself(outside: Outside) -> None:
    """The product of eigenvalues against a determinant computed in whole numbers."""
    matching = np.kron(np.eye(11, dtype=int), np.array([[0, 1], [1, 0]]))
    # 22 cars on 5 lanes: all pairs once but those of a perfect matching.
    gram = 5 * np.eye(22, dtype=int) + (1 - np.eye(22, dtype=int)) - matching
    _, logarithm = np.linalg.slogdet(gram.astype(float))
    outside.check(
        "logarithm of det(N Nᵀ) for 22 cars on 5 lanes, 5² 3¹⁰ 5¹¹: no square",
        source="Bose and Connor 1952; NumPy slogdet",
        how="run",
        expected=float(np.log(25.0) + 10 * np.log(3.0) + 11 * np.log(5.0)),
        got=float(logarithm),
        rel=1e-12,
    )
    assert bound_is_impossible(22, 5)
    assert bound_is_impossible(20, 5)


@pytest.mark.parametrize(("cars", "counts"), {6: (5, 15), 7: (7, 21), 8: (7, 28)}.items())
def test_every_pair_once(outside: Outside, cars: int, counts: tuple[int, int]) -> None:
    rounds = draw_pairs(cars)
    heats = tuple(heat for heats in rounds for heat in heats)
    for what, expected, got in (
        ("rounds", counts[0], len(rounds)),
        ("heats", counts[1], len(heats)),
        ("pairs that do not meet once", 0, sum(n != 1 for n in meetings(heats).values())),
    ):
        outside.check(
            f"every pair of {cars} cars: {what}",
            source="circle method (Kirkman 1847); npm roundrobin 2.0.0",
            how="run",
            expected=float(expected),
            got=float(got),
            within=0.0,
        )


SINGLE = {4: 3, 5: 4, 8: 7, 11: 10, 16: 15}
DOUBLE = {4: (6, 7), 5: (8, 9), 6: (10, 11), 8: (14, 15), 11: (20, 21), 16: (30, 31)}


def played(cars: int, lives: int, better_wins_final: bool) -> int:
    """Return the matches run when the better seed wins all, or all but the first final."""
    ladder = build_ladder(cars, lives)
    won: dict[int, int] = {}
    while ready := next_matches(ladder, won):
        match, first, second = ready[0]
        upset = match.part is Part.FINAL and not better_wins_final
        won[match.number] = max(first, second) if upset else min(first, second)
    assert champion(ladder, won) == 1
    return len(won)


@pytest.mark.parametrize("cars", SINGLE)
def test_matches_of_single_elimination(outside: Outside, cars: int) -> None:
    outside.check(
        f"matches of single elimination, {cars} cars",
        source="npm duel 3.2.0 and tournament-pairings 2.0.1; n - 1",
        how="run",
        expected=float(SINGLE[cars]),
        got=float(played(cars, 1, True)),
        within=0.0,
    )


@pytest.mark.parametrize("cars", DOUBLE)
def test_matches_of_double_elimination(outside: Outside, cars: int) -> None:
    for words, expected, straight in zip(
        ("", ", champion beaten once"), DOUBLE[cars], (True, False), strict=True
    ):
        outside.check(
            f"matches of double elimination, {cars} cars{words}",
            source="npm duel 3.2.0; Rosen, Discrete Mathematics, ch. 6",
            how="run",
            expected=float(expected),
            got=float(played(cars, 2, straight)),
            within=0.0,
        )


FIRST_ROUNDS = {
    8: [(1, 8), (4, 5), (2, 7), (3, 6)],
    16: [(1, 16), (8, 9), (5, 12), (4, 13), (3, 14), (6, 11), (7, 10), (2, 15)],
}


@pytest.mark.parametrize("cars", FIRST_ROUNDS)
def test_seeding(outside: Outside, cars: int) -> None:
    first = [
        tuple(sorted(side.place for side in (m.first, m.second) if isinstance(side, Seed)))
        for m in build_ladder(cars).matches
        if m.step == 1
    ]
    outside.check(
        f"first matches of {cars} seeds that the published ladders do not have",
        source="npm duel 3.2.0 and tournament-pairings 2.0.1",
        how="run",
        expected=0.0,
        got=float(len(set(first) ^ set(FIRST_ROUNDS[cars]))),
        within=0.0,
        unit="matches",
    )
    halves = [{seed for pair in half for seed in pair} for half in (first[: cars // 4],)]
    published = {seed for pair in FIRST_ROUNDS[cars][: cars // 4] for seed in pair}
    outside.check(
        f"seeds of {cars} in another half than in the published ladder",
        source="npm duel 3.2.0 and tournament-pairings 2.0.1",
        how="run",
        expected=0.0,
        got=float(len(halves[0] ^ published)),
        within=0.0,
        unit="seeds",
    )


@pytest.mark.parametrize(("cars", "byes"), {5: 3, 6: 2, 11: 5}.items())
def test_byes_go_to_the_best_seeds(outside: Outside, cars: int, byes: int) -> None:
    matches = build_ladder(cars).matches
    running = {
        side.place
        for match in matches
        if match.step == 1
        for side in (match.first, match.second)
        if isinstance(side, Seed)
    }
    resting = set(range(1, cars + 1)) - running
    assert resting == set(range(1, byes + 1))
    outside.check(
        f"byes of {cars} cars",
        source="2^⌈log₂ n⌉ - n",
        how="exact",
        expected=float(byes),
        got=float(len(resting)),
        within=0.0,
    )
