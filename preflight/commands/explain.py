"""The command that shows the pages of rules."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from preflight.options import profile_option, single_option
from preflight.output import fail, write_stdout
from preflight.setting_up import engine_for, tell_failures

__all__ = ["explain"]


@click.command()
@click.argument("rule", required=False)
@single_option(
    "--format",
    "format_",
    type=click.Choice(["text", "markdown", "json"]),
    default="text",
    show_default=True,
    help="What goes to stdout.",
)
@profile_option
def explain(rule: str | None, format_: str, profile_path: Path | None) -> None:
    """Show the page of RULE, or list all rules, with the levels and limits that the profile gives them."""
    from preflight.in_force import unknown
    from preflight.reports import explanation
    from preflight.reports.columns import columns

    engine = engine_for((), profile_path)
    plugins = engine.plugins
    tell_failures(plugins)
    if rule is not None and rule not in plugins.rules:
        fail(unknown(rule, "rule", list(plugins.rules)))
    chosen = [plugins.rules[rule]] if rule is not None else list(plugins.rules.values())
    wide = columns(sys.stdout)
    write_stdout(explanation.rendered(chosen, format_, rule is not None, wide, engine.profile))
