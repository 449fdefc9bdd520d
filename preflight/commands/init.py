"""The command that writes a shop profile."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from preflight.options import single_option
from preflight.output import fail, write, write_stdout
from preflight.setting_up import STDIN, engine_for, installed_plugins

if TYPE_CHECKING:
    from preflight.job import Job

__all__ = ["init"]


@click.command()
@click.option(
    "--from",
    "examples",
    multiple=True,
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="A job known to be right: proposes the names seen in it. May be repeated.",
)
@single_option(
    "-o",
    "--output",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("preflight.toml"),
    show_default=True,
    help="Where to write; - for stdout.",
)
def init(examples: Sequence[Path], output: Path) -> None:
    """Write a commented shop profile; with --from, propose the step, mark and white names seen in good jobs."""
    from preflight.profile.template import init_text
    from preflight.readers.errors import Unreadable

    plugins = installed_plugins()
    jobs: list[Job] = []
    engine = engine_for(tuple(map(str, examples)), None)
    for path in examples:
        try:
            jobs += engine.read(path)[1]
        except Unreadable as problem:
            fail(f"{path}: {problem}")
    from preflight.job.naming.observed import observed_names
    from preflight.profile.proposals import propose

    proposals = propose(observed_names(jobs)) if examples else None
    text = init_text(plugins.rules, proposals)
    if str(output) == STDIN:
        write_stdout(text)
        return
    if output.exists():
        fail(f"{output} exists already; name another file with -o, or remove it first")
    write(output, text.encode())
    click.echo(f"wrote {output}", err=True)
