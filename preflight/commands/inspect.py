"""The command that shows what the reader saw."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from preflight.options import (
    CommandOnFiles,
    job_options,
    profile_option,
    stdin_name_option,
    text_or_json_option,
)
from preflight.output import UNDONE, write_stdout
from preflight.setting_up import each_read

__all__ = ["inspect"]


@click.command(cls=CommandOnFiles)
@click.argument("files", nargs=-1, required=True)
@text_or_json_option
@profile_option
@job_options
@stdin_name_option
def inspect(
    files: Sequence[str], format_: str, profile_path: Path | None, stdin_name: str, **job: str | None
) -> None:
    """Show what the reader saw in FILES: pages, layers, named colours, objects, and what each is for."""
    from preflight.readers.errors import Unreadable
    from preflight.reports.columns import columns
    from preflight.reports.encoding import as_json
    from preflight.reports.inspection import FileInspection, Inspection, inspection_of, inspection_text

    seen = []
    for shown, read in each_read(files, profile_path, stdin_name, job):
        if isinstance(read, Unreadable):
            seen.append(FileInspection(path=shown, format=None, reason=read.what, hint=read.mend))
        else:
            seen.append(inspection_of(shown, *read))
    inspection = Inspection(tuple(seen))
    if format_ == "json":
        write_stdout(as_json(inspection) + b"\n")
    else:
        write_stdout(inspection_text(inspection, columns(sys.stdout)))
    sys.exit(UNDONE if any(file.reason for file in seen) else 0)
