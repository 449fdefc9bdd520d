"""The month of a file's last change, however its place tells it, and dates that there are not."""

from __future__ import annotations

import os
import sys
import zipfile
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from audit_archive import audit, clean, faulty, written

from preflight.audit.months import month_of_facts, month_of_seconds


@pytest.mark.parametrize(
    ("seconds", "month"),
    [
        (0, "1970-01"),
        (1_793_000_000, "2026-10"),  # 2026-10-26, by `date -u -d @1793000000`
        (-62_135_596_800, "0001-01"),  # 1 January of year 1, by `date -u -d 0001-01-01 +%s`
        (-62_135_596_801, None),
        (253_402_300_799, "9999-12"),  # the end of year 9999, by the same
        (253_402_300_801, None),
        (-1e30, None),
        (float("nan"), None),
        (float("inf"), None),
    ],
)
def test_a_moment_has_a_month_where_a_calendar_has_it(seconds: float, month: str | None) -> None:
    assert month_of_seconds(seconds) == month


@pytest.mark.parametrize(
    ("date", "month"),
    [
        ((2026, 3, 1, 0, 0, 0), "2026-03"),
        ((1980, 0, 0, 0, 0, 0), None),
        ((1980, 15, 31), None),
        ((2026,), None),
        ((), None),
        ("2026-03-01T12:00:00Z", "2026-03"),
        ("2026-03", "2026-03"),
        ("2026-00-00", None),
        ("2026-13-01", None),
        ("0000-01-01", None),
        ("\u0662\u0660\u0662\u0666-03-01", None),
        ("Sun, 01 Mar 2026", None),
        (datetime(2026, 3, 1, tzinfo=UTC), "2026-03"),
        (datetime(1, 1, 1, tzinfo=UTC), "0001-01"),
        (float("nan"), None),
        ([2026, 3], None),
        (None, None),
    ],
)
def test_a_date_has_a_month_however_it_is_told(date: Any, month: str | None) -> None:
    assert month_of_facts({"mtime": date}) == month
    assert month_of_facts({"mtime": date, "created": "2025-07-01"}) == (month or "2025-07")


@pytest.mark.skipif(sys.platform != "linux", reason="not every system keeps such dates")
def test_files_of_any_date_are_audited_and_told_in_the_overview(tmp_path: Path) -> None:
    root = written(tmp_path / "archive", {f"{name}.svg": faulty() for name in "abcd"})
    for name, seconds in (("a", -62_135_596_800), ("b", -1), ("c", 300_000_000_000), ("d", 1_793_000_000)):
        try:
            os.utime(root / f"{name}.svg", (0, seconds))
        except OSError:
            pytest.skip("this file system keeps no such date")
    done = audit(root, "--into", tmp_path / "kept")
    assert "4 files: 4 errors" in done.stdout
    assert (tmp_path / "kept/overview.html").is_file()


def test_an_archive_without_dates_is_audited(tmp_path: Path) -> None:
    path = tmp_path / "2026.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(zipfile.ZipInfo("a.svg", (1980, 0, 0, 0, 0, 0)), clean())
    done = audit(path, "--into", tmp_path / "kept", "--format", "json")
    assert done.returncode == 0, done.stderr
    assert 'data-month=""' in (tmp_path / "kept/overview.html").read_text("utf-8")
