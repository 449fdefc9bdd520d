"""Options of the command line that click has no word for: given once, listed from the plug-ins. Knows no command."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

__all__ = ["CommandOnFiles", "ListedOption", "profile_option", "single_option"]

Command = TypeVar("Command", bound=Callable[..., object])


def single_option(*names: str, default: object = None, **more: Any) -> Callable[[Command], Command]:
    """An option with one value; given twice it is refused, where click would take the last in silence."""
    defaults = None if default is None else [default]
    return click.option(*names, multiple=True, default=defaults, callback=_the_one, **more)


def _the_one(context: click.Context, option: click.Parameter, given: Sequence[object]) -> object:
    if len(given) > 1 and not context.resilient_parsing:
        told = ", ".join(map(str, given))
        raise click.UsageError(
            f"{option.opts[-1]} is given {len(given)} times ({told}): it takes one value, so leave out the others",
            context,
        )
    return given[0] if given else None


def profile_option(command: Command) -> Command:
    """The profile that a command goes by."""
    return single_option(
        "--profile",
        "profile_path",
        type=click.Path(path_type=Path),
        help="Shop profile; otherwise preflight.toml is looked for upwards from the file.",
    )(command)


class ListedOption(click.Option):
    """An option whose help has ``{known}`` where the names stand that the plug-ins bring.

    Parameters
    ----------
    known : gives the names; asked only when help is shown, as plug-ins take time to load.
    """

    def __init__(self, *words: Any, known: Callable[[], Sequence[str]], **more: Any) -> None:
        super().__init__(*words, **more)
        self._known = known

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        """As click does it, with the names."""
        record = super().get_help_record(ctx)
        return record and (record[0], record[1].replace("{known}", ", ".join(self._known())))


class CommandOnFiles(click.Command):
    """A command on files; says what to do about a file whose name looks like an option."""

    def parse_args(self, context: click.Context, args: list[str]) -> list[str]:
        """As click does it."""
        given = list(args)
        try:
            return super().parse_args(context, args)
        except click.NoSuchOption:
            for name in given:
                if name.startswith("-") and Path(name).exists():
                    told = f"The file {name} is taken for an option: write ./{name}"
                    raise click.UsageError(told, context) from None
            raise
