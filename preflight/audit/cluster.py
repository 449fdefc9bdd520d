"""The workers of other machines, through dask.distributed. Knows no artwork and no store."""

from __future__ import annotations

import queue
import threading
import time
import uuid
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

_MOST = 256
"""Workers started here, as for processes without a cluster."""

_ALONE_SECONDS = 60.0
"""Without any worker, the work is ended after so long: they may all start anew."""

_LOOK_SECONDS = 5.0

_DEAF = "import signal\nsignal.signal(signal.SIGINT, signal.SIG_IGN)"
"""What workers of this machine run first: the audit alone hears the Ctrl-C of a terminal, and ends them."""


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
        self._audit = uuid.uuid4().hex
        self._own: Any = None
        kind, _, number = address.partition(":")
        if kind == "local" and not (number.isascii() and number.isdigit() and 1 <= int(number) <= _MOST):
            raise WorkerError(
                f"{address}: say how many workers to start, from 1 to {_MOST}: local:4, for example"
            )
        try:
            distributed: Any = import_module("distributed")  # which states no types
        except ImportError:
            told = "dask.distributed is not installed; pip install 'artwork-preflight[cluster]'"
            raise WorkerError(told) from None
        try:
            if kind == "local":
                self._own = distributed.LocalCluster(
                    n_workers=int(number),
                    threads_per_worker=1,
                    dashboard_address=None,
                    silence_logs=50,
                    preload=[_DEAF],
                )
                self._client = distributed.Client(self._own)
            else:
                self._client = distributed.Client(address, timeout="20s")
        except (OSError, ValueError, TimeoutError) as error:
            if self._own is not None:
                self._own.close()
            raise WorkerError(f"the cluster {address} cannot be had: {error}") from None
        self.memory_held = True
        """Whether the limit of memory is kept: not known of other machines, whose workers have one of their own."""

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Leave the cluster; end it if it was started here, else the processes that this audit started on its workers."""
        try:
            if self._own is None:
                self._client.run(_let_go, self._audit, on_error="ignore")
        except OSError:
            pass  # the cluster is gone, and they with it
        finally:
            self._client.close()
            if self._own is not None:
                self._own.close()

    def answers(self, tasks: Iterable[Task]) -> Iterator[Answer]:
        """The answers in the order in which they come. A file whose worker is lost is given to another.

        Raises
        ------
        WorkerError
            No worker is left, the cluster is gone, or the profile cannot be used.
        """
        try:
            yield from self._answers(tasks)
        except OSError as error:
            raise WorkerError(f"the cluster cannot be reached any more: {error}") from None

    def _answers(self, tasks: Iterable[Task]) -> Iterator[Answer]:
        waiting = iter(tasks)
        tries: dict[str, int] = {}
        at_work: dict[Any, Task] = {}
        done: queue.SimpleQueue[Any] = queue.SimpleQueue()

        def hand_out(some: Iterable[Task]) -> None:
            for task in some:
                future = self._client.submit(
                    _answered, self._audit, self._setup, task, self._seconds, pure=False, retries=0
                )
                at_work[future] = task
                future.add_done_callback(done.put)

        hand_out(islice(waiting, self._width()))
        while at_work:
            future = self._next(done)
            task = at_work.pop(future)
            again = list(islice(waiting, max(0, self._width() - len(at_work))))
            if future.status == "finished":
                yield future.result()
            elif future.status in ("cancelled", "lost"):
                raise WorkerError("the cluster is gone, or has dropped the work")
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

    def _next(self, done: queue.SimpleQueue[Any]) -> Any:
        """What is done next.

        Raises
        ------
        WorkerError
            There is no worker that could do anything.
        """
        seen = time.monotonic()
        while True:
            try:
                return done.get(timeout=_LOOK_SECONDS)
            except queue.Empty:
                if self._client.nthreads():
                    seen = time.monotonic()
                elif time.monotonic() - seen > _ALONE_SECONDS:
                    raise WorkerError(
                        "the cluster has no worker: start some, and run the same again"
                    ) from None

    def _width(self) -> int:
        threads = sum(self._client.nthreads().values())
        return int(max(1, threads) * _AHEAD)


_own = threading.local()
_held: dict[str, list[Worker]] = {}
"""On a worker of the cluster: whose processes it holds, by audit."""

_ended: set[str] = set()
"""Audits that have ended: what of them is still on its way is not begun."""


def _answered(audit: str, setup: Setup, task: Task, seconds: float) -> Answer:
    """Runs on a worker of the cluster: its thread keeps one process for the files of one audit."""
    held = getattr(_own, "held", None)
    if held is None or held[0] != audit:
        if held is not None:
            held[1].close()
        held = _own.held = (audit, Worker(setup, seconds))
        _held.setdefault(audit, []).append(held[1])
    if audit in _ended:
        raise WorkerError("the work was stopped")
    worker: Worker = held[1]
    return worker.answer(task)


def _let_go(audit: str) -> None:
    """Runs on a worker of the cluster: ends the processes of an audit that has ended, whatever they are doing."""
    _ended.add(audit)
    for worker in _held.pop(audit, []):
        worker.stop()
