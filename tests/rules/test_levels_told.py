"""Rules whose findings are not all at the rule's own level say so in the line that every list of rules shows."""

from __future__ import annotations

from pathlib import Path

import pytest

from preflight.engine import check_file
from preflight.plugins import Plugins
from preflight.profile import load
from preflight.rule import Level, page_sections

FIXTURES = Path(__file__).parents[2] / "fixtures" / "rules"


@pytest.mark.parametrize(
    ("rule", "file", "asked", "told", "level"),
    [
        ("overprint-lost", "fail-cut.pdf", "error", "at most a warning", Level.WARNING),
        ("overprint-lost", "fail-mark.pdf", "error", "at most a warning", Level.WARNING),
        ("overprint-lost", "fail-white.pdf", "error", "overprint", Level.ERROR),
        ("overprint-lost", "fail-cut.pdf", "note", "at most a warning", Level.NOTE),
        ("step-unnamed", "fail-layer.svg", "note", "an error where no other cut line", Level.ERROR),
    ],
)
def test_the_first_line_of_the_page_tells_the_level_of_what_is_found(
    rule: str, file: str, asked: str, told: str, level: Level, tmp_path: Path
) -> None:
    (tmp_path / "preflight.toml").write_text(f'[rules.{rule}]\nlevel = "{asked}"\n')
    report = check_file(FIXTURES / rule / file, load(tmp_path))
    assert {one.level for one in report.findings() if one.rule == rule} == {level}
    assert told in " ".join(page_sections(Plugins().rules[rule])["summary"].split())
