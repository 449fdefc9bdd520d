"""Several workers on this machine, fed from one list. Knows no artwork and no store."""

from __future__ import annotations

import queue
import threading
from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager
from types import TracebackType

from .messages import Answer, Setup, Task
from .worker import Worker, WorkerError

__all__ = ["Pool"]


class Pool(AbstractContextManager["Pool"]):
    """Workers, each fed by a thread of its own: as soon as one has answered it has its next file.

    Parameters
    ----------
    number : how many, at least 1.
    seconds : what one file may take.
    """

    def __init__(self, setup: Setup, number: int, seconds: float) -> None:
        self._workers = [Worker(setup, seconds) for _ in range(number)]

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End the processes."""
        for worker in self._workers:
            worker.close()

    @property
    def memory_held(self) -> bool:
        """Whether the limit of memory is kept, as far as is known."""
        return all(worker.memory_held is not False for worker in self._workers)

    def answers(self, tasks: Iterable[Task]) -> Iterator[Answer]:
        """The answers in the order in which they come. Left early, it ends the workers and what they are doing, for good.

        Raises
        ------
        WorkerError
        """
        feed = _Feed(iter(tasks), 4 * len(self._workers))
        threads = [threading.Thread(target=feed.to, args=(one,), daemon=True) for one in self._workers]
        for thread in threads:
            thread.start()
        try:
            yield from _until_done(feed.came, len(threads))
        except BaseException:
            feed.stopped.set()
            for worker in self._workers:
                worker.stop()
            raise
        finally:
            for thread in threads:
                thread.join()


class _Feed:
    """Hands tasks to the threads of the workers, and takes their answers."""

    def __init__(self, waiting: Iterator[Task], room: int) -> None:
        self._waiting = waiting
        self._turn = threading.Lock()
        self.came: queue.Queue[Answer | Exception | None] = queue.Queue(maxsize=room)
        self.stopped = threading.Event()

    def to(self, worker: Worker) -> None:
        """Feed one worker until there is no more; None in the end, or what went wrong."""
        try:
            while (task := self._next()) is not None:
                self._put(worker.answer(task))
            self._put(None)
        except Exception as error:  # told where the answers are taken
            self._put(error)

    def _next(self) -> Task | None:
        with self._turn:
            return None if self.stopped.is_set() else next(self._waiting, None)

    def _put(self, item: Answer | Exception | None) -> None:
        while not self.stopped.is_set():
            try:
                self.came.put(item, timeout=0.5)
            except queue.Full:
                continue
            return


def _until_done(came: queue.Queue[Answer | Exception | None], threads: int) -> Iterator[Answer]:
    while threads:
        try:
            item = came.get(timeout=0.5)  # or Ctrl-C would not be heard on Windows
        except queue.Empty:
            continue
        if item is None:
            threads -= 1
        elif isinstance(item, WorkerError):
            raise item
        elif isinstance(item, Exception):
            raise WorkerError(f"{type(item).__name__}: {item}") from item
        else:
            yield item
