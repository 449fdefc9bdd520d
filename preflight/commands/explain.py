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
@click.argument("name", metavar="[RULE or GROUP]", required=False)
@single_option(
    "--format",
    "format_",
    type=click.Choice(["text", "markdown", "json"]),
    default="text",
    show_default=True,
    help="What goes to stdout.",
)
@profile_option
def explain(name: str | None, format_: str, profile_path: Path | None) -> None:
    """Show the page of a rule, or list the rules of a group or all of them, with the levels and limits that the profile gives them."""
    from preflight.in_force import unknown
    from preflight.reports import explanation
    from preflight.reports.columns import columns

    engine = engine_for((), profile_path)
    plugins = engine.plugins
    tell_failures(plugins)
    rules = list(plugins.rules.values())
    # As with --select, a group goes before a rule of the same name.
    chosen = [rule for rule in rules if name is None or name == rule.group]
    whole = not chosen
    if name is not None and whole:
        if name not in plugins.rules:
            groups = sorted({str(rule.group) for rule in rules})
            fail(unknown(name, "rule or group", [*plugins.rules, *groups]))
        chosen = [plugins.rules[name]]
    wide = columns(sys.stdout)
    write_stdout(explanation.rendered(chosen, format_, whole, wide, engine.profile))
