"""The corpus' damaged, locked and cyclic files: each gets an answer in ten seconds and one gigabyte.

Read in a process of their own, so that a crash or a hang is seen for what it is.
"""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

BROKEN = Path(__file__).parents[4] / "shared" / "corpus" / "pdf" / "broken"
FILES = sorted(BROKEN.glob("*")) if BROKEN.exists() else []

pytestmark = pytest.mark.skipif(not FILES, reason="the corpus is not beside the project")

READ_ALL = """
import faulthandler, json, sys
from pathlib import Path
from preflight.engine import check_bytes

for name in sys.argv[1:]:
    faulthandler.dump_traceback_later(10, exit=True)
    report = check_bytes(Path(name).read_bytes(), name)
    faulthandler.cancel_dump_traceback_later()
    notes = sum(len(page.not_checked) for page in report.pages)
    print(json.dumps([Path(name).name, report.status, report.reason, report.hint, len(report.pages), notes]), flush=True)
try:
    import resource
    print(json.dumps(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)))
except ImportError:
    print(json.dumps(0))
"""


@pytest.fixture(scope="module")
def answers() -> dict[str, Any]:
    child = subprocess.run(
        [sys.executable, "-c", READ_ALL, *map(str, FILES)], capture_output=True, text=True, timeout=400
    )
    assert child.returncode == 0, child.stderr[-3000:]
    *lines, memory = child.stdout.splitlines()
    found = {row[0]: row[1:] for row in map(json.loads, lines)}
    return {**found, "memory": json.loads(memory), "errors": child.stderr}


def test_they_take_less_than_a_gigabyte_and_leave_no_traceback(answers: dict[str, Any]) -> None:
    assert answers["memory"] < 2**30
    assert answers["errors"] == ""


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_each_is_read_or_refused_with_a_reason(path: Path, answers: dict[str, Any]) -> None:
    status, reason, hint, pages, _ = answers[path.name]
    if status == "unreadable":
        assert reason
        assert hint
        assert "fault of this program" not in reason
    else:
        assert pages


REFUSED = {
    "format-corpus__minimal_test.pdf": "damaged",
    "pdf-js__issue6010_2.pdf": "password",
    "pdfium-in__bug_644.pdf": "password",
    "pdfium__encrypted_hello_world_r2.pdf": "password",
    "pdfium__bug_544880.pdf": "no page",
    "pdfium__bug_454695.pdf": "damaged",
    "qpdf__short-O-U.pdf": "password",
}


@pytest.mark.parametrize("name", REFUSED)
def test_why_some_are_refused(name: str, answers: dict[str, Any]) -> None:
    assert answers[name][0] == "unreadable"
    assert REFUSED[name] in answers[name][1]


REPAIRED = (
    "PdfPig__info_dictionary.pdf",
    "format-corpus__corruptionOneByteMissing.pdf",
    "qpdf__issue-117.pdf",
)


@pytest.mark.parametrize("name", REPAIRED)
def test_repairs_are_said(name: str, answers: dict[str, Any]) -> None:
    status, *_, notes = answers[name]
    assert status == "checked"
    assert notes > 0
