"""The command line: the group of commands, each imported when it is asked for. Knows no command's work."""

from __future__ import annotations

from importlib import import_module

import click

from preflight.setting_up import installed_plugins, tell_failures

__all__ = ["main"]

COMMANDS = {
    "audit": "preflight.commands.audit",
    "check": "preflight.commands.check",
    "colours": "preflight.commands.colours",
    "explain": "preflight.commands.explain",
    "init": "preflight.commands.init",
    "inspect": "preflight.commands.inspect",
    "profile": "preflight.commands.profile",
    "schema": "preflight.commands.schema",
}
"""The module of each command, which holds the command under its own name."""


class _OnDemand(click.Group):
    """A group whose commands are imported when they are asked for: one of them runs, and start-up is a feature."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names, none of them imported."""
        return sorted(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, or None where there is none."""
        if cmd_name not in self.commands:
            # For a name there is none of, click suggests the nearest of those it holds.
            for name in [cmd_name] if cmd_name in COMMANDS else COMMANDS:
                self.commands[name] = getattr(import_module(COMMANDS[name]), name)
        return super().get_command(ctx, cmd_name)


def _show_version(context: click.Context, _option: click.Parameter, asked: bool) -> None:
    if not asked or context.resilient_parsing:
        return
    plugins = installed_plugins()
    click.echo(f"artwork-preflight {plugins.version}")
    for use in plugins.uses:
        click.echo(f"  plug-in {use.name} {use.version}")
    tell_failures(plugins)
    context.exit()


@click.group(
    cls=_OnDemand, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the version and the plug-ins.",
)
def main() -> None:
    """Check print-and-cut artwork before it reaches the printer."""
