"""``NAME.waivers.toml`` beside the artwork: what it waives, and what is said about it where it does not."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pikepdf
import pytest
from click.testing import CliRunner

from preflight.cli import main
from preflight.engine import Engine
from preflight.plugins import Plugins
from preflight.profile import Profile
from preflight.rule import Finding

RULES = Path(__file__).parents[1] / "fixtures" / "rules"
FAULTY = RULES / "step-painted" / "near-fail-separation.pdf"
"""One finding: a kiss cut 10 to 40 mm across and 10 to 30 mm down, on the layer “Kiss cut”, painted 1.03 mm wide."""
PLUGINS = Plugins()


def sheet(folder: Path, waivers: str, source: Path = FAULTY) -> Path:
    path = folder / f"sheet{source.suffix}"
    shutil.copyfile(source, path)
    (folder / "sheet.waivers.toml").write_text(waivers, encoding="utf-8")
    return path


def findings(path: Path) -> list[Finding]:
    report = Engine(Profile.default(), PLUGINS).check_file(path).report
    assert report.status == "checked"
    return list(report.findings())


def waiver(**more: str) -> str:
    lines = {"rule": '"step-painted"', "reason": '"the tea room wants it so"', **more}
    return "[[waivers]]\n" + "".join(f"{key} = {value}\n" for key, value in lines.items())


@pytest.mark.parametrize(
    "where",
    [
        {},
        {"page": "1"},
        {"layer": '"KISS-CUT"'},
        {"at": '["25 mm", "20 mm"]'},
        {"at": '["40.9 mm", "20 mm"]'},
        {"at": '["50 mm", "20 mm"]', "within": '"10.5 mm"'},
    ],
    ids=["anywhere", "page", "layer", "place", "just outside", "far, as allowed"],
)
def test_a_waiver_covers_the_finding_with_its_reason(tmp_path: Path, where: dict[str, str]) -> None:
    (found,) = findings(sheet(tmp_path, waiver(**where)))
    assert (found.rule, found.waived) == ("step-painted", "the tea room wants it so")


def test_a_fingerprint_names_one_finding(tmp_path: Path) -> None:
    (found,) = findings(FAULTY)
    (covered,) = findings(sheet(tmp_path, waiver(fingerprint=f'"{found.fingerprint}"')))
    assert covered.waived is not None
    assert covered.fingerprint == found.fingerprint


@pytest.mark.parametrize(
    "where",
    [{"layer": '"Through cut"'}, {"at": '["41.1 mm", "20 mm"]'}, {"fingerprint": '"00"'}],
    ids=["layer", "place", "fingerprint"],
)
def test_a_waiver_for_elsewhere_is_unused_and_said_to_be(tmp_path: Path, where: dict[str, str]) -> None:
    found = findings(sheet(tmp_path, waiver(**where)))
    assert [(one.rule, one.level, one.waived) for one in found] == [
        ("step-painted", "warning", None),
        ("waiver-unused", "note", None),
    ]


def test_a_waiver_without_a_reason_is_an_error(tmp_path: Path) -> None:
    for reason in ({"reason": '" "'}, {}):
        text = waiver(**reason) if reason else '[[waivers]]\nrule = "step-painted"\n'
        found = findings(sheet(tmp_path, text))
        assert [(one.rule, one.level) for one in found] == [
            ("waiver-faulty", "error"),
            ("step-painted", "warning"),
        ]
        assert found[1].waived is None


def test_an_unknown_rule_is_an_error_that_names_the_nearest(tmp_path: Path) -> None:
    faulty, found = findings(sheet(tmp_path, waiver(rule='"step-paintd"')))
    assert (faulty.rule, faulty.level) == ("waiver-faulty", "error")
    assert "step-painted" in faulty.hint
    assert found.waived is None


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[[waivers]\n", "TOML"),
        ("waivers = 3\n", "waivers"),
        ("[[waiver]]\nrule = 'a'\n", "waiver"),
        (waiver(layr='"Kiss cut"'), "'layer'"),
        (waiver(page='"one"'), "page"),
        (waiver(at="[25, 20]"), "unit"),
        (waiver(at='["25 mm"]'), "at"),
        (waiver(within="3"), "unit"),
        (waiver(page="7"), "page 7"),
        (waiver(rule="7"), "rule"),
        ("[[waivers]]\nrule = 'x'\n" + "#" * 1_000_001, "larger"),
    ],
)
def test_what_cannot_be_understood_is_an_error_and_waives_nothing(
    tmp_path: Path, text: str, told: str
) -> None:
    found = findings(sheet(tmp_path, text))
    assert [one.rule for one in found] == ["waiver-faulty", "step-painted"]
    assert told in found[0].message + found[0].hint
    assert found[1].waived is None


def test_bytes_that_are_no_text_are_an_error(tmp_path: Path) -> None:
    path = sheet(tmp_path, "")
    (tmp_path / "sheet.waivers.toml").write_bytes(b"\xff\xfe[[waivers]]")
    assert [one.rule for one in findings(path)] == ["waiver-faulty", "step-painted"]


def test_an_empty_file_says_nothing(tmp_path: Path) -> None:
    assert [one.rule for one in findings(sheet(tmp_path, "# none so far\n"))] == ["step-painted"]


def test_a_waiver_of_a_rule_that_does_not_judge_is_not_looked_at(tmp_path: Path) -> None:
    path = sheet(tmp_path, waiver())
    engine = Engine(Profile.default(), PLUGINS, ignore=["step-painted"])
    assert list(engine.check_file(path).report.findings()) == []


def test_pages_are_told_apart(tmp_path: Path) -> None:
    path = sheet(tmp_path, waiver(page="2"))
    with pikepdf.open(path, allow_overwriting_input=True) as pdf:
        pdf.pages.append(pdf.pages[0])
        pdf.save(path)
    found = findings(path)
    assert [(one.page, one.waived is None) for one in found] == [(1, True), (2, False)]
    (tmp_path / "sheet.waivers.toml").write_text(waiver(), encoding="utf-8")
    assert [(one.page, one.waived is None) for one in findings(path)] == [(1, False), (2, False)]
    unused = waiver() + waiver(rule='"contour-open"', page="2")
    (tmp_path / "sheet.waivers.toml").write_text(unused, encoding="utf-8")
    assert [(one.page, one.rule) for one in findings(path)][1:] == [(2, "step-painted"), (2, "waiver-unused")]


def test_svg_can_be_waived_from_beside_too(tmp_path: Path) -> None:
    (found,) = findings(sheet(tmp_path, waiver(), RULES / "step-painted" / "near-fail-width.svg"))
    assert found.waived == "the tea room wants it so"


def test_every_report_shows_it_and_it_does_not_count(tmp_path: Path) -> None:
    path = sheet(tmp_path, waiver())
    page, data = tmp_path / "report.html", tmp_path / "report.json"
    done = CliRunner().invoke(
        main, ["check", str(path), "--fail-on", "warning", "--report", str(page), "--report", str(data)]
    )
    assert done.exit_code == 0
    assert "Because: the tea room wants it so" in done.stdout
    told = json.loads(data.read_text("utf-8"))
    assert told["counts"]["waived"] == 1
    assert told["counts"]["warning"] == 0
    assert told["files"][0]["pages"][0]["findings"][0]["waived"] == "the tea room wants it so"
    html = page.read_text("utf-8")
    assert "<dt>Waived because</dt><dd>the tea room wants it so</dd>" in html
