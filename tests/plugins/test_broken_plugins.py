"""Plug-ins that fail: set aside and named, the rest at work; exit 2 where the profile requires them."""

from __future__ import annotations

from pathlib import Path

import pytest
from installed import JOB, checked, distribution, found, preflight

RULE = '''
from preflight.rule import Rule, Level

class Small(Rule):
    """A finding on every page.

    What it finds
    -------------
    The page.

    Why it matters
    --------------
    It does not.

    Known limits
    ------------
    All.

    How to mend it
    --------------
    No need.
    """

    id = "house-page"
    level = Level.NOTE

    def check(self, job):
        yield self.finding("There is a page.", "Look at it.", bounds=(0, 0, 1, 1))
'''
HOOK = """
import pluggy
hookimpl = pluggy.HookimplMarker("preflight")
"""

BROKEN = {
    "import error": ("import a_module_nobody_has", "a_module_nobody_has"),
    "syntax error": ("def (", "SyntaxError"),
    "exit on import": ("raise RuntimeError('out of toner')", "out of toner"),
    "another API": ("PREFLIGHT_API = 99", "99"),
    "no API stated": ("VERSION = 1", "PREFLIGHT_API"),
    "unknown hook": (
        f"PREFLIGHT_API = 1\n{HOOK}\n@hookimpl\ndef preflight_ruels():\n    return []\n",
        "preflight_ruels",
    ),
    "hook that raises": (
        f"PREFLIGHT_API = 1\n{HOOK}\n@hookimpl\ndef preflight_rules():\n    raise KeyError('sleeve')\n",
        "sleeve",
    ),
    "rule id that is taken": (
        f"PREFLIGHT_API = 1\n{HOOK}\n{RULE.replace('house-page', 'contour-open')}\n"
        "@hookimpl\ndef preflight_rules():\n    return [Small]\n",
        "contour-open",
    ),
    "rule without a page": (
        f"PREFLIGHT_API = 1\n{HOOK}\nfrom preflight.rule import Rule\nclass Bare(Rule):\n    id = 'bare'\n"
        "@hookimpl\ndef preflight_rules():\n    return [Bare]\n",
        "bare",
    ),
    "format that is taken": (
        f"PREFLIGHT_API = 1\n{HOOK}\nfrom preflight.reports.report import Renderer\n"
        "class Other(Renderer):\n    format = 'json'\n@hookimpl\ndef preflight_renderers():\n    return [Other]\n",
        "json",
    ),
}


@pytest.fixture
def job(tmp_path: Path) -> Path:
    folder = tmp_path / "job"
    folder.mkdir()
    (folder / "job.svg").write_text(JOB)
    return folder


@pytest.fixture
def site(tmp_path: Path) -> Path:
    folder = tmp_path / "site"
    folder.mkdir()
    return folder


@pytest.mark.parametrize("kind", BROKEN)
def test_a_broken_plugin_is_named_and_the_rest_works(kind: str, job: Path, site: Path) -> None:
    source, told = BROKEN[kind]
    distribution(site, "broken-one", "broken_one", source)
    distribution(
        site,
        "sound-one",
        "sound_one",
        f"PREFLIGHT_API = 1\n{HOOK}\n{RULE}\n@hookimpl\ndef preflight_rules():\n    return [Small]\n",
    )
    report, stderr, code = checked(job, site)
    assert "broken-one 9.1" in stderr
    assert told in stderr
    assert "Traceback" not in stderr
    assert len(found(report, "house-page")) == 1
    assert code in (0, 1)


@pytest.mark.parametrize("kind", BROKEN)
def test_a_broken_plugin_that_the_profile_requires_is_exit_2(kind: str, job: Path, site: Path) -> None:
    source, told = BROKEN[kind]
    distribution(site, "broken-one", "broken_one", source)
    (job / "preflight.toml").write_text('[plugins]\nrequired = ["broken-one"]\n')
    run = preflight(job, site, "check", "job.svg")
    assert run.returncode == 2
    assert not run.stdout
    assert "broken-one" in run.stderr
    assert told in run.stderr
    assert "Traceback" not in run.stderr


def test_a_rule_that_fails_on_a_page_is_a_finding_and_exit_2(job: Path, site: Path) -> None:
    source = RULE.replace(
        'yield self.finding("There is a page.", "Look at it.", bounds=(0, 0, 1, 1))', "1 / 0"
    )
    hook = "@hookimpl\ndef preflight_rules():\n    return [Small]\n"
    distribution(site, "failing-one", "failing_one", f"PREFLIGHT_API = 1\n{HOOK}\n{source}\n{hook}")
    report, _, code = checked(job, site)
    (finding,) = found(report, "rule-failed")
    assert "house-page" in finding["message"]
    assert "ZeroDivisionError" in finding["message"]
    assert code == 2


def test_house_rules_from_a_file_of_the_profile(job: Path, site: Path) -> None:
    (job / "house_rules.py").write_text(RULE)
    (job / "preflight.toml").write_text('[plugins]\nrule_files = ["house_rules.py"]\n')
    report, stderr, _ = checked(job, site)
    assert len(found(report, "house-page")) == 1
    assert not stderr


@pytest.mark.parametrize(
    ("source", "told"),
    [
        (None, "house_rules.py"),
        ("import a_module_nobody_has", "a_module_nobody_has"),
        ("VALUE = 1", "no class"),
        (RULE.replace("Known limits", "Knwon limits"), "Known limits"),
        (RULE.replace("house-page", "contour-open"), "contour-open"),
    ],
)
def test_a_house_rule_file_that_fails_is_exit_2(source: str | None, told: str, job: Path, site: Path) -> None:
    if source is not None:
        (job / "house_rules.py").write_text(source)
    (job / "preflight.toml").write_text('[plugins]\nrule_files = ["house_rules.py"]\n')
    run = preflight(job, site, "check", "job.svg")
    assert run.returncode == 2
    assert told in run.stderr
    assert "Traceback" not in run.stderr
