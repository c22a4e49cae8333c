"""The order of the steps of a build: none before what it waits for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from hillbench.errors import InvalidInput, Problem


@dataclass(frozen=True, slots=True)
class Place:
    """A step as far as its order matters.

    Attributes
    ----------
    key
        Its name in the build.
    title
        What it is called in sentences.
    waits_for
        Keys of the steps that must be done before it.
    """

    key: str
    title: str
    waits_for: tuple[str, ...] = ()


def put_in_order(places: Sequence[Place]) -> tuple[str, ...]:
    """Return the keys with every step behind what it waits for, else in the order given.

    Raises
    ------
    InvalidInput
        If steps wait for each other in a ring, or for one that is not there.
    """
    known = {place.key for place in places}
    missing = [(place, key) for place in places for key in place.waits_for if key not in known]
    if missing:
        place, key = missing[0]
        allowed = "a step of this build"
        raise InvalidInput([Problem(f"what {place.title!r} waits for", repr(key), allowed)])
    done: list[str] = []
    left = list(places)
    while left:
        ready = next((place for place in left if set(place.waits_for) <= set(done)), None)
        if ready is None:
            raise InvalidInput([_ring(left)])
        left.remove(ready)
        done.append(ready.key)
    return tuple(done)


def move(places: Sequence[Place], key: str, by: int) -> tuple[str, ...]:
    """Return the keys with one step moved up or down past its neighbour.

    Parameters
    ----------
    places
        Steps in order.
    key
        The step to move.
    by
        −1 for earlier, 1 for later.

    Raises
    ------
    InvalidInput
        If one of the two waits for the other.
    """
    keys = [place.key for place in places]
    here = keys.index(key)
    there = here + by
    if not 0 <= there < len(keys):
        return tuple(keys)
    first, second = sorted((here, there))
    before, after = places[first], places[second]
    if before.key in after.waits_for:
        allowed = f"after {before.title!r}, which it waits for"
        moved = f"before {before.title!r}"
        remedy = "take that wait out of it first"
        raise InvalidInput([Problem(f"{after.title!r}", moved, allowed, remedy)])
    keys[here], keys[there] = keys[there], keys[here]
    return tuple(keys)


def take_out(
    places: Sequence[Place], key: str, *, reattach: bool = False
) -> Mapping[str, tuple[str, ...]]:
    """Return what each of the other steps waits for once a step is taken out.

    Parameters
    ----------
    places
        Steps in order.
    key
        The step to take out.
    reattach
        Whether steps that wait for it shall wait for what it waits for instead.

    Raises
    ------
    InvalidInput
        If others wait for it and `reattach` is not given; names them.
    """
    gone = next(place for place in places if place.key == key)
    waiting = [place for place in places if key in place.waits_for]
    if waiting and not reattach:
        names = " and ".join(repr(place.title) for place in waiting)
        verb = "waits" if len(waiting) == 1 else "wait"
        remedy = "take those out first, or let them wait for what it waits for"
        allowed = "a step that no other waits for"
        raise InvalidInput(
            [Problem(f"{gone.title!r}", f"a step {names} {verb} for", allowed, remedy)]
        )
    return {
        place.key: _without(place.waits_for, key, gone.waits_for)
        for place in places
        if place.key != key
    }


def ready(places: Iterable[Place], done: Iterable[str], resting: Iterable[str]) -> tuple[str, ...]:
    """Return the keys of the steps that can be done now, in order.

    Parameters
    ----------
    places
        Steps in order.
    done
        Keys of the steps that are done.
    resting
        Keys of those among them that must still be left alone.
    """
    free = {*done} - {*resting}
    finished = {*done}
    return tuple(
        place.key for place in places if place.key not in finished and {*place.waits_for} <= free
    )


def _without(waits_for: tuple[str, ...], key: str, instead: tuple[str, ...]) -> tuple[str, ...]:
    if key not in waits_for:
        return waits_for
    kept = [one for one in waits_for if one != key]
    return tuple(dict.fromkeys([*kept, *instead]))


def _ring(left: Sequence[Place]) -> Problem:
    """Return the problem of steps that wait for each other, naming one ring."""
    by_key = {place.key: place for place in left}
    path = [left[0]]
    while True:
        following = next(by_key[key] for key in path[-1].waits_for if key in by_key)
        if following in path:
            break
        path.append(following)
    ring = path[path.index(following) :]
    names = ", ".join(repr(place.title) for place in reversed(ring))
    seen = f"steps that wait for each other: {names}" if len(ring) > 1 else f"{names}, for itself"
    return Problem("what waits", seen, "steps that wait for earlier ones", "take one wait out")
