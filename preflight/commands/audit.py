"""The command that audits many files: the work is done by `preflight.audit`."""

from __future__ import annotations

import os
import re
import sys
from collections.abc import Collection, Sequence
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import click

from preflight.options import fail_on_option, profile_option, single_option, text_or_json_option
from preflight.output import fail, tell, write_stdout
from preflight.setting_up import installed_plugins, names_given

if TYPE_CHECKING:
    from preflight.audit.cluster import Cluster
    from preflight.audit.messages import Setup
    from preflight.audit.pool import Pool
    from preflight.audit.reading import Reading

__all__ = ["audit"]

FINDINGS = 1
"""Exit code: findings at or above ``--fail-on``, or files that cannot be read."""

INTERRUPTED = 130
"""Exit code after Ctrl-C, as shells have it."""


def _bytes(context: click.Context, option: click.Parameter, given: Sequence[str]) -> int:
    said = given[-1]
    match = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*([MG])B\s*", said, re.IGNORECASE)
    if len(given) > 1 or match is None:
        raise click.BadParameter(f"{' '.join(given)!r} is no amount of memory, such as '2 GB' or '500 MB'")
    return int(float(match[1]) * (1e6 if match[2].upper() == "M" else 1e9))


@click.command()
@click.argument("root", required=False)
@single_option(
    "--into",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("preflight-audit"),
    show_default=True,
    help="The audit's own folder: its store, the overview, reports and lists.",
)
@single_option(
    "-j",
    "--jobs",
    type=click.IntRange(1, 256),
    help="How many files are checked at once; otherwise as many as there are processors.",
)
@profile_option
@click.option("--select", multiple=True, metavar="RULE|GROUP", help="Only these rules, as for check.")
@click.option("--ignore", multiple=True, metavar="RULE|GROUP", help="Not these rules, as for check.")
@single_option(
    "--time-limit",
    type=click.FloatRange(1, 86_400),
    default=120.0,
    show_default=True,
    help="Seconds for one file.",
)
@click.option(
    "--memory-limit",
    multiple=True,
    metavar="AMOUNT",
    default=["2 GB"],
    show_default=True,
    callback=_bytes,
    help="Memory for one file, where the system holds a process to it.",
)
@single_option(
    "--reports",
    type=click.IntRange(0),
    default=200,
    show_default=True,
    help="How many of the worst files have a report of their own.",
)
@single_option("--scheduler", metavar="ADDRESS", help="Check on the workers of a dask cluster.")
@single_option("--cluster", metavar="local:N", help="Check on a dask cluster of N workers started here.")
@click.option(
    "--query",
    "questions",
    multiple=True,
    metavar="KEY=VALUE",
    help="Ask the store which files fit, and check nothing: rule=contour-open, spot='Tea Room Red'. May be repeated.",
)
@text_or_json_option
@fail_on_option
def audit(
    root: str | None,
    into: Path,
    jobs: int | None,
    profile_path: Path | None,
    select: Sequence[str],
    ignore: Sequence[str],
    time_limit: float,
    memory_limit: int,
    reports: int,
    scheduler: str | None,
    cluster: str | None,
    questions: Sequence[str],
    format_: str,
    fail_on: str,
) -> None:
    """Check every artwork file below ROOT: a folder, a zip archive, or a URL.

    Every answer is kept in a store as it comes. Run again, it goes on where it was, and looks only at what changed.

    Exit status: 0 nothing at or above --fail-on, 1 findings or files that cannot be read, 2 the audit could not be done.
    """
    import sqlite3

    from preflight.audit.source import SourceError
    from preflight.audit.store import StoreError
    from preflight.audit.worker import WorkerError
    from preflight.in_force import ChoiceError
    from preflight.plugins import PluginError
    from preflight.profile import ProfileError

    try:
        if questions:
            _ask(root, into, questions, format_)
            return
        if root is None:
            raise click.UsageError("Name what to audit: a folder, a zip archive, or a URL.")
        if scheduler and cluster:
            raise click.UsageError(
                "--scheduler and --cluster are two ways to have a cluster: give one of them."
            )
        if cluster and not cluster.startswith("local:"):
            raise click.UsageError(
                f"--cluster {cluster}: workers are started with local:N; --scheduler takes an address."
            )
        setup = _setup(root, profile_path, select, ignore, memory_limit)
        into.mkdir(parents=True, exist_ok=True)
        with _workers(setup, jobs, scheduler or cluster, time_limit) as workers:
            _run(setup, into, workers, reports, (f"{time_limit:g} s", setup.memory_told))
        with closing(_reading(into)) as reading:
            sys.exit(_told(reading, into, format_, fail_on))
    except KeyboardInterrupt:
        tell("stopped; what was answered is kept, and the same command goes on from there")
        sys.exit(INTERRUPTED)
    except (ChoiceError, PluginError, ProfileError, SourceError, StoreError, WorkerError) as error:
        fail(str(error))
    except sqlite3.Error as error:
        fail(
            f"the store in {into} cannot be read or written any more: {error}; what was answered until then is kept"
        )
    except OSError as error:
        fail(f"{error.filename or into}: {error.strerror or error}")


def _absolute(root: str) -> str:
    """What is audited, the same from wherever it is named."""
    return root if "://" in root or "::" in root else str(Path(root).resolve())


def _setup(
    root: str, profile: Path | None, select: Sequence[str], ignore: Sequence[str], memory: int
) -> Setup:
    from preflight.audit.messages import Setup

    for path in (_absolute(root), str(Path.cwd()), *([str(profile.resolve())] if profile else [])):
        if path != path.encode("utf-8", "backslashreplace").decode():
            fail(f"{path} has a name that is no valid text (UTF-8), which a store cannot hold: rename it")
    return Setup(
        root=_absolute(root),
        start=str(Path.cwd()),
        profile=None if profile is None else str(profile.resolve()),
        select=tuple(names_given("--select", select)),
        ignore=tuple(names_given("--ignore", ignore)),
        memory=memory,
    )


def _workers(setup: Setup, jobs: int | None, cluster: str | None, seconds: float) -> Pool | Cluster:
    """Those who check: processes of this machine, or the workers of a cluster."""
    if cluster is not None:
        from preflight.audit.cluster import Cluster

        return Cluster(setup, cluster, seconds)
    from preflight.audit.pool import Pool

    return Pool(setup, jobs or os.cpu_count() or 1, seconds)


def _run(setup: Setup, into: Path, workers: Pool | Cluster, reports: int, limits: Collection[str]) -> None:
    """The work, and the files that tell of it where they do not tell of this run yet."""
    from preflight.audit.exports import exported, write_exports
    from preflight.audit.overview import up_to_date, write_overview
    from preflight.audit.own_reports import make_own_reports
    from preflight.audit.progress import Shown
    from preflight.audit.run import mark_told, run
    from preflight.reports.words import counted

    with Shown(sys.stderr) as shown:
        outcome = run(setup, into, workers, shown, limits)
    if outcome.left_out:
        tell(f"{counted(outcome.left_out, 'file')} left out by [files] exclude of the profile")
    if not workers.memory_held:
        tell("this system does not hold a process to --memory-limit: a file may take all the memory there is")
    with closing(_reading(into)) as reading:
        own, told = make_own_reports(reading, into, workers, reports), reading.told
        if not told or not exported(into):
            write_exports(reading, into)
        if not told or not up_to_date(reading, into, own, setup.profile):
            write_overview(reading, into, own, setup.profile)
    if not told:
        mark_told(setup, into)


def _reading(into: Path) -> Reading:
    from preflight.audit.own_folder import STORE
    from preflight.audit.reading import Reading

    return Reading(into / STORE)


def _ask(root: str | None, into: Path, questions: Sequence[str], format_: str) -> None:
    """The files that a question is true of, on stdout."""
    from preflight.audit.questions import QuestionError, condition
    from preflight.audit.telling import files_json, files_text

    with closing(_reading(into)) as reading:
        try:
            where, values = condition(questions, {*installed_plugins().rules, *reading.rules()})
        except QuestionError as error:
            fail(str(error))
        if root is not None and _absolute(root) != reading.root:
            fail(
                f"{into} holds the audit of {reading.root}, not of {root}; leave {root} out, or name its folder with --into"
            )
        found = reading.files(where, values)
        write_stdout(files_json(found) if format_ == "json" else files_text(found))


def _told(reading: Reading, into: Path, format_: str, fail_on: str) -> int:
    """The totals on stdout; the exit code they come to."""
    from preflight.audit.telling import summary_json, summary_text
    from preflight.reports.columns import columns

    if format_ == "json":
        write_stdout(summary_json(reading))
    else:
        write_stdout(summary_text(reading, into, columns(sys.stdout)))
    last = reading.runs()[-1]
    found = [last.error + last.unreadable, last.warning, last.note]
    return FINDINGS if sum(found[: ["error", "warning", "note"].index(fail_on) + 1]) else 0
