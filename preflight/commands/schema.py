"""The command that prints JSON Schemas."""

from __future__ import annotations

import click

from preflight.output import write_stdout
from preflight.setting_up import installed_plugins

__all__ = ["schema"]


@click.command()
@click.argument("what", type=click.Choice(["report", "profile"]))
def schema(what: str) -> None:
    """Print the JSON Schema of the report or the profile."""
    import json

    if what == "report":
        from preflight.reports.schema import report_schema

        document = report_schema()
    else:
        from preflight.profile.schema import json_schema

        document = json_schema(installed_plugins().rules)
    write_stdout(json.dumps(document, indent=2, ensure_ascii=False) + "\n")
