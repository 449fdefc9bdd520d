"""The example plug-in, installed as a stranger would, seen through the command."""

from __future__ import annotations

import csv
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
from installed import JOB, checked, found, preflight

EXAMPLE = Path(__file__).parents[1] / "plugin_example"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the example installed into it."""
    source = tmp_path_factory.mktemp("source") / "plugin_example"
    shutil.copytree(EXAMPLE, source, ignore=shutil.ignore_patterns("build", "*.egg-info", "__pycache__"))
    target = tmp_path_factory.mktemp("site")
    options = ["--quiet", "--no-deps", "--no-build-isolation", "--no-index", "--target", str(target)]
    installed = subprocess.run(
        [sys.executable, "-m", "pip", "install", *options, str(source)], capture_output=True, text=True
    )
    assert installed.returncode == 0, installed.stderr
    return target


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "job.svg").write_text(JOB)
    return tmp_path


def test_its_rule_finds_the_long_piece_only(job: Path, site: Path) -> None:
    report, _, code = checked(job, site)
    (finding,) = found(report, "piece-oversize")
    assert finding["bounds_mm"] == pytest.approx([10, 10, 210, 40], abs=0.001)
    assert finding["measured"] == {"value": 200.0, "limit": 150.0, "unit": "mm"}
    assert finding["objects"][0]["layer"] == "Kiss cut"
    assert code == 1


@pytest.mark.parametrize(
    ("longest", "expected"), [("199.99 mm", 1), ("200 mm", 0), ("200.01 mm", 0), ("1 m", 0)]
)
def test_its_setting_is_read_from_the_profile(job: Path, site: Path, longest: str, expected: int) -> None:
    (job / "preflight.toml").write_text(f'[rules.piece-oversize]\nlongest = "{longest}"\n')
    report, _, _ = checked(job, site)
    assert len(found(report, "piece-oversize")) == expected


def test_a_wrong_setting_of_its_rule_is_told_apart(job: Path, site: Path) -> None:
    (job / "preflight.toml").write_text('[rules.piece-oversize]\nlongst = "1 m"\n')
    run = preflight(job, site, "check", "job.svg")
    assert run.returncode == 2
    assert "longst" in run.stderr
    assert "longest" in run.stderr


def test_its_report_goes_to_stdout_by_format_and_to_a_file_by_suffix(job: Path, site: Path) -> None:
    run = preflight(job, site, "check", "job.svg", "--format", "csv", "--report", "findings.csv")
    assert run.returncode == 1, run.stderr
    rows = list(csv.DictReader(run.stdout.splitlines()))
    assert [row["value"] for row in rows if row["rule"] == "piece-oversize"] == ["200.0"]
    on_disk = (job / "findings.csv").read_text(encoding="utf-8")
    assert on_disk.splitlines() == run.stdout.splitlines()


def test_versions_name_it(job: Path, site: Path) -> None:
    shown = preflight(job, site, "--version")
    assert "shop-floor-checks 1.2.0" in shown.stdout
    report, _, _ = checked(job, site)
    assert {"name": "shop-floor-checks", "version": "1.2.0"} in report["tool"]["plugins"]


def test_explain_shows_its_page_with_its_numbers(job: Path, site: Path) -> None:
    run = preflight(job, site, "explain", "piece-oversize", "--format", "markdown")
    assert run.returncode == 0, run.stderr
    assert "above 150 mm" in " ".join(run.stdout.split())


def test_without_it_nothing_of_it_is_known(job: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    nothing = tmp_path_factory.mktemp("nothing")
    report, _, _ = checked(job, nothing)
    assert not found(report, "piece-oversize")
    assert preflight(job, nothing, "check", "job.svg", "--format", "csv").returncode == 2
    (job / "preflight.toml").write_text('[plugins]\nrequired = ["shop-floor-checks"]\n')
    run = preflight(job, nothing, "check", "job.svg")
    assert run.returncode == 2
    assert "shop-floor-checks" in run.stderr
