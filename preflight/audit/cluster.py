"""The workers of other machines, through dask.distributed. Knows no artwork and no store."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager
from importlib import import_module
from itertools import islice
from types import TracebackType
from typing import Any

import msgspec

from .checking import unanswered
from .messages import Answer, Setup, Task
from .worker import Worker, WorkerError

__all__ = ["Cluster"]

_AHEAD = 3
"""Files handed out for each thread of the cluster, so that none waits for the network."""

_TRIES = 3


class Cluster(AbstractContextManager["Cluster"]):
    """The workers of a cluster; each thread of each checks in a process of its own, as on one machine.

    Parameters
    ----------
    address : of the scheduler, or ``local:N`` for N workers started here.
    seconds : what one file may take.

    Raises
    ------
    WorkerError
        dask.distributed is not installed, or the scheduler does not answer.
    """

    def __init__(self, setup: Setup, address: str, seconds: float) -> None:
        self._setup = setup
        self._seconds = seconds
        self._own: Any = None
        try:
            distributed: Any = import_module("distributed")  # which states no types
        except ImportError:
            told = "dask.distributed is not installed; pip install 'artwork-preflight[cluster]'"
            raise WorkerError(told) from None
        kind, _, number = address.partition(":")
        try:
            if kind == "local":
                self._own = distributed.LocalCluster(
                    n_workers=int(number), threads_per_worker=1, dashboard_address=None, silence_logs=50
                )
                self._client = distributed.Client(self._own)
            else:
                self._client = distributed.Client(address, timeout="20s")
        except (OSError, ValueError, TimeoutError) as error:
            raise WorkerError(f"the cluster {address} cannot be had: {error}") from None
        self._as_completed = distributed.as_completed
        self.memory_held = True
        """Whether the limit of memory is kept: not known of other machines, whose workers have one of their own."""

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Leave the cluster; end it if it was started here."""
        self._client.close()
        if self._own is not None:
            self._own.close()

    def answers(self, tasks: Iterable[Task]) -> Iterator[Answer]:
        """The answers in the order in which they come. A file whose worker is lost is given to another.

        Raises
        ------
        WorkerError
            No worker is left, or the profile cannot be used.
        """
        waiting = iter(tasks)
        tries: dict[str, int] = {}
        at_work: dict[Any, Task] = {}
        done: Any = self._as_completed()

        def hand_out(some: Iterable[Task]) -> None:
            for task in some:
                future = self._client.submit(
                    _answered, self._setup, task, self._seconds, pure=False, retries=0
                )
                at_work[future] = task
                done.add(future)

        hand_out(islice(waiting, self._width()))
        while at_work:
            future = next(done)
            task = at_work.pop(future)
            again = list(islice(waiting, max(0, self._width() - len(at_work))))
            if future.status == "finished":
                yield future.result()
            elif isinstance(error := future.exception(), WorkerError):
                raise error
            else:
                tries[task.path] = tries.get(task.path, 0) + 1
                if tries[task.path] < _TRIES:
                    again.insert(0, task)
                else:
                    told = f"The worker that checked it was lost, {_TRIES} times ({type(error).__name__})"
                    again_later = msgspec.structs.replace(task, stamp="")
                    yield unanswered(again_later, told, "See the log of the cluster's workers.")
            hand_out(again)

    def _width(self) -> int:
        threads = sum(self._client.nthreads().values())
        return int(max(1, threads) * _AHEAD)


_own_workers = threading.local()


def _answered(setup: Setup, task: Task, seconds: float) -> Answer:
    """Runs on a worker of the cluster: its thread keeps one process for the files of one audit."""
    held = getattr(_own_workers, "held", None)
    if held is None or held[0] != (setup, seconds):
        if held is not None:
            held[1].close()
        held = _own_workers.held = ((setup, seconds), Worker(setup, seconds))
    worker: Worker = held[1]
    return worker.answer(task)
