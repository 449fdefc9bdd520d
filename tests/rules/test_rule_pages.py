"""Every rule, plug-ins included, has its page, its reasons and its fixtures."""

from pathlib import Path

import pytest

from preflight.plugins import Plugins
from preflight.rule import HEADINGS, Group, Rule, page_sections
from preflight.testing import missing_kinds

FOLDER = Path(__file__).parents[2] / "fixtures" / "rules"
RULES = list(Plugins().rules.values())


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_the_page_has_every_heading_and_no_loose_brace(rule: type[Rule]) -> None:
    sections = page_sections(rule)
    assert list(sections) == ["summary", *HEADINGS]
    assert "{" not in "".join(sections.values())


def test_the_page_shows_the_values_given() -> None:
    rule = next(rule for rule in RULES if rule.id == "contour-open")
    assert "0.01 mm apart" in " ".join(page_sections(rule)["What it finds"].split())
    given = page_sections(rule, {"closed_within": "0.02 mm"})["What it finds"]
    assert "0.02 mm apart" in " ".join(given.split())


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_every_setting_has_a_reason_and_a_basis(rule: type[Rule]) -> None:
    for setting in rule.Settings.fields().values():
        assert len(setting.reason) > 10
        assert setting.basis


@pytest.mark.parametrize(
    "rule",
    [
        rule
        for rule in RULES
        if rule.group is not Group.READING and rule.__module__.startswith("preflight_rules")
    ],
    ids=lambda rule: rule.id,
)
def test_a_built_in_rule_has_all_kinds_of_fixture(rule: type[Rule]) -> None:
    assert missing_kinds(FOLDER / rule.id) == ()


def test_the_rules_promised_are_there() -> None:
    """Design, section 6: contours, steps, colours and reading. A released id never vanishes."""
    promised = {
        "contour-crossing contour-duplicate contour-fragment contour-open contour-overlap contour-self-crossing",
        "corner-tight node-excess not-checked rule-failed step-hidden step-missing step-misspelt step-order",
        "art-near-cut bleed-short cut-off-page cut-spacing",
        "mark-crowded mark-size marks-faint marks-missing marks-skewed",
        "lead-short media-overflow scale-doubtful",
        "image-absent image-coarse line-thin object-stray text-live text-small",
        "colour-conflict colour-gamut colour-space colour-unknown ink-heavy",
        "overprint-lost step-painted step-printed step-unnamed unreadable",
    }
    assert {id_ for line in promised for id_ in line.split()} <= {rule.id for rule in RULES}
