"""The commands. Thin: reads the words of the command line, calls the engine, writes what it answers."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import click

from preflight.options import (
    CommandOnFiles,
    ListedOption,
    job_options,
    profile_option,
    single_option,
)
from preflight.output import (
    UNDONE,
    fail,
    renderer_by_format,
    renderer_by_suffix,
    tell,
    write,
    write_stdout,
)
from preflight.setting_up import STDIN, engine_for, installed_plugins, once, tell_failures

if TYPE_CHECKING:
    from preflight.engine import Checked, Engine
    from preflight.job import Job
    from preflight.readers.errors import Unreadable
    from preflight.reports.report import Drawing, Report

__all__ = ["main"]

FINDINGS = 1
"""Exit code: findings at or above ``--fail-on``."""


def _show_version(context: click.Context, _option: click.Parameter, asked: bool) -> None:
    if not asked or context.resilient_parsing:
        return
    plugins = installed_plugins()
    click.echo(f"artwork-preflight {plugins.version}")
    for use in plugins.uses:
        click.echo(f"  plug-in {use.name} {use.version}")
    tell_failures(plugins)
    context.exit()


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
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


def _formats() -> list[str]:
    """The kinds of report that ``--format`` takes."""
    return sorted(installed_plugins().renderers)


def _suffixes() -> list[str]:
    """The endings of names that ``--report`` takes."""
    return sorted(one.suffix for one in installed_plugins().renderers.values() if one.suffix)


def _groups() -> list[str]:
    """The groups of rules that ``--select`` and ``--ignore`` take."""
    from preflight.in_force import groups_of

    return list(groups_of(installed_plugins().rules))


@main.command(cls=CommandOnFiles)
@click.argument("files", nargs=-1, required=True)
@click.option(
    "--report",
    "reports",
    multiple=True,
    type=click.Path(path_type=Path, dir_okay=False),
    cls=ListedOption,
    known=_suffixes,
    help="Also write a report; its kind is told by the suffix ({known}). May be repeated.",
)
@single_option(
    "--format",
    "format_",
    metavar="KIND",
    default="text",
    show_default=True,
    cls=ListedOption,
    known=_formats,
    help="What goes to stdout: {known}.",
)
@profile_option
@job_options
@click.option(
    "--select",
    multiple=True,
    metavar="RULE|GROUP",
    cls=ListedOption,
    known=_groups,
    help="Only these rules, or all of a group ({known}). May be repeated, or comma-separated.",
)
@click.option(
    "--ignore",
    multiple=True,
    metavar="RULE|GROUP",
    help="Not these rules, or none of a group, as in --select. May be repeated, or comma-separated.",
)
@single_option(
    "--fail-on",
    type=click.Choice(["error", "warning", "note"]),
    default="error",
    show_default=True,
    help="Exit 1 from this level up.",
)
@single_option(
    "--stdin-name", default="stdin", show_default=True, help="Name for the file read from - (stdin)."
)
def check(
    files: Sequence[str],
    reports: Sequence[Path],
    format_: str,
    profile_path: Path | None,
    select: Sequence[str],
    ignore: Sequence[str],
    fail_on: str,
    stdin_name: str,
    **job: str | None,
) -> None:
    """Check FILES (- reads stdin) and say what would go wrong, where, by how much and what to do.

    Exit status: 0 nothing at or above --fail-on, 1 findings, 2 the work could not be done.
    """
    files = once(files)
    engine = engine_for(files, profile_path, select, ignore, job)
    renderers = engine.plugins.renderers
    stdout_renderer = renderer_by_format(renderers, format_)(engine.plugins.rules)
    to_write = [(path, renderer_by_suffix(renderers, path)(engine.plugins.rules)) for path in reports]
    tell_failures(engine.plugins)

    from preflight.profile import ProfileError

    try:
        with _progress(files) as shown:
            checked = [_check_one(engine, name, stdin_name) for name in shown]
    except ProfileError as error:  # a file that the profile names, read when first needed
        fail(str(error))
    report = engine.report(checked)
    by_path = {one.report.path: one for one in checked}

    def drawings(path: str) -> tuple[Drawing, ...]:
        return by_path[path].drawings()

    for path, renderer in to_write:
        write(path, renderer.render(report, drawings))
    write_stdout(stdout_renderer.render(report, drawings))
    sys.exit(_exit_code(report, fail_on))


def _check_one(engine: Engine, name: str, stdin_name: str) -> Checked:
    if name == STDIN:
        return engine.check_bytes(sys.stdin.buffer.read(), stdin_name)
    return engine.check_file(Path(name))


def _progress(files: Sequence[str]) -> AbstractContextManager[Iterable[str]]:
    """The files, with a bar on stderr where there are several and a person looks on."""
    if len(files) > 1 and sys.stderr.isatty():
        return click.progressbar(files, label="Checking", file=sys.stderr)
    return nullcontext(files)


def _exit_code(report: Report, fail_on: str) -> int:
    from preflight.rule import Level

    found = [finding for file in report.files for finding in file.findings()]
    if report.counts.unreadable or any(finding.rule == "rule-failed" for finding in found):
        return UNDONE
    limit = Level(fail_on).rank
    return FINDINGS if any(finding.waived is None and finding.level.rank <= limit for finding in found) else 0


@main.command(cls=CommandOnFiles)
@click.argument("files", nargs=-1, required=True)
@single_option(
    "--format",
    "format_",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What goes to stdout.",
)
@profile_option
@job_options
@single_option(
    "--stdin-name", default="stdin", show_default=True, help="Name for the file read from - (stdin)."
)
def inspect(
    files: Sequence[str], format_: str, profile_path: Path | None, stdin_name: str, **job: str | None
) -> None:
    """Show what the reader saw in FILES: pages, layers, named colours, objects, and what each is for."""
    import msgspec

    from preflight.readers.errors import Unreadable
    from preflight.reports.columns import columns
    from preflight.reports.inspection import FileInspection, Inspection, inspection_of, inspection_text

    seen = []
    for shown, read in _each_read(files, profile_path, stdin_name, job):
        if isinstance(read, Unreadable):
            seen.append(FileInspection(path=shown, format=None, reason=read.what, hint=read.mend))
        else:
            seen.append(inspection_of(shown, *read))
    inspection = Inspection(tuple(seen))
    if format_ == "json":
        write_stdout(msgspec.json.encode(inspection) + b"\n")
    else:
        write_stdout(inspection_text(inspection, columns(sys.stdout)))
    sys.exit(UNDONE if any(file.reason for file in seen) else 0)


@main.command(cls=CommandOnFiles)
@click.argument("files", nargs=-1, required=True)
@single_option(
    "--format",
    "format_",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    help="What goes to stdout.",
)
@profile_option
@single_option(
    "--stdin-name", default="stdin", show_default=True, help="Name for the file read from - (stdin)."
)
def colours(files: Sequence[str], format_: str, profile_path: Path | None, stdin_name: str) -> None:
    """Show the named colours that FILES print: their Lab, where it is from, whether the output reaches it, and the nearest it does."""
    import msgspec

    from preflight.profile import ProfileError
    from preflight.readers.errors import Unreadable
    from preflight.reports.colours import ColoursOfFile, ColoursSeen, colours_of, colours_text
    from preflight.reports.columns import columns

    seen = []
    try:
        for shown, read in _each_read(files, profile_path, stdin_name, {}):
            if isinstance(read, Unreadable):
                seen.append(ColoursOfFile(path=shown, reason=read.what, hint=read.mend))
            else:
                seen.append(colours_of(shown, read[1]))
    except ProfileError as error:
        fail(str(error))
    if format_ == "json":
        write_stdout(msgspec.json.encode(ColoursSeen(tuple(seen))) + b"\n")
    else:
        write_stdout(colours_text(ColoursSeen(tuple(seen)), columns(sys.stdout)))
    sys.exit(UNDONE if any(file.reason for file in seen) else 0)


def _each_read(
    files: Sequence[str], profile_path: Path | None, stdin_name: str, job: Mapping[str, str | None]
) -> Iterator[tuple[str, tuple[str, tuple[Job, ...]] | Unreadable]]:
    """Each file by its name in reports, with its format and jobs, or why it cannot be read, which is told on stderr."""
    from preflight.readers.errors import Unreadable

    files = once(files)
    engine = engine_for(files, profile_path, job=job)
    tell_failures(engine.plugins)
    for name in files:
        shown = stdin_name if name == STDIN else Path(name).as_posix()
        try:
            if name == STDIN:
                yield shown, engine.read_bytes(sys.stdin.buffer.read(), shown)
            else:
                yield shown, engine.read(Path(name))
        except Unreadable as problem:
            tell(f"{shown}: {problem}")
            yield shown, problem


@main.command()
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


@main.command()
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


@main.group()
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


@main.command()
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
