"""The report as SARIF 2.1.0 (OASIS), for servers and editors that show findings beside a file. Knows no wording of its own."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Iterator, Sequence
from typing import Any

import msgspec

from preflight.rule import Finding, ObjectReference

from .annotating import (
    NOT_CHECKED_LEVELS,
    RULE_FAILED,
    UNREADABLE,
    failed_rule,
    on_page,
    told,
    told_unreadable,
)
from .report import Drawings, FileReport, NotChecked, Renderer, Report, RuleOff
from .sarif_tool import ToolOf, message
from .uris import uri_of
from .words import KIND_ADVICE, KIND_WORDS, baseline_words, cause_of, left_out_everywhere, printable, where

__all__ = ["SarifRenderer"]

_SCHEMA = "https://json.schemastore.org/sarif-2.1.0.json"
"""The copy of the OASIS schema that GitHub Docs name."""
_BASE = "%SRCROOT%"
_BASE_MEANS = "The folder that the command was called in."
_MIME_TYPES = {"svg": "image/svg+xml", "pdf": "application/pdf"}
_SUPPRESSED_IN = {"artwork": "inSource", "waiver file": "external"}


class SarifRenderer(Renderer):
    """One run: rules with their pages, a result for each finding, notifications for what was not judged."""

    format = "sarif"
    suffix = ".sarif"

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The log as UTF-8, the same for the same report: no time, no host."""
        log = {"$schema": _SCHEMA, "version": "2.1.0", "runs": [_Run(report, self).described()]}
        return msgspec.json.format(msgspec.json.encode(log), indent=2) + b"\n"


class _Run:
    """The one run of a log."""

    def __init__(self, report: Report, renderer: Renderer) -> None:
        self._report = report
        found = [finding.rule for file in report.files for finding in file.findings()]
        broken = [id_ for file in report.files for one in file.findings() if (id_ := failed_rule(one))]
        off = [one.rule for file in report.files for one in file.rules_off]
        own = [UNREADABLE] if report.counts.unreadable else []
        self._tool = ToolOf(report, renderer.rules, [*found, *broken, *off, *own])
        self._off = left_out_everywhere(report)
        # SARIF 2.1.0, 3.14.15: each is there once, though two paths may name one file.
        self._artifacts: list[dict[str, Any]] = []
        self._files: list[tuple[FileReport, int]] = []
        places: dict[bytes, int] = {}
        for file in report.files:
            artifact = _artifact(file)
            place = places.setdefault(msgspec.json.encode(artifact), len(places))
            if place == len(self._artifacts):
                self._artifacts.append(artifact)
            self._files.append((file, place))

    def described(self) -> dict[str, Any]:
        """The ``run`` object."""
        report = self._report
        told: dict[str, Any] = {"tool": self._tool.described(), "invocations": [self._invocation()]}
        if any(_is_relative(file.path) for file in report.files):
            told["originalUriBaseIds"] = {_BASE: {"description": message(_BASE_MEANS)}}
        told["artifacts"] = self._artifacts
        told["columnKind"] = "unicodeCodePoints"
        told["results"] = [result for file, number in self._files for result in self._results(file, number)]
        if report.baseline is None and not report.counts.known:
            # SARIF 2.1.0, 3.27.24: results have the property only where the run was held against an earlier one.
            for result in told["results"]:
                del result["baselineState"]
        told["properties"] = {
            "profile": _clean(msgspec.to_builtins(report.profile)),
            "counts": msgspec.to_builtins(report.counts),
        }
        return told

    def _results(self, file: FileReport, number: int) -> Iterator[dict[str, Any]]:
        if file.status == "unreadable":
            digest = hashlib.sha256(
                f"{UNREADABLE}\x1f{file.path}".encode("utf-8", "surrogatepass")
            ).hexdigest()
            yield {
                **self._of_rule(UNREADABLE),
                "level": "error",
                "message": message(told_unreadable(file)),
                "locations": [_location(file, number)],
                "partialFingerprints": _fingerprints(digest[:32]),
                "baselineState": "new",
                "suppressions": [],
            }
        for page in file.pages:
            on = on_page(file, page.number)
            for finding in page.findings:
                yield self._result(finding, file, number, on)

    def _result(self, finding: Finding, file: FileReport, number: int, on: str | None) -> dict[str, Any]:
        objects = [one for one in finding.objects if one.kind != "rule"]
        result: dict[str, Any] = {
            **self._of_rule(finding.rule),
            "level": str(finding.level),
            "message": message(told(finding, on)),
            "locations": [_location(file, number, objects[:1], finding.page)],
        }
        if objects[1:]:
            result["relatedLocations"] = [
                {"id": id_, **_location(file, number, [one], finding.page), "message": message(where(one))}
                for id_, one in enumerate(objects[1:], start=1)
            ]
        if finding.fingerprint:
            result["partialFingerprints"] = _fingerprints(finding.fingerprint)
        result["baselineState"] = "new" if finding.known is None else "unchanged"
        # SARIF 2.1.0, 3.27.23: where one result of a run has the property, all have it.
        result["suppressions"] = _suppressions(finding)
        result["properties"] = _properties(finding)
        return result

    def _of_rule(self, id_: str) -> dict[str, Any]:
        """The properties of a result that name its rule."""
        reference = self._tool.reference(id_)
        if "toolComponent" in reference:
            return {"ruleId": id_, "rule": reference}
        return {"ruleId": id_, "ruleIndex": reference["index"]}

    def _invocation(self) -> dict[str, Any]:
        """Whether the work could be done, what stood in its way, and what was changed of the rules."""
        execution = [
            notification for file, number in self._files for notification in self._execution(file, number)
        ]
        told: dict[str, Any] = {
            # SARIF 2.1.0, 3.20.21: a notification at level error says that the run failed.
            "executionSuccessful": not any(one["level"] == "error" for one in execution),
            "toolExecutionNotifications": execution,
            "toolConfigurationNotifications": list(self._configuration()),
        }
        overrides = self._tool.overrides([one.rule for one in self._off])
        if overrides:
            told["ruleConfigurationOverrides"] = overrides
        return told

    def _execution(self, file: FileReport, number: int) -> Iterator[dict[str, Any]]:
        """What went wrong while a file was checked, and what of it was not judged."""
        if file.status == "unreadable":
            yield _notification(UNREADABLE, "error", told_unreadable(file), _location(file, number))
        for page in file.pages:
            on = on_page(file, page.number)
            for finding in page.findings:
                if finding.rule == RULE_FAILED:
                    at = _location(file, number, page=page.number)
                    notification = _notification(RULE_FAILED, "error", told(finding, on), at)
                    broken = failed_rule(finding)
                    if broken is not None:
                        notification["associatedRule"] = self._tool.reference(broken)
                    yield notification
            for entry in page.not_checked:
                yield _unjudged(entry, file, number, page.number)

    def _configuration(self) -> Iterator[dict[str, Any]]:
        """What the findings were held against, and which rules did not judge, and why: once for those that judged no file, else for each file."""
        for one in self._off:
            yield self._left_out(one)
        if self._report.baseline is not None:
            yield _notification("baseline", "note", baseline_words(self._report.baseline))
        for file, number in self._files:
            for one in file.rules_off:
                if one not in self._off:
                    yield self._left_out(one, _location(file, number))

    def _left_out(self, one: RuleOff, location: dict[str, Any] | None = None) -> dict[str, Any]:
        text = (
            f"{printable(one.rule)} did not judge {'the file' if location else 'any file'}: {cause_of(one)}."
        )
        notification = _notification("left-out", "note", text, location)
        return {**notification, "associatedRule": self._tool.reference(one.rule)}


def _unjudged(entry: NotChecked, file: FileReport, number: int, page: int) -> dict[str, Any]:
    """A notification of something that was not checked."""
    on = on_page(file, page)
    kind = KIND_WORDS[entry.kind]
    text = f"Not checked{f' on {on}' if on else ''}, {kind}: {printable(entry.what)}: {printable(entry.message)} {KIND_ADVICE[entry.kind]}"
    at = _location(file, number, [] if entry.object is None else [entry.object], page)
    notification = _notification("not-checked", NOT_CHECKED_LEVELS[entry.kind], text, at)
    properties: dict[str, Any] = {"kind": entry.kind, "what": entry.what, "page": page}
    if entry.bounds_mm is not None:
        properties["boundsMm"] = _finite(entry.bounds_mm)
    return {**notification, "properties": _clean(properties)}


def _notification(id_: str, level: str, text: str, location: dict[str, Any] | None = None) -> dict[str, Any]:
    told = {"descriptor": {"id": id_}, "level": level, "message": message(text)}
    return told if location is None else {**told, "locations": [location]}


def _location(
    file: FileReport, number: int, objects: Sequence[ObjectReference] = (), page: int | None = None
) -> dict[str, Any]:
    """Where something is: the file, the line of an object, and the object, its layer and its page by name."""
    physical: dict[str, Any] = {"artifactLocation": {**_artifact_location(file.path), "index": number}}
    logical = []
    for one in objects:
        if one.line is not None and one.line > 0:
            physical["region"] = {"startLine": one.line}
        logical.append(_logical(one.ref, "element" if file.format == "svg" else "object"))
        if one.layer is not None:
            logical.append(_logical(one.layer, "layer"))
    if page is not None and file.format != "svg":
        logical.append(_logical(f"page {page}", "page"))
    return {"physicalLocation": physical, **({"logicalLocations": logical} if logical else {})}


def _logical(name: str, kind: str) -> dict[str, str]:
    return {"name": printable(name), "kind": kind}


def _artifact(file: FileReport) -> dict[str, Any]:
    told: dict[str, Any] = {"location": _artifact_location(file.path), "roles": ["analysisTarget"]}
    if file.format in _MIME_TYPES:
        told["mimeType"] = _MIME_TYPES[file.format]
    if file.sha256 is not None:
        told["hashes"] = {"sha-256": file.sha256}
    return told


def _artifact_location(path: str) -> dict[str, str]:
    uri = uri_of(path)
    return {"uri": uri, "uriBaseId": _BASE} if _is_relative(path) else {"uri": uri}


def _is_relative(path: str) -> bool:
    return not uri_of(path).startswith("file:")


def _fingerprints(fingerprint: str) -> dict[str, str]:
    """Under our own name with its version (SARIF 2.1.0, 3.27.17), and under the only one that GitHub looks at."""
    return {"artworkPreflight/v1": fingerprint, "primaryLocationLineHash": f"{fingerprint}:1"}


def _suppressions(finding: Finding) -> list[dict[str, str]]:
    if finding.waived is None:
        return []
    kind = _SUPPRESSED_IN[finding.waived_in or "waiver file"]
    return [{"kind": kind, "status": "accepted", "justification": printable(finding.waived)}]


def _properties(finding: Finding) -> dict[str, Any]:
    """What SARIF has no property for. Lengths in mm on the page, y down."""
    told: dict[str, Any] = {"page": finding.page}
    if finding.measured is not None:
        told["measured"] = msgspec.to_builtins(finding.measured)
    if finding.bounds_mm is not None:
        told["boundsMm"] = _finite(finding.bounds_mm)
    if finding.points_mm:
        told["pointsMm"] = [_finite(point) for point in finding.points_mm]
    if finding.area_shows is not None:
        told["areaShows"] = finding.area_shows
    if finding.fix is not None:
        told["fix"] = finding.fix
    return {name: _clean(value) for name, value in told.items()}


def _finite(values: Sequence[float]) -> list[float | None]:
    """JSON knows no infinity."""
    return [value if math.isfinite(value) else None for value in values]


def _clean(value: Any) -> Any:
    """A property with every text in it safe to show."""
    if isinstance(value, str):
        return printable(value)
    if isinstance(value, dict):
        return {name: _clean(one) for name, one in value.items()}
    return list(map(_clean, value)) if isinstance(value, list | tuple) else value
