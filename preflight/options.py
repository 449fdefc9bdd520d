"""Options of the command line that click has no word for: given once, listed from the plug-ins. Knows no command."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

import click

__all__ = [
    "CommandOnFiles",
    "ListedOption",
    "fail_on_option",
    "job_options",
    "job_values",
    "profile_option",
    "single_option",
    "stdin_name_option",
    "text_or_json_option",
]

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


def text_or_json_option(command: Command) -> Command:
    """What a command that makes no report writes to stdout."""
    return single_option(
        "--format",
        "format_",
        type=click.Choice(["text", "json"]),
        default="text",
        show_default=True,
        help="What goes to stdout.",
    )(command)


def fail_on_option(command: Command) -> Command:
    """From which level findings make a command exit 1."""
    return single_option(
        "--fail-on",
        type=click.Choice(["error", "warning", "note"]),
        default="error",
        show_default=True,
        help="Exit 1 from this level up.",
    )(command)


def stdin_name_option(command: Command) -> Command:
    """What a file that comes through a pipe is called."""
    return single_option(
        "--stdin-name", default="stdin", show_default=True, help="Name for the file read from - (stdin)."
    )(command)


_JOB_OPTIONS = {
    "scale": ("TIMES", "How many times the size drawn it is made at: 10, 1:10 (drawn at a tenth), 200%."),
    "width": ("LENGTH", "Final width of the page, instead of --scale: '3 m', '48 in'."),
    "rotate": (
        "DEGREES",
        "How far each copy is turned on the roll, clockwise; places stay those of the page.",
    ),
    "copies": ("NUMBER", "How many copies are laid out on the roll and counted in the figures."),
}


def job_options(command: Command) -> Command:
    """Final size and copies, which stand instead of what the profile says under [job]; handed on as written."""
    for name, (shown, told) in reversed(_JOB_OPTIONS.items()):
        command = single_option(f"--{name}", metavar=shown, help=told)(command)
    return command


def job_values(given: Mapping[str, str | None]) -> dict[str, object]:
    """The values that `job_options` handed on, those given, as a profile would write them."""
    return {
        name: text if name == "width" else _number(text) for name, text in given.items() if text is not None
    }


def _number(text: str) -> object:
    """The number that a text is; the text itself where it is none."""
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text


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
