"""What no single file shows: rules that leave things to each other, and hints that are true."""

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from preflight.engine import check_bytes, check_file
from preflight.plugins import Plugins
from preflight.profile import Profile, RuleChoice, Step
from preflight.rule import Finding

FOLDER = Path(__file__).parents[2] / "fixtures" / "rules"
PLUGINS = Plugins()


def found(name: str, profile: Profile) -> list[Finding]:
    return list(check_file(FOLDER / name, profile, PLUGINS).findings())


def test_a_fragment_below_the_shops_own_size_falls_to_the_other_rules() -> None:
    """An open speck of 1 mm: a fragment by default, an open contour where 0.5 mm pieces are cut."""
    page = (
        b'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="30mm" viewBox="0 0 40 30">'
        b'<g id="Cutting"><path d="M10 10 H11 V11" fill="none" stroke="#000" stroke-width="0.1"/></g></svg>'
    )
    by_default = check_bytes(page, "speck.svg", Profile.default(), PLUGINS)
    assert [one.rule for one in by_default.findings()] == ["contour-fragment"]
    small = replace(Profile.default(), rules={"contour-fragment": RuleChoice(None, {"least_size": "0.5 mm"})})
    assert [one.rule for one in check_bytes(page, "speck.svg", small, PLUGINS).findings()] == ["contour-open"]
    off = replace(Profile.default(), rules={"contour-fragment": RuleChoice("off", {})})
    assert [one.rule for one in check_bytes(page, "speck.svg", off, PLUGINS).findings()] == ["contour-open"]


def test_the_profile_line_in_the_hint_names_the_step() -> None:
    (finding,) = found("step-unnamed/fail-layer.svg", Profile.default())
    match = re.search(r'\[steps\.(\w+)\] names = \["(.+?)"\]', finding.hint)
    assert match is not None
    steps = dict(Profile.default().steps)
    steps[match[1]] = Step((*steps[match[1]].names, match[2]))
    assert found("step-unnamed/fail-layer.svg", replace(Profile.default(), steps=steps)) == []


def test_the_suggested_name_is_known() -> None:
    page = (FOLDER / "step-misspelt" / "fail-left-out.svg").read_bytes()
    mended = page.replace(b"Kis cut", b"Kiss cut").replace(b"Kis-cut", b"Kiss-cut")
    assert mended != page
    assert list(check_bytes(mended, "mended.svg", Profile.default(), PLUGINS).findings()) == []


def test_pairs_that_may_cross_are_the_profiles() -> None:
    allowed = RuleChoice(None, {"may_cross": ["PartialCutting + Cutting"]})
    profile = replace(Profile.default(), rules={"contour-crossing": allowed})
    assert [one.rule for one in found("contour-crossing/fail-steps.svg", profile)] == []


@pytest.mark.parametrize("rule", sorted(PLUGINS.rules))
def test_a_rule_is_silent_when_switched_off(rule: str) -> None:
    profile = replace(Profile.default(), rules={rule: RuleChoice("off", {})})
    for path in sorted((FOLDER / rule).glob("fail*.svg")):
        assert rule not in {one.rule for one in check_file(path, profile, PLUGINS).findings()}
