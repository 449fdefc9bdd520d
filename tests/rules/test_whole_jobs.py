"""Whole jobs as different drawing programs and shops write them: in order they give nothing, and one fault gives that one finding.

``fixtures/jobs/NAME`` holds the job, its profile where it has one, and ``faults.toml``: what a careless hand would have changed in the
file (each old text stands there once), and what must be found then, as `preflight.testing` compares it. Each measure and place is
worked out from the drawing, not from a report.
"""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path
from typing import Any

import msgspec
import pytest

from preflight.engine import Engine
from preflight.plugins import Plugins
from preflight.profile import load
from preflight.testing import FORMATS, Case, mismatches

sys.path.insert(0, str(Path(__file__).parents[1] / "make_fixtures"))
from plain_pdf import made_whole

FOLDER = Path(__file__).parents[2] / "fixtures" / "jobs"
PLUGINS = Plugins()


class Fault(msgspec.Struct, frozen=True):
    """A change of a job, and what must be found in it.

    Attributes
    ----------
    does : what went wrong.
    edits : old and new text, of the artwork; ``profile`` the same, of the profile.
    found : each finding, as beside the fixtures of rules; none where the change is harmless.
    not_checked : what the report must say was not checked, where that is something else than in the job in order.
    """

    does: str
    edits: tuple[tuple[str, str], ...] = ()
    profile: tuple[tuple[str, str], ...] = ()
    found: tuple[dict[str, Any], ...] = ()
    not_checked: tuple[str, ...] | None = None


class WholeJob(msgspec.Struct, frozen=True):
    """``path`` of the artwork, what is not checked of it, and its faults."""

    path: Path
    not_checked: tuple[str, ...]
    faults: tuple[Fault, ...]

    @property
    def name(self) -> str:
        return self.path.stem

    def changed(self, fault: Fault, folder: Path) -> Case:
        """The job with the fault, written to a folder with its profile."""
        made = folder / self.path.name
        data = edited(self.path.read_bytes(), fault.edits)
        made.write_bytes(made_whole(data) if made.suffix == ".pdf" and fault.edits else data)
        profile = self.path.parent / "preflight.toml"
        if profile.exists():
            (folder / profile.name).write_bytes(edited(profile.read_bytes(), fault.profile))
        return Case(made, fault.found)


def edited(data: bytes, edits: tuple[tuple[str, str], ...]) -> bytes:
    for old, new in edits:
        assert data.count(old.encode()) == 1, f"{old!r} stands {data.count(old.encode())} times in the file"
        data = data.replace(old.encode(), new.encode())
    return data


def whole_jobs() -> list[WholeJob]:
    found = []
    for path in sorted(path for path in FOLDER.glob("*/*") if path.suffix in FORMATS):
        told = tomllib.loads((path.parent / "faults.toml").read_text(encoding="utf-8"))
        faults = msgspec.convert(told["fault"], tuple[Fault, ...])
        found.append(WholeJob(path, tuple(told["not_checked"]), faults))
    return found


JOBS = whole_jobs()


def not_checked(path: Path) -> list[str]:
    report = Engine(load(start=path.parent), PLUGINS).check_file(path).report
    return sorted(one.what for page in report.pages for one in page.not_checked)


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.name)
def test_a_job_in_order_gives_nothing(job: WholeJob) -> None:
    assert mismatches(Case(job.path, ()), plugins=PLUGINS) == []
    assert not_checked(job.path) == sorted(job.not_checked)


@pytest.mark.parametrize("job", [job for job in JOBS if job.path.suffix == ".pdf"], ids=lambda job: job.name)
def test_a_pdf_is_written_whole(job: WholeJob) -> None:
    assert made_whole(job.path.read_bytes()) == job.path.read_bytes()


@pytest.mark.parametrize(
    ("job", "fault"),
    [pytest.param(job, fault, id=f"{job.name}: {fault.does}") for job in JOBS for fault in job.faults],
)
def test_one_fault_gives_what_it_is_and_nothing_else(job: WholeJob, fault: Fault, tmp_path: Path) -> None:
    case = job.changed(fault, tmp_path)
    assert mismatches(case, plugins=PLUGINS) == []
    expected = job.not_checked if fault.not_checked is None else fault.not_checked
    assert not_checked(case.path) == sorted(expected)
