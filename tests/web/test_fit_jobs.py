"""Fits go on while a page is left, are joined, stopped, and fail with a sentence."""

from __future__ import annotations

from collections.abc import Iterator
from threading import Event

import pytest

from hillbench.errors import InvalidInput, Problem
from hillbench.web.fit_jobs import AT_ONCE, FitJobs, Job, JobState, Progress


@pytest.fixture
def jobs() -> Iterator[FitJobs]:
    """The fits of a process."""
    made = FitJobs()
    yield made
    made.close()


class Slow:
    """Work that waits until it is let go, telling how far it is."""

    def __init__(self) -> None:
        self.begun, self.go, self.over = Event(), Event(), Event()
        self.times = 0

    def __call__(self, progress: Progress) -> str:
        self.times += 1
        self.begun.set()
        try:
            while not self.go.wait(0.005):
                progress(0.4)
            return "answer"
        finally:
            self.over.set()


def ask(jobs: FitJobs, key: str, work: Slow, patience_s: float = 0.0) -> Job:
    """Ask for a job."""
    return jobs.ask(key, "A fit", "/back", work, patience_s)


def test_a_quick_one_is_done_at_once(jobs: FitJobs) -> None:
    job = jobs.ask("a", "A fit", "/back", lambda _progress: 42, 10.0)
    assert (job.state, job.result, job.share) == (JobState.DONE, 42, 1.0)


def test_a_slow_one_can_be_left_and_comes_back(jobs: FitJobs) -> None:
    slow = Slow()
    job = ask(jobs, "a", slow)
    assert slow.begun.wait(5)
    assert job.is_open
    again = ask(jobs, "a", slow)
    assert again is job
    slow.go.set()
    assert ask(jobs, "a", slow, 10.0).result == "answer"
    assert slow.times == 1
    assert job.share == 1.0


def test_two_run_at_once_and_the_third_waits(jobs: FitJobs) -> None:
    works = [Slow() for _ in range(AT_ONCE + 1)]
    asked = [ask(jobs, f"{number}", work) for number, work in enumerate(works)]
    assert all(work.begun.wait(5) for work in works[:AT_ONCE])
    assert not works[-1].begun.is_set()
    assert asked[-1].state is JobState.WAITING
    works[0].go.set()
    assert works[-1].begun.wait(5)
    for work in works:
        work.go.set()
    for number, work in enumerate(works):
        assert ask(jobs, f"{number}", work, 10.0).result == "answer"


def test_a_stopped_one_ends_and_is_begun_again_only_when_asked(jobs: FitJobs) -> None:
    slow = Slow()
    ask(jobs, "a", slow)
    assert slow.begun.wait(5)
    stopped = jobs.stop("a")
    assert slow.over.wait(5)
    assert stopped is not None
    assert stopped.state is JobState.STOPPED
    assert ask(jobs, "a", slow, 1.0).state is JobState.STOPPED
    jobs.forget("a")
    slow.go.set()
    assert ask(jobs, "a", slow, 10.0).result == "answer"
    assert slow.times == 2


def test_one_that_waits_can_be_stopped_too(jobs: FitJobs) -> None:
    works = [Slow() for _ in range(AT_ONCE + 1)]
    for number, work in enumerate(works):
        ask(jobs, f"{number}", work)
    last = jobs.stop(f"{AT_ONCE}")
    for work in works:
        work.go.set()
    assert ask(jobs, "0", works[0], 10.0).state is JobState.DONE
    assert last is not None
    assert last.state is JobState.STOPPED
    assert not works[-1].begun.wait(0.2)


def test_what_cannot_be_fitted_says_so_in_a_sentence(jobs: FitJobs) -> None:
    def wrong(_progress: Progress) -> object:
        raise InvalidInput([Problem("track", "a wall", "a hill", "check the slopes")])

    job = jobs.ask("a", "A fit", "/back", wrong, 10.0)
    assert job.state is JobState.FAILED
    assert job.sentences == ("track is a wall; allowed is a hill: check the slopes.",)


def test_what_nobody_foresaw_does_not_hang(jobs: FitJobs) -> None:
    def broken(_progress: Progress) -> object:
        raise ZeroDivisionError

    job = jobs.ask("a", "A fit", "/back", broken, 10.0)
    assert job.state is JobState.FAILED
    assert len(job.sentences) == 1


def test_the_share_never_falls(jobs: FitJobs) -> None:
    seen = []

    def jumpy(progress: Progress) -> None:
        for share in (0.3, 0.8, 0.5):
            progress(share)
            found = jobs.find("a")
            seen.append(None if found is None else found.share)

    jobs.ask("a", "A fit", "/back", jumpy, 10.0)
    assert seen == [0.3, 0.8, 0.8]
