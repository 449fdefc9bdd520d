"""The command that shows named colours."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from preflight.options import CommandOnFiles, profile_option, stdin_name_option, text_or_json_option
from preflight.output import UNDONE, fail, write_stdout
from preflight.setting_up import each_read

__all__ = ["colours"]


@click.command(cls=CommandOnFiles)
@click.argument("files", nargs=-1, required=True)
@text_or_json_option
@profile_option
@stdin_name_option
def colours(files: Sequence[str], format_: str, profile_path: Path | None, stdin_name: str) -> None:
    """Show the named colours that FILES print: their Lab, where it is from, whether the output reaches it, and the nearest it does."""
    from preflight.profile import ProfileError
    from preflight.readers.errors import Unreadable
    from preflight.reports.colours import ColoursOfFile, ColoursSeen, colours_of, colours_text
    from preflight.reports.columns import columns
    from preflight.reports.encoding import as_json

    seen = []
    try:
        for shown, read in each_read(files, profile_path, stdin_name, {}):
            if isinstance(read, Unreadable):
                seen.append(ColoursOfFile(path=shown, reason=read.what, hint=read.mend))
            else:
                seen.append(colours_of(shown, read[1]))
    except ProfileError as error:
        fail(str(error))
    if format_ == "json":
        write_stdout(as_json(ColoursSeen(tuple(seen))) + b"\n")
    else:
        write_stdout(colours_text(ColoursSeen(tuple(seen)), columns(sys.stdout)))
    sys.exit(UNDONE if any(file.reason for file in seen) else 0)
