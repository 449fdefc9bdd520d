"""Reports whose every text is chosen to break a format, for the tests of the formats that servers read."""

from __future__ import annotations

from report_samples import gap, report_of

from preflight.reports.report import FileReport, NotChecked, PageReport, Report, RuleOff
from preflight.rule import Finding, Level, Measured, ObjectReference

NAMES = (
    "]]>.svg",
    "two\nlines\r\n.svg",
    "nul\x00 esc\x1b[31m bell\x07.svg",
    "ŝipo ☂ 船.svg",
    "100% wax%0A.svg",
    "art\\sheet.svg",
    "C:\\art\\sheet 1.svg",
    "\\\\shop\\art\\a.svg",
    "//shop/art/a.svg",
    "/srv/art/a b.svg",
    "a:b,c=d;e.svg",
    "::error file=x::y.svg",
    "##[error]z.svg",
    '<a href="x">&amp;\'.svg',
    "[name](javascript:alert(1)) {0} {{1}}.svg",
    "\u202egvs.exe\u2028\u2066.svg",
    "bytes\udcff\udc80.svg",
    "lone\ud800.svg",
    "\ufffe\uffff\ufdd0.svg",
    " .svg ",
)


def finding(text: str, number: int, **changes: object) -> Finding:
    """A finding with the text wherever one comes from a file."""
    values: dict[str, object] = {
        "message": text,
        "hint": text,
        "objects": (
            ObjectReference(text, text, "path", number + 1),
            ObjectReference(f"{text} 2", text, "path", None),
            ObjectReference(f"{text} 3", None, "path", 0),
        ),
        "fingerprint": f"{number:032x}",
    }
    return gap(**(values | changes))


def hostile_file(name: str) -> FileReport:
    """A file of that name with an open finding of each level, waived ones, entries not checked and rules left out."""
    page = PageReport(
        number=1,
        size_mm=(10.0, 10.0),
        findings=(
            finding(name, 0),
            finding(name, 1, rule="corner-tight", level=Level.WARNING, measured=None),
            finding(name, 2, rule="step-misspelt", level=Level.NOTE, measured=Measured(1.0, None, name)),
            finding(name, 3, rule="node-excess", waived=name, waived_in="artwork"),
            finding(name, 4, rule="bleed-short", bounds_mm=(float("nan"), 0.0, float("inf"), 1.0)),
            finding(name, 5, rule="bleed-short", fingerprint="", points_mm=((float("inf"), 1.0),)),
            finding(name, 6, rule="bleed-short", fingerprint=""),
            finding(name, 7, waived=name, waived_in="waiver file", area_shows=name),
        ),
        not_checked=(
            NotChecked(what=name, message=name, object=ObjectReference(name, name, "path", 3)),
            NotChecked(kind="fault", what=name, message=name, bounds_mm=(0.0, 0.0, 1.0, 1.0)),
            NotChecked(kind="assumed", what=name, message=name),
        ),
    )
    return FileReport(
        path=name,
        sha256="0" * 64,
        format="svg",
        status="checked",
        rules_off=(RuleOff(rule="image-absent", because="override", reason=name),),
        pages=(page,),
    )


def torn_file(name: str) -> FileReport:
    """A file of that name that cannot be read."""
    return FileReport(path=name, sha256=None, format=None, status="unreadable", reason=name, hint=name)


def hostile_report() -> Report:
    """All the names, each once as a file that was checked and once as one that could not be read."""
    return report_of(*map(hostile_file, NAMES), *(torn_file(f"torn/{name}") for name in NAMES))
