"""Where output goes: the kind of report, files whole or not at all, pipes, the last word on stderr. Knows no command."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, NoReturn

import click

from preflight.whole_files import write_whole

if TYPE_CHECKING:
    from preflight.reports.report import Renderer

__all__ = [
    "UNDONE",
    "fail",
    "fail_stdout",
    "refuse_irregular",
    "renderer_by_format",
    "renderer_by_suffix",
    "tell",
    "write",
    "write_stdout",
]

UNDONE = 2
"""Exit code: the work could not be done."""


def fail(message: str) -> NoReturn:
    """End with the message on stderr: the work could not be done."""
    tell(message)
    sys.exit(UNDONE)


def tell(message: str) -> None:
    """Say it on stderr; what could steer a terminal is made visible."""
    from preflight.reports.words import printable

    click.echo(f"preflight: {printable(message)}", err=True)


def renderer_by_format(renderers: Mapping[str, type[Renderer]], name: str) -> type[Renderer]:
    """The renderer that ``--format`` names."""
    if name not in renderers:
        fail(f"there is no format {name!r}; known: {', '.join(sorted(renderers))}")
    return renderers[name]


def renderer_by_suffix(renderers: Mapping[str, type[Renderer]], path: Path) -> type[Renderer]:
    """The renderer told by the suffix of a report that can be written there."""
    by_suffix = {renderer.suffix: renderer for renderer in renderers.values() if renderer.suffix}
    found = by_suffix.get(path.suffix.lower())
    if found is None:
        fail(f"{path}: the suffix tells no kind of report; known: {', '.join(sorted(by_suffix))}")
    refuse_irregular(path)  # before the work, not after it
    if not path.absolute().parent.is_dir():
        fail(f"{path}: there is no folder {path.absolute().parent}; make it first")
    return found


def refuse_irregular(path: Path) -> Path:
    """The file that a path stands for, links followed; ends the run where that is a folder or a device."""
    try:
        real = path.resolve()
        if real.exists() and not real.is_file():
            told = "a folder" if real.is_dir() else "no regular file"
            fail(f"{path} cannot be written: it is {told}; name a file")
    except (OSError, RuntimeError) as error:  # RuntimeError: links in a circle, up to Python 3.12
        fail(f"{path} cannot be written: {getattr(error, 'strerror', None) or 'its links run in a circle'}")
    return real


def write(path: Path, data: bytes) -> None:
    """Write the whole file or nothing. A link stays: what it points to is written."""
    real = refuse_irregular(path)
    try:
        write_whole(real, [data])
    except OSError as error:
        fail(f"{path} cannot be written: {error.strerror or error}")


def write_stdout(data: bytes | str) -> None:
    """Write all to stdout; a reader that stops early is no error, a full disk ends the run."""
    if sys.stdout is None:
        fail("the output cannot be written: stdout is closed")
    try:
        if isinstance(data, str):
            data = data.encode(sys.stdout.encoding or "utf-8", "backslashreplace")
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    except BrokenPipeError:
        # The reader of the pipe has had enough (head, less): not an error of ours.
        _drop_stdout()
    except OSError as error:
        fail_stdout(error)


def fail_stdout(error: OSError) -> NoReturn:
    """End as stdout takes no more."""
    _drop_stdout()
    fail(f"the output cannot be written: {error.strerror or error}")


def _drop_stdout() -> None:
    """Send what is still held for stdout nowhere, or the interpreter would try it again at its end."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
