"""The process that checks the files of an audit, run as ``python -m preflight.audit.process``; it may die of any of them.

It ends when its standard input does, so none outlives the audit, however that ends.
"""

from __future__ import annotations

import gc
import os
import queue
import signal
import sys
import threading
from typing import BinaryIO

from preflight.in_force import ChoiceError
from preflight.plugins import PluginError
from preflight.profile import ProfileError

from .checking import Checker
from .memory import hold
from .messages import Ready, Refusal, Setup, Task, receive, send
from .source import SourceError

__all__ = ["main"]

_REFUSED = (SourceError, ProfileError, ChoiceError, PluginError)


def main() -> None:
    """Answer tasks until the other side has no more."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the audit itself hears of it, and ends us
    try:
        _answer_all()
    except BrokenPipeError:  # the audit has ended before it could have the answer
        os._exit(0)


def _answer_all() -> None:
    answers = _own_output()
    incoming = sys.stdin.buffer
    setup = receive(incoming)
    if not isinstance(setup, Setup):
        return
    try:
        checker = Checker(setup)
    except _REFUSED as error:
        send(answers, Refusal(str(error)))
        return
    gc.freeze()
    send(answers, Ready(memory_held=setup.memory is not None and hold(setup.memory)))
    tasks: queue.SimpleQueue[Task] = queue.SimpleQueue()
    threading.Thread(target=_listen, args=(incoming, tasks), daemon=True).start()
    while True:
        try:
            send(answers, checker.answer(tasks.get()))
        except _REFUSED as error:
            send(answers, Refusal(str(error)))
            return


def _own_output() -> BinaryIO:
    """Where answers go; whatever a library prints goes to stderr instead."""
    kept = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())
    return kept


def _listen(incoming: BinaryIO, tasks: queue.SimpleQueue[Task]) -> None:
    """Hand tasks on; when no more can come, end the process, whatever it is in the middle of."""
    while isinstance(task := receive(incoming), Task):
        tasks.put(task)
    os._exit(0)


if __name__ == "__main__":
    main()
