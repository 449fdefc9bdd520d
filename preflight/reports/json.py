"""The report as JSON: the types as they are, same input same bytes. Knows no wording."""

from __future__ import annotations

import msgspec

from .report import Drawings, FileReport, Renderer, Report

__all__ = ["JsonRenderer"]


class JsonRenderer(Renderer):
    """JSON in the order of the types' fields, indented by two, with a newline at the end."""

    format = "json"
    suffix = ".json"

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The report as UTF-8."""
        files = tuple(_encodable(file) for file in report.files)
        encoded = msgspec.json.encode(msgspec.structs.replace(report, files=files))
        return msgspec.json.format(encoded, indent=2) + b"\n"


def _encodable(file: FileReport) -> FileReport:
    # A path that is no valid UTF-8 on disk reaches Python with lone surrogates, which JSON in UTF-8 cannot hold.
    path = file.path.encode("utf-8", "backslashreplace").decode()
    return file if path == file.path else msgspec.structs.replace(file, path=path)
