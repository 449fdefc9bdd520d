"""The command that checks files: what goes wrong is found by the engine, and told by renderers."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import TYPE_CHECKING

import click

from preflight.options import (
    CommandOnFiles,
    ListedOption,
    fail_on_option,
    job_options,
    profile_option,
    single_option,
    stdin_name_option,
)
from preflight.output import UNDONE, fail, renderer_by_format, renderer_by_suffix, tell, write, write_stdout
from preflight.setting_up import STDIN, engine_for, installed_plugins, once, tell_failures

if TYPE_CHECKING:
    from preflight.engine import Checked, Engine
    from preflight.profile import Profile
    from preflight.reports.report import Drawing, Report
    from preflight.rule import Level

__all__ = ["check"]

FINDINGS = 1
"""Exit code: findings at or above ``--fail-on``."""


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


@click.command(cls=CommandOnFiles)
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
@fail_on_option
@stdin_name_option
@single_option(
    "--baseline",
    "baseline_path",
    metavar="FILE",
    type=click.Path(path_type=Path),
    help="Findings that FILE holds are known: they do not count.",
)
@click.option(
    "--write-baseline",
    is_flag=True,
    help="Write the FILE of --baseline: all that is found, where there is none yet; else without what is no longer found, and "
    "nothing added.",
)
@click.option(
    "--renew-baseline",
    is_flag=True,
    help="Write the FILE of --baseline anew for the files checked: what is new is taken in, too.",
)
@click.option(
    "--changed-only",
    is_flag=True,
    help="Only what the next commit would bring counts: findings that the file's version in git has as well are known.",
)
@single_option(
    "--changed-since",
    metavar="COMMIT",
    help="The same, for all that was changed since the present branch left COMMIT, such as main.",
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
    baseline_path: Path | None,
    write_baseline: bool,
    renew_baseline: bool,
    changed_only: bool,
    changed_since: str | None,
    **job: str | None,
) -> None:
    """Check FILES (- reads stdin) and say what would go wrong, where, by how much and what to do.

    Exit status: 0 nothing at or above --fail-on, 1 findings, 2 the work could not be done.
    """
    changed_only = changed_only or changed_since is not None
    _refuse_at_odds(baseline_path, write_baseline, renew_baseline, changed_only)
    files = once(files)
    engine = engine_for(files, profile_path, select, ignore, job)
    files = _not_excluded(files, engine.profile, stdin_name)
    renderers = engine.plugins.renderers
    stdout_renderer = renderer_by_format(renderers, format_)(engine.plugins.rules)
    to_write = [(path, renderer_by_suffix(renderers, path)(engine.plugins.rules)) for path in reports]
    tell_failures(engine.plugins)
    baseline = None
    if baseline_path is not None:
        from preflight.known.run import opened

        baseline = opened(baseline_path, write_baseline, renew_baseline)
    checked = _checked(engine, files, stdin_name)
    use = None
    if baseline is not None:
        checked, use = baseline.held_against(engine, checked)
    if changed_only:
        from preflight.known.run import held_against_earlier

        checked = held_against_earlier(engine, changed_since, checked)
    report = engine.report(checked, use)
    by_path = {one.report.path: one for one in checked}

    def drawings(path: str) -> tuple[Drawing, ...]:
        return by_path[path].drawings()

    from preflight.rule import Level

    limit = Level(fail_on)
    for renderer in (stdout_renderer, *(renderer for _, renderer in to_write)):
        renderer.fail_on = limit
    for path, renderer in to_write:
        write(path, renderer.render(report, drawings))
    write_stdout(stdout_renderer.render(report, drawings))
    sys.exit(_exit_code(report, limit))


def _refuse_at_odds(baseline: Path | None, write: bool, renew: bool, changed_only: bool) -> None:
    """End the run where what is asked of a baseline cannot be done."""
    option = "--renew-baseline" if renew else "--write-baseline"
    if (write or renew) and baseline is None:
        raise click.UsageError(f"{option} writes the file that --baseline names; add --baseline FILE")
    if write and renew:
        raise click.UsageError(
            "--write-baseline only takes findings out, --renew-baseline adds them; name one of them"
        )
    if (write or renew) and changed_only:
        raise click.UsageError(
            f"{option} writes all findings, so leave out --changed-only and --changed-since"
        )


def _not_excluded(files: Sequence[str], profile: Profile, stdin_name: str) -> list[str]:
    """The files that the profile does not leave out; each that it does is told on stderr."""
    kept = []
    for name in files:
        shown = stdin_name if name == STDIN else name
        glob = profile.excluded_by(shown)
        if glob is None:
            kept.append(name)
        else:
            tell(f"{shown} is left out by {glob}")
    return kept


def _checked(engine: Engine, files: Sequence[str], stdin_name: str) -> list[Checked]:
    from preflight.profile import ProfileError

    try:
        with _progress(files) as shown:
            return [_check_one(engine, name, stdin_name) for name in shown]
    except ProfileError as error:  # a file that the profile names, read when first needed
        fail(str(error))


def _check_one(engine: Engine, name: str, stdin_name: str) -> Checked:
    if name == STDIN:
        return engine.check_bytes(sys.stdin.buffer.read(), stdin_name)
    return engine.check_file(Path(name))


def _progress(files: Sequence[str]) -> AbstractContextManager[Iterable[str]]:
    """The files, with a bar on stderr where there are several and a person looks on."""
    if len(files) > 1 and sys.stderr.isatty():
        return click.progressbar(files, label="Checking", file=sys.stderr)
    return nullcontext(files)


def _exit_code(report: Report, limit: Level) -> int:
    found = [finding for file in report.files for finding in file.findings()]
    if report.counts.unreadable or any(finding.rule == "rule-failed" for finding in found):
        return UNDONE
    return FINDINGS if any(finding.open and finding.level.rank <= limit.rank for finding in found) else 0
