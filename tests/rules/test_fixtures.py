"""Every tiny file of fixtures/rules gives exactly the findings that stand beside it."""

import re
from pathlib import Path

import pikepdf
import pytest

from preflight.engine import check_bytes
from preflight.plugins import Plugins
from preflight.profile import Profile
from preflight.testing import Case, cases, mismatches

FOLDER = Path(__file__).parents[2] / "fixtures" / "rules"
CASES = list(cases(FOLDER))


@pytest.fixture(scope="module")
def plugins() -> Plugins:
    return Plugins()


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_findings_are_those_expected(case: Case, plugins: Plugins) -> None:
    assert mismatches(case, plugins=plugins) == []


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_the_folder_is_the_rule(case: Case) -> None:
    own = [one for one in case.expected if one["rule"] == case.path.parent.name]
    kind = case.path.stem
    if kind.startswith(("fail", "near-fail")):
        assert own
    elif kind.startswith(("pass", "near-pass")):
        assert not own
    assert title_of(case.path)


def title_of(path: Path) -> str:
    """What the file says it shows."""
    if path.suffix == ".pdf":
        with pikepdf.open(path) as pdf:
            return str(pdf.docinfo.Title)
    match = re.search("<title>(.+?)</title>", path.read_text(encoding="utf-8"), re.DOTALL)
    return match[1] if match else ""


def test_no_rule_fails_on_an_empty_page(plugins: Plugins) -> None:
    page = b'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30"/>'
    found = list(check_bytes(page, "empty.svg", Profile.default(), plugins).findings())
    expects_cut = Profile.default().job.expects_cut
    assert [one.rule for one in found] == (["step-missing"] if expects_cut else [])
