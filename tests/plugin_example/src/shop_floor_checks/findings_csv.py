"""The findings as CSV, one a line, for a spreadsheet. Knows the report and no rule."""

from __future__ import annotations

import csv
import io

from preflight.reports.report import Drawings, Renderer, Report

__all__ = ["CsvRenderer"]

COLUMNS = ("file", "page", "level", "rule", "message", "value", "limit", "unit", "x mm", "y mm")


class CsvRenderer(Renderer):
    """CSV in UTF-8 with a header line; unreadable files and what was not checked have lines of their own."""

    format = "csv"
    suffix = ".csv"

    def render(self, report: Report, drawings: Drawings) -> bytes:
        """The whole table."""
        text = io.StringIO()
        table = csv.writer(text)
        table.writerow(COLUMNS)
        for file in report.files:
            if file.status == "unreadable":
                table.writerow(map(_cell, (file.path, "", "unreadable", "", file.reason)))
            for page in file.pages:
                for finding in page.findings:
                    measured = finding.measured
                    row = [file.path, page.number, finding.level.value, finding.rule, finding.message]
                    row += [measured.value, measured.limit, measured.unit] if measured else ["", "", ""]
                    row += finding.bounds_mm[:2] if finding.bounds_mm else ["", ""]
                    table.writerow(map(_cell, row))
                for gap in page.not_checked:
                    table.writerow(
                        map(
                            _cell,
                            (file.path, page.number, "not checked", f"{gap.kind}: {gap.what}", gap.message),
                        )
                    )
        return text.getvalue().encode("utf-8", "backslashreplace")


def _cell(value: object) -> object:
    # A spreadsheet takes text that begins with one of these for a formula; a layer may be named like that.
    return f"'{value}" if isinstance(value, str) and value.startswith(("=", "+", "-", "@", "\t")) else value
