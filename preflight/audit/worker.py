"""One process that checks files, seen from the audit: held to a time, replaced when it dies. Knows no artwork and no store."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from contextlib import suppress
from pathlib import Path
from typing import Any, BinaryIO, cast

from .checking import unanswered
from .messages import Answer, Message, Ready, Refusal, Setup, Task, receive, send
from .source import paths_begin

__all__ = ["Worker", "WorkerError"]

_START_SECONDS = 120.0
"""For the interpreter and all plug-ins, on a slow machine."""

_LOOK_SECONDS = 0.1
"""Time between two looks at whether a process is late."""


class WorkerError(Exception):
    """No file can be checked: the process does not start, the profile cannot be used, or the work was stopped."""


class Worker:
    """Checks one file at a time in a process of its own, which starts with the first.

    Parameters
    ----------
    seconds : what one file may take.

    Attributes
    ----------
    memory_held : whether the process keeps to the limit of memory; None before the first has started.
    """

    def __init__(self, setup: Setup, seconds: float) -> None:
        self._setup = setup
        self._seconds = seconds
        self._process: subprocess.Popen[bytes] | None = None
        self._stopped = False
        self._watch = _Watch()
        self.memory_held: bool | None = None

    def answer(self, task: Task) -> Answer:
        """What is known of the file. A process that dies over it is replaced, and the file tried once more.

        Raises
        ------
        WorkerError
        """
        ended = ""
        for _ in range(2):
            process = self._process or self._start()
            answer, late = self._watch.within(self._seconds, process, task)
            if isinstance(answer, Answer):
                return answer
            if isinstance(answer, Refusal):
                raise WorkerError(answer.message)
            ended = self._end()
            if late:
                told = f"{self._seconds:g} s"
                mend = "Look at the file by itself, or give it longer with --time-limit."
                return unanswered(task, f"Checking it took longer than {told}", mend, told)
        mend = "Export it anew from the drawing program. Report it with the file: no file should do that."
        told = f"The process that checked it died, twice ({ended})"
        # A library may have done that for want of memory.
        return unanswered(task, told, mend, self._setup.memory_told)

    def stop(self) -> None:
        """End the process, whatever it is doing, for good. Any thread may call it."""
        self._stopped = True
        self._watch.close()
        process = self._process  # its own thread may put None there meanwhile
        if process is not None:
            process.kill()
            process.wait()

    def close(self) -> None:
        """End the process, which is doing nothing."""
        self._stopped = True
        self._watch.close()
        if self._process is not None:
            self._end()

    def _start(self) -> subprocess.Popen[bytes]:
        """A process that is ready.

        Raises
        ------
        WorkerError
        """
        if self._stopped:
            raise WorkerError("the work was stopped")
        self._process = process = _launched(self._setup)
        if self._stopped:  # in between
            process.kill()
        ready, late = self._watch.within(_START_SECONDS, process, self._setup)
        if isinstance(ready, Ready):
            self.memory_held = ready.memory_held
            return process
        ended = self._end()
        if isinstance(ready, Refusal):
            raise WorkerError(ready.message)
        told = f"was not ready within {_START_SECONDS:g} s" if late else f"ended at once ({ended})"
        raise WorkerError(f"a process that checks files {told}")

    def _end(self) -> str:
        """Make sure that the process has ended; how it did, for people."""
        process, self._process = cast("subprocess.Popen[bytes]", self._process), None
        process.kill()
        with suppress(OSError):  # what could not be sent any more
            cast(BinaryIO, process.stdin).close()
        cast(BinaryIO, process.stdout).close()
        code = process.wait()
        return f"exit code {code}" if code >= 0 else _signal_name(-code)


def _launched(setup: Setup) -> subprocess.Popen[bytes]:
    # -P: modules are never looked for in the current folder, which holds strangers' files.
    words = [sys.executable, "-P", "-m", "preflight.audit.process"]
    begin = paths_begin(setup.root, setup.start)
    one_thread = {
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
    }  # there is a process for each processor
    return subprocess.Popen(  # noqa: S603 -- this very program
        words,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        cwd=begin if begin.is_dir() else None,  # patterns of the profile are compared with paths from there
        env={**os.environ, **one_thread, "PYTHONPATH": _module_folders(setup.root)},
        **_APART,
    )


# A process group of its own: the audit alone hears the Ctrl-C of a terminal, also while the process is not ready to.
_APART: dict[str, Any] = (
    {"creationflags": getattr(subprocess, "CREATE_NEW_PROCESS_GROUP", 0)}  # only there on Windows
    if sys.platform == "win32"
    else {"process_group": 0}
)


def _module_folders(root: str) -> str:
    """``PYTHONPATH`` for the process, which stands in another folder: what is written from this one is written out.

    The current folder and those of the archive hold strangers' files: they are left out, unless this program itself lies there.
    """
    here, archive, own = Path.cwd(), Path(root), Path(__file__).parents[2].resolve()
    kept = []
    for entry in os.environ.get("PYTHONPATH", "").split(os.pathsep):
        place = Path(entry).resolve()
        if Path(entry).is_absolute():
            kept.append(entry)
        elif place == own or not (place == here or place.is_relative_to(archive)):
            kept.append(str(place))
    return os.pathsep.join(kept)


class _Watch:
    """Ends a process that takes too long over what it was asked.

    One thread for all that is asked: to start one for each file takes longer than many a file.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._closed = threading.Event()
        self._thread: threading.Thread | None = None
        self._process: subprocess.Popen[bytes] | None = None
        self._until = 0.0
        self._late = False

    def within(
        self, seconds: float, process: subprocess.Popen[bytes], asked: Message
    ) -> tuple[Message | None, bool]:
        """The process's answer, None where it ended without one; and whether it was ended for being late."""
        with self._lock:
            self._process, self._until, self._late = process, time.monotonic() + seconds, False
        if self._thread is None:
            self._thread = threading.Thread(target=self._look, daemon=True)
            self._thread.start()
        try:
            send(cast(BinaryIO, process.stdin), asked)
            answer = receive(cast(BinaryIO, process.stdout))
        except (OSError, ValueError):  # it is gone, or was closed as the work was stopped
            answer = None
        with self._lock:
            self._process = None
        return answer, self._late

    def close(self) -> None:
        """Watch no more."""
        self._closed.set()

    def _look(self) -> None:
        while not self._closed.wait(_LOOK_SECONDS):
            with self._lock:
                if self._process is not None and time.monotonic() > self._until:
                    self._late = True
                    self._process.kill()
                    self._process = None


def _signal_name(number: int) -> str:
    try:
        return signal.Signals(number).name
    except ValueError:
        return f"signal {number}"
