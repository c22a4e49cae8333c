"""Fits that take longer than a page may: they run on while the page is left, and can be stopped."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, field
from enum import StrEnum
from threading import Lock
from typing import Final

from hillbench.errors import HillbenchError, InvalidInput

AT_ONCE: Final = 2
"""Fits that run at the same time; others wait for their turn."""

PATIENCE_S: Final = 0.9
"""How long a page waits for a fit before it shows how far it is."""

MOST_KEPT: Final = 24
"""Jobs that are remembered after their end."""

Progress = Callable[[float], None]
Work = Callable[[Progress], object]


class JobState(StrEnum):
    """How a job stands."""

    WAITING = "waiting"
    RUNNING = "running"
    DONE = "done"
    STOPPED = "stopped"
    FAILED = "failed"


class _Stopped(Exception):
    """Raised in the middle of a fit that is not wanted any more."""


@dataclass
class Job:
    """One fit that is waiting, running or over.

    Attributes
    ----------
    key
        What is fitted; the same key asks for the same job.
    title
        What it is, in words.
    back
        Address of the page that wants it.
    state
        How it stands.
    share
        Part that is done, 0 to 1; it never falls.
    result
        What it gave; None before its end.
    sentences
        Why it failed, a sentence each.
    begun
        When it was asked for, as the monotonic clock tells, s.
    """

    key: str
    title: str
    back: str
    state: JobState = JobState.WAITING
    share: float = 0.0
    result: object = None
    sentences: tuple[str, ...] = ()
    begun: float = field(default_factory=time.monotonic)
    wanted: bool = True

    @property
    def is_open(self) -> bool:
        """Whether it is waiting or running."""
        return self.state in (JobState.WAITING, JobState.RUNNING)

    @property
    def elapsed_s(self) -> float:
        """Time since it was asked for, s."""
        return time.monotonic() - self.begun


class FitJobs:
    """The fits of this process; any thread may ask."""

    def __init__(self) -> None:
        self._lock: Final = Lock()
        self._jobs: Final[OrderedDict[str, Job]] = OrderedDict()
        self._futures: Final[dict[str, Future[None]]] = {}
        self._pool: Final = ThreadPoolExecutor(AT_ONCE, thread_name_prefix="fit")

    def ask(
        self, key: str, title: str, back: str, work: Work, patience_s: float = PATIENCE_S
    ) -> Job:
        """Return the job of a key, begun if there is none, after waiting a little for its end."""
        with self._lock:
            job = self._jobs.get(key)
            if job is None:
                job = self._begin(key, title, back, work)
            self._jobs.move_to_end(key)
            future = self._futures[key]
        if job.is_open:
            wait([future], timeout=patience_s)
        return job

    def find(self, key: str) -> Job | None:
        """Return the job of a key, None where there is none."""
        with self._lock:
            return self._jobs.get(key)

    def stop(self, key: str) -> Job | None:
        """Stop a job at its next step; one that is over stays as it is."""
        with self._lock:
            job = self._jobs.get(key)
            if job is not None and job.is_open:
                job.wanted = False
                job.state = JobState.STOPPED
            return job

    def forget(self, key: str) -> None:
        """Forget a job that is over, so that it is begun again when it is asked for."""
        with self._lock:
            job = self._jobs.get(key)
            if job is not None and not job.is_open:
                self._drop(key)

    def close(self) -> None:
        """Stop all jobs and begin no more."""
        with self._lock:
            for job in self._jobs.values():
                job.wanted = False
        self._pool.shutdown(wait=False, cancel_futures=True)

    def _begin(self, key: str, title: str, back: str, work: Work) -> Job:
        job = Job(key, title, back)
        self._jobs[key] = job
        self._futures[key] = self._pool.submit(_run, job, work)
        over = [known for known, one in self._jobs.items() if not one.is_open]
        for known in over[: max(len(self._jobs) - MOST_KEPT, 0)]:
            self._drop(known)
        return job

    def _drop(self, key: str) -> None:
        del self._jobs[key]
        del self._futures[key]


def _run(job: Job, work: Work) -> None:
    def progress(share: float) -> None:
        if not job.wanted:
            raise _Stopped
        job.share = max(job.share, share)

    try:
        progress(0.0)
        job.state = JobState.RUNNING
        result = work(progress)
        progress(1.0)
    except _Stopped:
        job.state = JobState.STOPPED
    except InvalidInput as wrong:
        job.sentences = tuple(problem.sentence() for problem in wrong.problems)
        job.state = JobState.FAILED
    except HillbenchError as error:
        job.sentences = (str(error),)
        job.state = JobState.FAILED
    except Exception:
        job.sentences = ("The fit failed for a reason that nobody foresaw; nothing was changed.",)
        job.state = JobState.FAILED
        raise
    else:
        job.result = result
        job.state = JobState.DONE
