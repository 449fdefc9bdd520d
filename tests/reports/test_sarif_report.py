"""The SARIF report: by the OASIS schema, by a validator of others, and by what it says."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any
from urllib.parse import unquote_to_bytes, urlsplit

import jsonschema
import msgspec
import pytest
from failed_reports import checked
from hostile_reports import NAMES, hostile_report
from report_samples import TOOL, gap, report_of

from preflight.engine import Engine
from preflight.profile import Profile
from preflight.reports.report import FileReport, PageReport, PluginUse, Report, RuleOff, Tool
from preflight.reports.sarif import SarifRenderer
from preflight.rule import ObjectReference, Rule

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "fixtures" / "demo"

PROGRAMS = {
    "linux": "linux/Sarif.Multitool",
    "darwin": "darwin/Sarif.Multitool",
    "win32": "win32/Sarif.Multitool.exe",
}


def rendered(report: Report, rules: dict[str, type[Rule]] | None = None) -> bytes:
    return SarifRenderer(rules).render(report, lambda path: ())


def run_of(report: Report, rules: dict[str, type[Rule]] | None = None) -> dict[str, Any]:
    (run,) = json.loads(rendered(report, rules))["runs"]
    return dict(run)


@pytest.fixture(scope="module")
def schema(npm_package: Callable[[str], Path]) -> dict[str, Any]:
    """The OASIS schema of SARIF 2.1.0, as the SARIF Multitool (MIT) brings it."""
    folder = npm_package(f"@microsoft/sarif-multitool-{sys.platform}")
    return dict(json.loads((folder / "sarif-2.1.0.json").read_text("utf-8-sig")))


@pytest.fixture(scope="module")
def demo() -> tuple[Report, dict[str, type[Rule]]]:
    engine = Engine(Profile.default())
    names = ("faulty.svg", "faulty.pdf", "clean.svg", "absent.svg")
    return engine.report([engine.check_file(DEMO / name, name) for name in names]), engine.plugins.rules


def test_every_report_satisfies_the_oasis_schema(
    schema: dict[str, Any],
    everything: Report,
    clean: Report,
    demo: tuple[Report, dict[str, type[Rule]]],
    tmp_path: Path,
) -> None:
    validator = jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker())
    failed, plugins = checked(tmp_path, waivers=True)
    for report, rules in (
        (everything, {}),
        (clean, {}),
        (report_of(), {}),
        (hostile_report(), {}),
        (failed, plugins.rules),
        demo,
    ):
        validator.validate(json.loads(rendered(report, rules)))


def test_the_schema_refuses_a_wrong_level(schema: dict[str, Any], everything: Report) -> None:
    log = json.loads(rendered(everything))
    log["runs"][0]["results"][0]["level"] = "fatal"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema).validate(log)


def test_a_validator_of_others_finds_no_error(
    npm_package: Callable[[str], Path], demo: tuple[Report, dict[str, type[Rule]]], tmp_path: Path
) -> None:
    """Source: the rules of the SARIF Multitool 5.7.0 (MIT), of the standard itself and of GitHub's ingestion."""
    program = npm_package("@microsoft") / f"sarif-multitool-{PROGRAMS[sys.platform]}"
    program.chmod(program.stat().st_mode | 0o100)  # npm ci --ignore-scripts leaves it as it was packed
    failed, plugins = checked(tmp_path, waivers=True)
    logs = {
        "demo": rendered(*demo),
        "failed": rendered(failed, plugins.rules),
        "hostile": rendered(hostile_report(), demo[1]),
        "empty": rendered(report_of(), demo[1]),
    }
    environment = {**os.environ, "DOTNET_SYSTEM_GLOBALIZATION_INVARIANT": "1", "HOME": str(tmp_path)}
    words = ["--rule-kind", "Sarif;Ghas", "--log", "ForceOverwrite", "--quiet", "--level", "Error;Warning"]
    for name, log in logs.items():
        path, answer = tmp_path / f"{name}.sarif", tmp_path / f"{name}.answer"
        path.write_bytes(log)
        done = subprocess.run(
            [program, "validate", path, "--output", answer, *words],
            capture_output=True,
            text=True,
            timeout=300,
            env=environment,
        )
        assert done.returncode == 0, done.stdout
        (run,) = json.loads(answer.read_text("utf-8-sig"))["runs"]
        assert run["invocations"][0]["executionSuccessful"]
        errors = [one for one in run.get("results", ()) if one.get("level", "warning") == "error"]
        assert errors == [], (name, errors[:3])


def test_the_validator_of_others_tells_errors(
    npm_package: Callable[[str], Path], everything: Report, tmp_path: Path
) -> None:
    program = npm_package("@microsoft") / f"sarif-multitool-{PROGRAMS[sys.platform]}"
    program.chmod(program.stat().st_mode | 0o100)
    log = json.loads(rendered(everything))
    log["runs"][0]["results"][0]["ruleIndex"] = 99
    (tmp_path / "wrong.sarif").write_text(json.dumps(log))
    subprocess.run(
        [program, "validate", tmp_path / "wrong.sarif", "--output", tmp_path / "answer", "--quiet"],
        capture_output=True,
        timeout=300,
        env={**os.environ, "DOTNET_SYSTEM_GLOBALIZATION_INVARIANT": "1", "HOME": str(tmp_path)},
    )
    (run,) = json.loads((tmp_path / "answer").read_text("utf-8-sig"))["runs"]
    assert any(one.get("level") == "error" for one in run["results"])


def walk(value: Any) -> Any:
    """Every object of a log."""
    if isinstance(value, dict):
        yield value
    for one in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from walk(one)


def test_what_the_schema_requires_is_there(demo: tuple[Report, dict[str, type[Rule]]]) -> None:
    """Source: sarif-schema-2.1.0.json, oasis-tcs/sarif-spec@e058381, the lists of required properties; without the npm package, too."""
    log = json.loads(rendered(*demo))
    assert log["version"] == "2.1.0"
    for run in log["runs"]:
        assert run["tool"]["driver"]["name"]
        assert all(rule["id"] for rule in run["tool"]["driver"]["rules"])
        assert all({"text"} <= result["message"].keys() for result in run["results"])
        assert all("executionSuccessful" in one for one in run["invocations"])
    for one in walk(log):
        for location in (one["physicalLocation"],) if "physicalLocation" in one else ():
            assert "artifactLocation" in location or "address" in location
            assert location.get("region", {"startLine": 1})["startLine"] >= 1
        if "suppressions" in one:
            assert all(given["kind"] in {"inSource", "external"} for given in one["suppressions"])
        assert one.get("level", "none") in {"none", "note", "warning", "error"}


def test_the_counts_come_back(everything: Report, demo: tuple[Report, dict[str, type[Rule]]]) -> None:
    for report, rules in ((everything, {}), demo, (hostile_report(), {})):
        run = run_of(report, rules)
        results = [one for one in run["results"] if one["ruleId"] != "unreadable"]
        known = [
            one for one in results if one.get("baselineState") == "unchanged" and not one["suppressions"]
        ]
        levels = Counter(one["level"] for one in results if not one["suppressions"] and one not in known)
        told = [one["descriptor"]["id"] for one in run["invocations"][0]["toolExecutionNotifications"]]
        counts = report.counts
        assert (levels["error"], levels["warning"], levels["note"]) == (
            counts.error,
            counts.warning,
            counts.note,
        )
        assert (sum(bool(one["suppressions"]) for one in results), len(known)) == (
            counts.waived,
            counts.known,
        )
        assert len(run["results"]) - len(results) == counts.unreadable == told.count("unreadable")
        assert told.count("not-checked") == counts.not_checked
        assert run["properties"]["counts"] == msgspec.to_builtins(counts)


def test_each_result_names_its_rule_place_measure_and_fingerprint(everything: Report) -> None:
    run = run_of(everything)
    first = run["results"][0]
    assert first["ruleId"] == run["tool"]["driver"]["rules"][first["ruleIndex"]]["id"] == "contour-open"
    (location,) = first["locations"]
    artifact = location["physicalLocation"]["artifactLocation"]
    assert artifact == {"uri": "ferry.svg", "uriBaseId": "%SRCROOT%", "index": 0}
    assert location["physicalLocation"]["region"] == {"startLine": 12}
    assert location["logicalLocations"] == [
        {"name": "cut-3", "kind": "element"},
        {"name": "Kiss cut", "kind": "layer"},
    ]
    assert first["properties"] == {
        "page": 1,
        "measured": {"value": 0.3, "limit": 0.01, "unit": "mm"},
        "boundsMm": [12.34, 45.61, 12.64, 45.61],
        "pointsMm": [[12.34, 45.61], [12.64, 45.61]],
    }
    assert first["partialFingerprints"]["artworkPreflight/v1"] == "ab" * 16
    assert "originalUriBaseIds" in run
    assert run["artifacts"][0]["hashes"] == {"sha-256": "0" * 64}


def test_a_page_of_a_pdf_is_a_place() -> None:
    findings = (gap(objects=(ObjectReference("p2 op 4", "Kiss cut", "path"),), page=2),)
    pages = tuple(PageReport(number=n, size_mm=(9, 9), findings=findings if n == 2 else ()) for n in (1, 2))
    file = FileReport(path="a.pdf", sha256="0" * 64, format="pdf", status="checked", pages=pages)
    (result,) = run_of(report_of(file))["results"]
    (location,) = result["locations"]
    assert {"name": "page 2", "kind": "page"} in location["logicalLocations"]
    assert "region" not in location["physicalLocation"]
    assert "page 2" in result["message"]["text"]


def test_other_objects_are_related_locations() -> None:
    two = (ObjectReference("a", "Art", "path", 3), ObjectReference("b", "Cut", "path", 8))
    page = PageReport(number=1, size_mm=(9, 9), findings=(gap(objects=two),))
    file = FileReport(path="a.svg", sha256="0" * 64, format="svg", status="checked", pages=(page,))
    (result,) = run_of(report_of(file))["results"]
    assert result["locations"][0]["physicalLocation"]["region"]["startLine"] == 3
    (other,) = result["relatedLocations"]
    assert (other["id"], other["physicalLocation"]["region"]["startLine"]) == (1, 8)


def test_waived_findings_are_suppressed_where_the_waiver_stands(tmp_path: Path) -> None:
    report, plugins = checked(tmp_path, waivers=True)
    run = run_of(report, plugins.rules)
    found = [one["suppressions"] for one in run["results"] if one["ruleId"] == "contour-open"]
    assert sorted((one["kind"], one["justification"]) for (one,) in found) == [
        ("external", "the ferry's gangway stays open"),
        ("inSource", "slit for the string"),
    ]
    # SARIF 2.1.0, 3.27.23: either all results of a run have the property or none has.
    assert all("suppressions" in one for one in run["results"])


def test_a_run_held_against_a_baseline_says_so_of_every_result(everything: Report, clean: Report) -> None:
    run = run_of(everything)
    states = {one["ruleId"]: one["baselineState"] for one in run["results"]}
    assert [rule for rule, state in states.items() if state != "new"] == ["corner-tight"]
    told = {one["descriptor"]["id"]: one for one in run["invocations"][0]["toolConfigurationNotifications"]}
    assert "1 is no longer found" in told["baseline"]["message"]["text"]
    assert not [one for one in run_of(hostile_report())["results"] if "baselineState" in one]


def test_a_broken_rule_and_an_unreadable_file_fail_the_run(tmp_path: Path) -> None:
    report, plugins = checked(tmp_path)
    run = run_of(report, plugins.rules)
    (invocation,) = run["invocations"]
    assert not invocation["executionSuccessful"]
    loud = [one for one in invocation["toolExecutionNotifications"] if one["level"] == "error"]
    assert sorted(one["descriptor"]["id"] for one in loud) == ["rule-failed", "unreadable"]
    (broken,) = [one for one in loud if "associatedRule" in one]
    rule = run["tool"]["driver"]["rules"][broken["associatedRule"]["index"]]
    assert rule["id"] == broken["associatedRule"]["id"] == "house-breaks"
    levels = {one["ruleId"]: one["level"] for one in run["results"]}
    assert levels["rule-failed"] == levels["unreadable"] == "error"
    # SARIF 2.1.0, 3.11.5: braces are doubled, and (3.11.6) nothing of a file's may read like a link.
    assert "[cold] (x) {{0}}" in broken["message"]["text"]


def test_a_clean_file_succeeds_and_is_named(clean: Report) -> None:
    run = run_of(clean)
    assert run["results"] == []
    assert run["invocations"][0]["executionSuccessful"]
    assert [one["location"]["uri"] for one in run["artifacts"]] == ["clean.svg"]


def test_a_file_named_in_two_ways_is_one_artifact() -> None:
    unread = [
        FileReport(path=path, sha256=None, format=None, status="unreadable", reason="torn")
        for path in ("a.svg", "b.svg", "a.svg", "c.svg")
    ]
    run = run_of(report_of(*unread))
    assert [one["location"]["uri"] for one in run["artifacts"]] == ["a.svg", "b.svg", "c.svg"]
    places = [one["locations"][0]["physicalLocation"]["artifactLocation"]["index"] for one in run["results"]]
    assert places == [0, 1, 0, 2]


def test_an_empty_report_has_a_run() -> None:
    run = run_of(report_of())
    assert (run["results"], run["artifacts"]) == ([], [])


def test_rules_have_their_pages_and_what_the_profile_changed(tmp_path: Path) -> None:
    report, plugins = checked(tmp_path)
    run = run_of(report, plugins.rules)
    rules = {one["id"]: one for one in run["tool"]["driver"]["rules"]}
    assert set(plugins.rules) == set(rules)
    tight = rules["corner-tight"]
    assert tight["defaultConfiguration"]["level"] == "warning"
    assert tight["defaultConfiguration"]["parameters"]["least_radius"] == "0.5 mm"
    assert "0.7 mm" in tight["help"]["text"]
    assert "## How to mend it" in tight["help"]["markdown"]
    assert tight["properties"]["tags"] == ["contours"]
    overrides = {
        one["descriptor"]["id"]: one["configuration"]
        for one in run["invocations"][0]["ruleConfigurationOverrides"]
    }
    assert overrides == {
        "corner-tight": {"level": "note", "parameters": {"least_radius": "0.7 mm"}},
        "node-excess": {"enabled": False},
    }
    for (
        rule
    ) in rules.values():  # GitHub Docs, "SARIF support for code scanning": 1024 characters, and no empty text
        assert 0 < len(rule["shortDescription"]["text"]) <= 1024
        assert 0 < len(rule["fullDescription"]["text"]) <= 1024
        assert rule["help"]["text"]


@pytest.mark.parametrize("everywhere", [True, False])
def test_rules_left_out_are_told_with_their_cause(everywhere: bool) -> None:
    off = RuleOff(rule="corner-tight", because="override", reason="cut years ago")
    page = PageReport(number=1, size_mm=(9, 9))
    files = [
        FileReport(
            path=f"{n}.svg", sha256=None, format="svg", status="checked", rules_off=given, pages=(page,)
        )
        for n, given in enumerate([(off,), (off,) if everywhere else ()])
    ]
    (invocation,) = run_of(report_of(*files))["invocations"]
    (told,) = invocation["toolConfigurationNotifications"]
    assert told["associatedRule"]["id"] == "corner-tight"
    assert "cut years ago" in told["message"]["text"]
    assert ("locations" in told) is not everywhere
    overridden = {one["descriptor"]["id"] for one in invocation["ruleConfigurationOverrides"]}
    assert ("corner-tight" in overridden) is everywhere


def test_a_plugin_is_an_extension_with_its_own_rules(everything: Report) -> None:
    class Shop(Rule):
        """A rule of a plug-in."""

        id = "shop-rule"

    Shop.__module__ = "shop_floor_checks.sizes"
    Shop.__doc__ = "Says something.\n\n" + "\n\n".join(
        f"{heading}\n{'-' * len(heading)}\nText."
        for heading in ("What it finds", "Why it matters", "Known limits", "How to mend it")
    )
    plugins = (*TOOL.plugins, PluginUse("another", "3"), PluginUse("shop-floor-checks", "1.2.0"))
    page = PageReport(number=1, size_mm=(9, 9), findings=(gap(rule="shop-rule"), gap()))
    file = FileReport(path="a.svg", sha256=None, format="svg", status="checked", pages=(page,))
    report = msgspec.structs.replace(report_of(file), tool=Tool("artwork-preflight", "0.1.0", plugins))
    run = run_of(report, {"shop-rule": Shop})
    assert [(one["name"], one["version"]) for one in run["tool"]["extensions"]] == [
        ("another", "3"),
        ("shop-floor-checks", "1.2.0"),
    ]
    assert [one["id"] for one in run["tool"]["extensions"][1]["rules"]] == ["shop-rule"]
    assert "shop-rule" not in {one["id"] for one in run["tool"]["driver"]["rules"]}
    ours, theirs = run["results"][1], run["results"][0]
    assert "rule" not in ours
    assert theirs["rule"] == {
        "id": "shop-rule",
        "index": 0,
        "toolComponent": {"name": "shop-floor-checks", "index": 1},
    }
    assert "ruleIndex" not in theirs


def test_the_installed_built_in_plugins_are_no_extensions(demo: tuple[Report, dict[str, type[Rule]]]) -> None:
    report, rules = demo
    own = {one.name for one in report.tool.plugins if one.version == report.tool.version}
    assert own
    told = {one["name"] for one in run_of(report, rules)["tool"].get("extensions", ())}
    assert not told & {"preflight_formats", "preflight_rules"}
    assert set(rules) <= {one["id"] for one in run_of(report, rules)["tool"]["driver"]["rules"]} | {
        id_ for id_, rule in rules.items() if not rule.__module__.startswith("preflight_rules")
    }


def test_uris_are_valid_and_lead_back_to_the_name() -> None:
    report = hostile_report()
    locations = [one["location"] for one in run_of(report)["artifacts"]]
    for location in locations:
        assert location["uri"].isascii()
        assert not set(location["uri"]) & set(' "<>\\^`{|}')  # RFC 3986, 2: not in a URI
        scheme = urlsplit(location["uri"]).scheme
        assert scheme == ("" if "uriBaseId" in location else "file")
    relative = {unquote_to_bytes(one["uri"]) for one in locations if "uriBaseId" in one}
    absolute = {name for name in NAMES if name.startswith(("/", "\\", "C:"))}
    assert {os.fsencode(name) for name in NAMES if name not in absolute and "\ud800" not in name} <= relative


def test_no_text_holds_what_could_steer_a_viewer() -> None:
    for one in walk(run_of(hostile_report())):
        for value in one.values():
            if isinstance(value, str):
                assert not set(value) & set("\x00\x07\x1b\u202e\u2028\u2066")


def test_the_same_report_gives_the_same_bytes(everything: Report) -> None:
    assert rendered(everything) == rendered(everything)
    assert rendered(everything).endswith(b"}\n")
