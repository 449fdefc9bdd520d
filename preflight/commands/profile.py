"""The commands on the shop profile."""

from __future__ import annotations

from pathlib import Path

import click

from preflight.options import profile_option
from preflight.output import fail, write_stdout
from preflight.setting_up import engine_for, tell_failures

__all__ = ["profile"]


@click.group()
def profile() -> None:
    """The shop profile."""


@profile.command("show")
@click.argument("start", required=False, type=click.Path(path_type=Path))
@profile_option
def profile_show(start: Path | None, profile_path: Path | None) -> None:
    """Show every effective setting and where it came from, for files at START (default: here)."""
    from preflight.profile import show

    if start is not None and not start.exists():
        fail(f"{start}: there is no such file or folder; name one that the profile is looked for from")
    engine = engine_for((str(start),) if start else (), profile_path)
    tell_failures(engine.plugins)
    settings = show(engine.profile, engine.plugins.rules)
    write_stdout("".join(f"{key} = {value}\n    {origin}\n" for key, value, origin in settings))
