"""Reports built straight from the types, for the tests of every renderer."""

from __future__ import annotations

from preflight.reports.report import (
    BaselineUse,
    FileReport,
    PluginUse,
    ProfileUse,
    Report,
    RuleUse,
    SettingUse,
    Tool,
)
from preflight.rule import Finding, Level, Measured, ObjectReference

TOOL = Tool("artwork-preflight", "0.1.0", (PluginUse("preflight_rules", "0.1.0"),))
PROFILE = ProfileUse("island ferries", "sha256:" + "0" * 64)


RULE_USES = (
    RuleUse(
        id="contour-open",
        group="contours",
        level="error",
        settings=(SettingUse("closed_within", "0.02 mm", "0.01 mm"),),
    ),
    RuleUse(id="corner-tight", group="contours", level="warning"),
    RuleUse(id="node-excess", group="contours", level="off"),
)


def report_of(*files: FileReport, baseline: BaselineUse | None = None) -> Report:
    return Report.of(TOOL, PROFILE, files, RULE_USES, baseline)


def gap(x: float = 12.34, y: float = 45.61, **changes: object) -> Finding:
    values: dict[str, object] = {
        "rule": "contour-open",
        "level": Level.ERROR,
        "message": "The ends of a cut contour are 0.3 mm apart.",
        "hint": "Join the two end nodes.",
        "bounds_mm": (x, y, x + 0.3, y),
        "points_mm": ((x, y), (x + 0.3, y)),
        "objects": (ObjectReference("cut-3", "Kiss cut", "path", 12),),
        "measured": Measured(0.3, 0.01, "mm"),
        "fingerprint": "ab" * 16,
    }
    return Finding(**(values | changes))  # type: ignore[arg-type]
