"""The engine: whose fault is whose, levels and overrides, order and fingerprints."""

from __future__ import annotations

import gc
import weakref
from collections.abc import Iterable
from pathlib import Path

import msgspec
import pytest

from preflight.engine import Engine
from preflight.in_force import ChoiceError
from preflight.job import Job
from preflight.plugins import Plugins
from preflight.profile import Profile, ProfileError, load
from preflight.readers.limits import Limits
from preflight.readers.svg.reader import SvgReader
from preflight.rule import Finding, Level, Rule

DEMO = Path(__file__).parents[1] / "fixtures" / "demo"

SHEET = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<rect x="2" y="2" width="56" height="36" fill="#f4a261"/>
<g id="Kiss_Cut" fill="none" stroke="#000" stroke-width="0.1">
<path d="M10 10H25V30H10V11"/><path d="M35 10H50V30H35V12"/></g></svg>"""


class Failing(Rule):
    """A rule with a bug."""

    id = "always-fails"

    def check(self, job: Job) -> Iterable[Finding]:
        raise ZeroDivisionError("division by zero")


def engine(tmp_path: Path, toml: str = "", **more: list[str]) -> Engine:
    (tmp_path / "preflight.toml").write_text(toml)
    return Engine(load(tmp_path), **more)


def findings(checker: Engine, data: str = SHEET, name: str = "sheet.svg") -> tuple[Finding, ...]:
    return checker.check_bytes(data.encode(), name).report.pages[0].findings


def test_findings_come_worst_first_then_by_place(tmp_path: Path) -> None:
    found = findings(engine(tmp_path))
    assert [one.rule for one in found] == ["contour-open", "contour-open"]
    assert [one.bounds_mm[0] for one in found if one.bounds_mm] == [10.0, 35.0]


def test_the_profile_sets_the_level_of_a_rule_and_of_a_step(tmp_path: Path) -> None:
    by_rule = findings(engine(tmp_path, '[rules.contour-open]\nlevel = "note"'))
    by_step = findings(engine(tmp_path, '[steps.PartialCutting]\nlevel = "warning"'))
    assert {one.level for one in by_rule} == {Level.NOTE}
    assert {one.level for one in by_step} == {Level.WARNING}


def test_a_rule_switched_off_finds_nothing(tmp_path: Path) -> None:
    assert findings(engine(tmp_path, '[rules.contour-open]\nlevel = "off"')) == ()
    assert findings(engine(tmp_path, ignore=["contour-open"])) == ()


def test_an_override_holds_for_its_files_only(tmp_path: Path) -> None:
    checker = engine(
        tmp_path,
        '[[overrides]]\nfiles = ["old-*.svg"]\nrules = ["contour-open"]\nreason = "plotted by hand"',
    )
    assert findings(checker, name="old-season.svg") == ()
    assert len(findings(checker, name="new-season.svg")) == 2


@pytest.mark.parametrize("toml", ["[rules.contour-opne]", "[rules.contour-open]\nclosed_within = 3"])
def test_rule_tables_that_mean_nothing_are_refused(tmp_path: Path, toml: str) -> None:
    with pytest.raises(ProfileError, match="contour-open"):
        engine(tmp_path, toml)


def test_a_failing_rule_is_told_apart_and_hides_nothing(tmp_path: Path) -> None:
    plugins = Plugins()
    plugins.rules[Failing.id] = Failing
    report = Engine(Profile.default(), plugins).check_bytes(SHEET.encode(), "sheet.svg").report
    rules = [one.rule for one in report.findings()]
    assert sorted(rules) == ["contour-open", "contour-open", "rule-failed"]
    (failed,) = [one for one in report.findings() if one.rule == "rule-failed"]
    assert "always-fails" in failed.message


def test_fingerprints_hold_through_a_move_and_an_unrelated_edit(tmp_path: Path) -> None:
    edited = SHEET.replace("<rect", '<circle cx="5" cy="5" r="2" fill="#264653"/><rect').replace("\n", "\n\n")
    before = findings(engine(tmp_path), name="a.svg")
    after = findings(engine(tmp_path), edited, name="moved/b.svg")
    assert [one.fingerprint for one in before] == [one.fingerprint for one in after]
    assert len({one.fingerprint for one in before}) == 2


def test_what_is_not_modelled_is_said(tmp_path: Path) -> None:
    filtered = SHEET.replace(
        "<rect", '<filter id="f"><feGaussianBlur stdDeviation="1"/></filter><rect filter="url(#f)"'
    )
    page = engine(tmp_path).check_bytes(filtered.encode(), "sheet.svg").report.pages[0]
    assert any("filter" in one.what for one in page.not_checked)


def test_a_curve_too_large_to_be_followed_exactly_is_said(tmp_path: Path) -> None:
    large = SHEET.replace("</svg>", '<path id="kiss cut" d="M0 0C9e4 0 0 9e4 10 10z"/></svg>')
    page = engine(tmp_path).check_bytes(large.encode(), "sheet.svg").report.pages[0]
    unsure = [one for one in page.not_checked if one.what == "size of a curve"]
    assert [(one.kind, one.object and one.object.ref) for one in unsure] == [("not-modelled", "kiss cut")]


def test_production_counts_pieces_contours_and_length(tmp_path: Path) -> None:
    sheet = SHEET.replace("V11", "z").replace("V12", "z")
    (step,) = engine(tmp_path).check_bytes(sheet.encode(), "s.svg").report.pages[0].production.steps
    assert (step.step, step.pieces, step.contours) == ("PartialCutting", 2, 2)
    assert step.cut_length_mm == pytest.approx(2 * (15 + 20) * 2, abs=0.01)


def test_the_report_says_which_rules_judged_with_which_values(tmp_path: Path) -> None:
    toml = """[rules.contour-open]
closed_within = "0.02 mm"
[rules.node-excess]
level = "off"
[[overrides]]
files = ["old-*.svg"]
rules = ["corner-tight"]
reason = "cut on the old machine"
"""
    checker = engine(tmp_path, toml, ignore=["step-order"])
    old, new = (checker.check_bytes(SHEET.encode(), name) for name in ("old-a.svg", "new-a.svg"))
    assert [(one.rule, one.because, one.reason) for one in old.report.rules_off] == [
        ("corner-tight", "override", "cut on the old machine"),
        ("node-excess", "profile", None),
        ("step-order", "ignored", None),
    ]
    assert [one.rule for one in new.report.rules_off] == ["node-excess", "step-order"]
    report = checker.report([old, new])
    uses = {one.id: one for one in report.rules}
    assert "unreadable" not in uses
    assert uses["node-excess"].level == "off"
    assert uses["contour-open"].level == "error"
    (setting, *_) = uses["contour-open"].settings
    assert (setting.name, setting.value, setting.default) == ("closed_within", "0.02 mm", "0.01 mm")


def test_a_selection_leaves_the_rest_off(tmp_path: Path) -> None:
    report = engine(tmp_path, select=["contour-open"]).check_bytes(SHEET.encode(), "a.svg").report
    assert {one.because for one in report.rules_off} == {"not selected"}
    assert "contour-open" not in {one.rule for one in report.rules_off}


@pytest.mark.parametrize("way", ["select", "ignore"])
def test_what_is_always_reported_can_be_neither_selected_nor_ignored(tmp_path: Path, way: str) -> None:
    with pytest.raises(ChoiceError, match="rule-failed"):
        engine(tmp_path, **{way: ["rule-failed"]})


@pytest.mark.parametrize(
    "toml",
    [
        '[rules.unreadable]\nlevel = "note"',
        '[[overrides]]\nfiles = ["*"]\nrules = ["not-checked"]\nreason = "noise"',
    ],
)
def test_the_profile_cannot_hush_what_is_always_reported(tmp_path: Path, toml: str) -> None:
    with pytest.raises(ProfileError, match="always reported"):
        engine(tmp_path, toml)


@pytest.mark.parametrize(
    ("change", "kind"),
    [
        (("<rect", '<rect style="mix-blend-mode:multiply"'), "not-modelled"),
        (("H25V30", "H25V30 oops"), "fault"),
        ((' width="60mm" height="40mm"', ""), "assumed"),
    ],
)
def test_kinds_of_what_was_not_checked_are_a_field(
    tmp_path: Path, change: tuple[str, str], kind: str
) -> None:
    page = engine(tmp_path).check_bytes(SHEET.replace(*change).encode(), "a.svg").report.pages[0]
    assert kind in {one.kind for one in page.not_checked}


def waiving(text: str, place: str = '<path d="M10') -> str:
    quoted = text.replace('"', "&quot;")
    return SHEET.replace(place, place.replace(" ", f' data-preflight-waive="{quoted}" ', 1))


def told(page: str, tmp_path: Path, **more: list[str]) -> list[tuple[str, str, str | None]]:
    return [(one.rule, one.level.value, one.waived) for one in findings(engine(tmp_path, **more), page)]


def test_a_waiver_marks_the_findings_of_its_rule_on_its_object_only(tmp_path: Path) -> None:
    page = waiving("contour-open: slit for the string")
    assert told(page, tmp_path) == [
        ("contour-open", "error", "slit for the string"),
        ("contour-open", "error", None),
    ]
    report = engine(tmp_path).report([engine(tmp_path).check_bytes(page.encode(), "a.svg")])
    assert (report.counts.error, report.counts.waived) == (1, 1)


def test_a_waiver_on_a_group_covers_what_is_in_it(tmp_path: Path) -> None:
    page = waiving("contour-open: slits", '<g id="Kiss_Cut"')
    assert [waived for _, _, waived in told(page, tmp_path)] == ["slits", "slits"]


def test_a_step_level_leaves_waivers_alone(tmp_path: Path) -> None:
    checker = engine(tmp_path, '[steps.PartialCutting]\nlevel = "note"')
    found = findings(checker, waiving("contour-open"))
    assert [(one.rule, one.level) for one in found] == [
        ("waiver-faulty", Level.ERROR),
        ("contour-open", Level.NOTE),
        ("contour-open", Level.NOTE),
    ]


def test_a_waiver_of_another_rule_waives_nothing_and_is_noted_as_unused(tmp_path: Path) -> None:
    page = waiving("corner-tight: cut by hand")
    assert told(page, tmp_path) == [
        ("contour-open", "error", None),
        ("contour-open", "error", None),
        ("waiver-unused", "note", None),
    ]
    assert "waiver-unused" not in {rule for rule, _, _ in told(page, tmp_path, ignore=["corner-tight"])}


@pytest.mark.parametrize(
    "text",
    [
        "contour-open",
        "contour-open:",
        "contour-open:  ",
        "contour-opne: slit",
        "",
        "slit",
        "rule-failed: known",
    ],
)
def test_a_waiver_without_a_reason_or_rule_is_an_error_and_waives_nothing(tmp_path: Path, text: str) -> None:
    assert told(waiving(text), tmp_path) == [
        ("contour-open", "error", None),
        ("contour-open", "error", None),
        ("waiver-faulty", "error", None),
    ]


def test_pictures_are_made_within_the_limits_of_the_profile(tmp_path: Path) -> None:
    asked: list[tuple[int, Limits]] = []

    class Watched(SvgReader):
        """Keeps what it is asked for."""

        def picture(self, data: bytes, page: int, limits: Limits) -> str | None:
            asked.append((page, limits))
            return super().picture(data, page, limits)

    checked = engine(tmp_path, '[limits]\ndecompressed_size = "3 MB"').check_bytes(
        SHEET.encode(), "sheet.svg"
    )
    (drawn,) = msgspec.structs.replace(checked, reader=Watched()).drawings()
    assert [(page, limits.decompressed_size) for page, limits in asked] == [(1, 3_000_000)]
    assert drawn.picture is not None


@pytest.mark.parametrize(("each", "with_pictures"), [(0.4, 20), (5.0, 7)])
def test_pages_beyond_what_slow_pictures_may_take_have_none(
    each: float, with_pictures: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = 0.0

    class Slow(SvgReader):
        """Takes its time."""

        def picture(self, data: bytes, page: int, limits: Limits) -> str | None:
            nonlocal now
            now += each
            return super().picture(data, page, limits)

    monkeypatch.setattr("preflight.engine.time.monotonic", lambda: now)
    checked = engine(tmp_path, "[limits]\nseconds = 30").check_bytes(SHEET.encode(), "sheet.svg")
    drawn = msgspec.structs.replace(checked, reader=Slow(), jobs=checked.jobs * 20).drawings()
    assert [one.picture is not None for one in drawn] == [page < with_pictures for page in range(20)]


def test_nothing_of_a_file_outlives_what_was_asked_about_it() -> None:
    """An audit checks thousands of files in one process: what one of them leaves behind is multiplied."""
    checker = Engine(Profile.default())
    for demo in ("faulty.svg", "faulty.pdf", "summer-season.svg"):
        checked = checker.check_file(DEMO / demo)
        assert checked.report.status == "checked"
        checked.drawings()
        left = [weakref.ref(job) for job in checked.jobs]
        del checked
        gc.collect()
        assert [one() for one in left] == [None]
