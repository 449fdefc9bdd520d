"""How far an audit is: a bar with rate and time left where a person looks on, plain lines elsewhere. Knows no store."""

from __future__ import annotations

import time
from types import TracebackType
from typing import TYPE_CHECKING, TextIO

from preflight.reports.columns import is_terminal

from .messages import Answer

if TYPE_CHECKING:
    from rich.progress import Progress as Bar

__all__ = ["Shown"]

_EVERY = 10.0
"""Seconds between two plain lines."""


class Shown:
    """Tells on a stream how far the work is, from the second that it is entered.

    Parameters
    ----------
    stream : stderr.
    """

    def __init__(self, stream: TextIO) -> None:
        self._stream = stream
        self._bar: Bar | None = None
        self._task: object = None
        self._due = self._done = 0
        self._began = self._told = time.monotonic()

    def __enter__(self) -> Shown:
        """Nothing is shown before there is something to do."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Leave the bar as it stands."""
        if self._bar is not None:
            self._bar.stop()

    def begin(self, there: int, due: int) -> None:
        """So many files there are, and so many of them have to be looked at."""
        self._due = due
        self._began = self._told = time.monotonic()
        if not due:
            return
        if is_terminal(self._stream):
            self._bar = _bar(self._stream, due)
        else:
            self._line(f"{due:,} of {there:,} files to check")

    def answered(self, answer: Answer) -> None:
        """One more is done."""
        self._done += 1
        if self._bar is not None:
            self._bar.advance(self._bar.task_ids[0])
        elif (now := time.monotonic()) - self._told >= _EVERY:
            self._told = now
            rate = self._done / (now - self._began)
            left = (self._due - self._done) / rate
            self._line(
                f"{self._done:,} of {self._due:,} checked, {rate:.1f} a second, {_duration(left)} left"
            )

    def _line(self, text: str) -> None:
        print(f"preflight: {text}", file=self._stream, flush=True)


def _bar(stream: TextIO, due: int) -> Bar:
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        ProgressColumn,
        Task,
        TimeRemainingColumn,
    )
    from rich.text import Text

    class Rate(ProgressColumn):
        """Files a second."""

        def render(self, task: Task) -> Text:
            return Text(f"{task.speed or 0.0:.1f} a second")

    bar = Progress(
        "Checking",
        BarColumn(),
        MofNCompleteColumn(),
        Rate(),
        TimeRemainingColumn(),
        console=Console(file=stream),
    )
    bar.add_task("", total=due)
    bar.start()
    return bar


def _duration(seconds: float) -> str:
    if seconds < 90:
        return f"{seconds:.0f} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 90 else f"{minutes // 60} h {minutes % 60} min"
