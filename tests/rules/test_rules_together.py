"""What no single file shows: rules that leave things to each other, and hints that are true."""

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from preflight.engine import Engine, check_bytes, check_file
from preflight.plugins import Plugins
from preflight.profile import Override, Profile, RuleChoice, Step
from preflight.rule import Finding
from preflight.testing import FORMATS

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


@pytest.mark.parametrize(
    "steps",
    [
        Profile.default().steps,
        {"PartialCutting": Step(("Harbour line",)), "Cutting": Step(("die line",))},
        {"PartialCutting": Step(()), "Cutting": Step(("die line",))},
        {"Perforating": Step(())},
    ],
    ids=["default", "names replaced", "no kiss-cut names", "no names at all"],
)
def test_the_name_that_mends_a_missing_step_is_one_in_force(steps: dict[str, Step]) -> None:
    """And a layer named “Kiss cut” mends nothing where the profile replaced that name."""
    profile = replace(Profile.default(), steps=steps)
    (finding,) = check_bytes(sheet(FRAME), "bare.svg", profile, PLUGINS).findings()
    assert finding.rule == "step-missing"
    match = re.search("such as “(.+?)”", finding.hint)
    assert match is not None
    mended = sheet(cuts(match[1], SQUARE))
    rules = [one.rule for one in check_bytes(mended, "mended.svg", profile, PLUGINS).findings()]
    assert "step-missing" not in rules
    kiss_cut = check_bytes(sheet(cuts("Kiss cut", SQUARE)), "kiss.svg", profile, PLUGINS).findings()
    known = "kiss cut" in (name for step in steps.values() for name in step.names)
    assert ("step-missing" in [one.rule for one in kiss_cut]) is not known


def twin_hint(*layers: str) -> str:
    """How step-printed says to mend a line on the layer “Edge” in the colour of the cut layers given."""
    page = sheet(FRAME, cuts("Edge", "M3 3H57V37H3Z"), *layers)
    report = check_bytes(page, "twin.svg", Profile.default(), PLUGINS)
    (hint,) = (one.hint for one in report.findings() if one.rule == "step-printed")
    return hint


def test_a_hidden_cut_is_no_model_for_its_twin() -> None:
    """A line moved to a hidden layer would not be cut either."""
    hidden = cuts("Kiss cut", SQUARE).replace("<g ", '<g style="display:none" ')
    assert "“Kiss cut”" in twin_hint(cuts("Kiss cut", SQUARE))
    hint = twin_hint(hidden, cuts("Through cut", SQUARE))
    assert "“Through cut”" in hint
    assert "Kiss" not in hint
    hint = twin_hint(hidden)
    assert "Kiss" not in hint
    assert "“Edge”" in hint
    assert "[steps.PartialCutting]" in hint


def test_the_layer_named_as_the_hint_says_is_cut() -> None:
    hidden = cuts("Kiss cut", SQUARE).replace("<g ", '<g style="display:none" ')
    page = sheet(FRAME, cuts("Edge", "M3 3H57V37H3Z"), hidden)
    steps = dict(Profile.default().steps)
    steps["PartialCutting"] = Step((*steps["PartialCutting"].names, "Edge"))
    named = replace(Profile.default(), steps=steps)
    assert "step-printed" not in [one.rule for one in check_bytes(page, "a.svg", named, PLUGINS).findings()]


def test_pairs_that_may_cross_are_the_profiles() -> None:
    allowed = RuleChoice(None, {"may_cross": ["PartialCutting + Cutting"]})
    profile = replace(Profile.default(), rules={"contour-crossing": allowed})
    rules = [one.rule for one in found("contour-crossing/fail-steps.svg", profile)]
    assert "contour-crossing" not in rules


def sheet(*lines: str) -> bytes:
    """A page of 60 × 40 mm with the lines given."""
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">'
    return "".join((head, *lines, "</svg>")).encode()


def cuts(step: str, *paths: str) -> str:
    drawn = "".join(f'<path d="{path}" fill="none" stroke="#000" stroke-width="0.1"/>' for path in paths)
    return f'<g id="{step}">{drawn}</g>'


SQUARE = "M10 10H30V30H10Z"
SPECK = "M10 10H11V11"
FRAME = '<rect x="5" y="5" width="50" height="30" fill="#f4a261"/>'
THIN = (
    '<g id="{}"><rect x="4" y="4" width="52" height="32" fill="none" stroke="#0af" stroke-width="0.1"/></g>'
)


def rules_of(page: bytes, **how: object) -> list[str]:
    """Rules that find something: ``off`` in the profile, ``ignore``d, or with ``settings``."""
    tables = {id_: RuleChoice("off", {}) for id_ in how.get("off", ())}  # type: ignore[attr-defined]
    tables |= {id_: RuleChoice(None, raw) for id_, raw in how.get("settings", {}).items()}  # type: ignore[attr-defined]
    engine = Engine(replace(Profile.default(), rules=tables), PLUGINS, ignore=how.get("ignore", ()))  # type: ignore[arg-type]
    return sorted(one.rule for one in engine.check_bytes(page, "a.svg").report.findings())


LEFT_TO_ANOTHER = [
    pytest.param(sheet(cuts("Cutting", SPECK)), "contour-fragment", "contour-open", id="open speck"),
    pytest.param(sheet(cuts("Cutting", SQUARE, SQUARE)), "contour-duplicate", "contour-overlap", id="copy"),
    pytest.param(
        sheet(cuts("Cutting", "M2 2H58V38H2Z"), cuts("PartialCutting", "M50 10H70V30H50Z")),
        "contour-crossing",
        "step-order",
        id="kiss cut across its through cut",
    ),
    pytest.param(sheet(FRAME, THIN.format("Kis Cut")), "step-misspelt", "step-unnamed", id="misspelt"),
    pytest.param(sheet(FRAME, THIN.format("Harbour")), "step-unnamed", "step-missing", id="unnamed"),
    pytest.param(
        sheet(FRAME, cuts("Cutting", "M1 1H3V3H1Z").replace("#000", "#0af"), THIN.format("Harbour")),
        "step-printed",
        "step-unnamed",
        id="twin of a cut",
    ),
]


@pytest.mark.parametrize("way", ["off", "ignore"])
@pytest.mark.parametrize(("page", "speaks", "stands_in"), LEFT_TO_ANOTHER)
def test_a_fault_left_to_a_rule_not_in_force_falls_to_the_next(
    page: bytes, speaks: str, stands_in: str, way: str
) -> None:
    before = rules_of(page)
    after = rules_of(page, **{way: [speaks]})
    assert speaks in before
    assert stands_in not in before
    assert stands_in in after
    assert speaks not in after


def test_an_override_lets_the_next_rule_speak_for_its_files_only() -> None:
    override = Override(("old-*.svg",), ("contour-fragment",), "off", "plotted by hand")
    engine = Engine(replace(Profile.default(), overrides=(override,)), PLUGINS)
    page = sheet(cuts("Cutting", SPECK))
    told = {
        name: [one.rule for one in engine.check_bytes(page, name).report.findings()]
        for name in ("old-a.svg", "new-a.svg")
    }
    assert told == {"old-a.svg": ["contour-open"], "new-a.svg": ["contour-fragment"]}


def test_rules_that_step_back_do_so_by_the_others_own_settings() -> None:
    """A line 0.2 mm wide that step-unnamed is told to pass over is no reason for step-missing to keep still."""
    page = sheet(FRAME, THIN.format("Harbour").replace('"0.1"', '"0.2"'))
    assert rules_of(page) == ["step-unnamed"]
    assert rules_of(page, settings={"step-unnamed": {"thin": "0.1 mm"}}) == ["step-missing"]
    misspelt = sheet(FRAME, THIN.format("Kis Cut"))
    assert rules_of(misspelt) == ["step-misspelt"]
    assert rules_of(misspelt, settings={"step-misspelt": {"least_letters": 9}}) == ["step-unnamed"]


def test_a_missing_cut_is_an_error_whichever_rule_says_so() -> None:
    page = sheet(FRAME, THIN.format("Harbour"))
    noted = replace(Profile.default(), rules={"step-unnamed": RuleChoice("note", {})})
    assert [one.level for one in check_bytes(page, "a.svg", noted, PLUGINS).findings()] == ["error"]
    cut_too = sheet(FRAME, THIN.format("Harbour"), cuts("Cutting", "M1 1H3V3H1Z"))
    assert [one.level for one in check_bytes(cut_too, "a.svg", noted, PLUGINS).findings()] == ["note"]


def test_crossings_on_a_run_nobody_reports_are_reported() -> None:
    """Two edges along each other, slightly aslant: one overlap, or else the place where they cross."""
    page = sheet(cuts("Cutting", "M10 10H30V30H10Z", "M10 9.98L30 10.02V2H10Z"))
    assert rules_of(page) == ["contour-overlap"]
    assert rules_of(page, off=["contour-overlap"]) == ["contour-crossing"]


@pytest.mark.parametrize(
    ("length", "rules", "places"), [(0.9, ["contour-crossing"], 1), (1.0, ["contour-overlap"], None)]
)
def test_contours_that_change_sides_over_an_edge_cross_once_or_overlap(
    length: float, rules: list[str], places: int | None
) -> None:
    """Longer than least_length it is an overlap, shorter a crossing, and never both."""
    edge, other = "M0 20H40", f"M10 10V20H{10 + length}V30"
    found = check_bytes(sheet(cuts("Cutting", edge, f"{other}H45V10Z")), "a.svg", Profile.default(), PLUGINS)
    told = [one for one in found.findings() if one.rule in ("contour-crossing", "contour-overlap")]
    at_edge = [one for one in told if one.points_mm[0] == (10.0, 20.0) or one.rule == "contour-overlap"]
    assert [one.rule for one in at_edge] == rules
    if places is not None and at_edge[0].measured is not None:
        assert at_edge[0].measured.value == places


def test_an_edge_of_a_millimetre_in_pixels_is_an_overlap_wherever_it_is_rounded() -> None:
    """Three edges of 1 mm each, drawn at 96 px to the inch with 3 decimals: 0.9999 mm to 1.0001 mm."""
    scale = 96 / 25.4
    corners = [
        (25, 6),
        (25, 7),
        (30, 7),
        (30, 11),
        (25, 11),
        (25, 12),
        (30, 12),
        (30, 16),
        (25, 16),
        (25, 17),
        (40, 17),
        (40, 6),
    ]
    square = [(5, 5), (25, 5), (25, 25), (5, 25)]
    paths = [
        "M" + "L".join(f"{x * scale:.3f} {y * scale:.3f}" for x, y in one) + "z" for one in (square, corners)
    ]
    page = sheet(cuts("Cutting", *paths)).replace(b'"0 0 60 40"', f'"0 0 {60 * scale} {40 * scale}"'.encode())
    assert rules_of(page) == ["contour-overlap"] * 3


@pytest.mark.parametrize("rule", sorted(id_ for id_, rule in PLUGINS.rules.items() if not rule.by_engine))
def test_a_rule_is_silent_when_switched_off(rule: str) -> None:
    profile = replace(Profile.default(), rules={rule: RuleChoice("off", {})})
    failing = sorted(path for path in (FOLDER / rule).glob("fail*") if path.suffix in FORMATS)
    assert failing
    for path in failing:
        assert rule not in {one.rule for one in check_file(path, profile, PLUGINS).findings()}


def test_a_cut_that_knocks_out_is_reported_once_and_by_the_next_rule_where_the_first_is_off() -> None:
    path = FOLDER / "overprint-lost" / "fail-cut.pdf"
    assert [one.rule for one in check_file(path, Profile.default(), PLUGINS).findings()] == ["overprint-lost"]
    off = replace(Profile.default(), rules={"overprint-lost": RuleChoice("off", {})})
    (finding,) = check_file(path, off, PLUGINS).findings()
    assert (finding.rule, finding.level) == ("step-printed", "error")
    assert finding.bounds_mm == pytest.approx((40, 15, 40, 21), abs=0.01)


def test_a_knock_out_is_a_warning_unless_the_shop_wants_less_of_the_rule() -> None:
    path = FOLDER / "overprint-lost" / "fail-cut.pdf"
    for level, told in (("error", "warning"), ("warning", "warning"), ("note", "note")):
        profile = replace(Profile.default(), rules={"overprint-lost": RuleChoice(level, {})})
        assert [one.level for one in check_file(path, profile, PLUGINS).findings()] == [told]
