"""Do many equal pieces of work: one after another, on several processes, or on a cluster."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from importlib.util import find_spec
from typing import Any, Final, TypeVar

from hillbench.errors import InvalidInput, Problem

JobT = TypeVar("JobT")
ResultT = TypeVar("ResultT")

ANSWER_WITHIN_S: Final = 5.0
"""How long a cluster may take to answer, s."""


def spread_work(
    work: Callable[[JobT], ResultT],
    jobs: Sequence[JobT],
    *,
    processes: int = 1,
    cluster: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> list[ResultT]:
    """Return what each job gives, in their order; where they ran makes no difference.

    Parameters
    ----------
    work
        A function of a module; whatever it draws comes from a seed in its job.
    jobs
        What it is called with.
    processes
        How many run at once on this computer; 1 for here.
    cluster
        Address of a Dask scheduler, as in ``tcp://host:8786``; None for this computer.
    progress
        Called with jobs done and their number.

    Raises
    ------
    InvalidInput
        If the cluster does not answer, or what it needs is not installed.
    """
    from joblib import Parallel, delayed

    results: list[ResultT] = []
    with _place(processes, cluster) as n_jobs:
        parallel = Parallel(n_jobs=n_jobs, return_as="generator")
        for result in parallel(delayed(work)(job) for job in jobs):
            results.append(result)
            if progress is not None:
                progress(len(results), len(jobs))
    return results


@contextmanager
def _place(processes: int, cluster: str | None) -> Iterator[int]:
    if cluster is None:
        yield processes
        return
    from joblib import parallel_config

    with _client(cluster), parallel_config(backend="dask"):
        yield -1


@contextmanager
def _client(address: str) -> Iterator[object]:
    if find_spec("distributed") is None:
        needed = Problem(
            "cluster",
            f"{address!r}, but Dask is not installed",
            "no cluster",
            'install it with: pip install "hillbench[cluster]"',
        )
        raise InvalidInput([needed])
    import distributed

    client_type: Any = distributed.Client  # comes without types

    try:
        client = client_type(address, timeout=ANSWER_WITHIN_S)
    except (OSError, ValueError) as error:
        allowed = "the address of a Dask scheduler, as tcp://HOST:8786"
        silent = Problem("cluster", repr(address), allowed, "check that it runs and answers")
        raise InvalidInput([silent]) from error
    try:
        yield client
    finally:
        client.close()
