"""The tables of an audit's store. Knows no file and no question."""

from __future__ import annotations

__all__ = ["FORMAT", "TABLES"]

FORMAT = "1"
"""Raised when the tables change; a store of another format is not written to."""

TABLES = (
    # What the store is of: format, root; told: the number of the run that the files beside it tell of.
    "CREATE TABLE audit (key TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID",
    # What files were judged by; "judged" is a digest of the rest.
    """CREATE TABLE judges (
        judged TEXT PRIMARY KEY, tool TEXT NOT NULL, plugins TEXT NOT NULL,
        profile TEXT NOT NULL, profile_digest TEXT NOT NULL, chosen TEXT NOT NULL
    ) WITHOUT ROWID""",
    # One row for each run that found something to do. The totals are those at its end.
    """CREATE TABLE runs (
        number INTEGER PRIMARY KEY, finished INTEGER NOT NULL DEFAULT 0,
        files INTEGER, unreadable INTEGER, error INTEGER, warning INTEGER, note INTEGER, not_checked INTEGER, waived INTEGER,
        added INTEGER, changed INTEGER, removed INTEGER
    )""",
    # How many findings each rule had in each run, waived ones apart, and in how many files.
    """CREATE TABLE run_rules (
        run INTEGER NOT NULL, rule TEXT NOT NULL, level TEXT NOT NULL, findings INTEGER NOT NULL, files INTEGER NOT NULL,
        PRIMARY KEY (run, rule, level)
    ) WITHOUT ROWID""",
    # Every file there is, with its last answer; "waiting" while another is due.
    """CREATE TABLE files (
        path TEXT PRIMARY KEY, folder TEXT NOT NULL, month TEXT, stamp TEXT NOT NULL, judged TEXT NOT NULL,
        waiting INTEGER NOT NULL,
        sha256 TEXT, format TEXT, status TEXT, reason TEXT, hint TEXT, pages INTEGER NOT NULL DEFAULT 0,
        error INTEGER NOT NULL DEFAULT 0, warning INTEGER NOT NULL DEFAULT 0, note INTEGER NOT NULL DEFAULT 0,
        not_checked INTEGER NOT NULL DEFAULT 0, waived INTEGER NOT NULL DEFAULT 0,
        beside TEXT NOT NULL DEFAULT '[]', picture TEXT, by_limit TEXT
    ) WITHOUT ROWID""",
    "CREATE INDEX files_waiting ON files (path) WHERE waiting",
    # The whole report of each file: JSON of the report's "files", packed with zlib.
    "CREATE TABLE reports (path TEXT PRIMARY KEY, report BLOB NOT NULL)",
    """CREATE TABLE findings (
        path TEXT NOT NULL, number INTEGER NOT NULL, page INTEGER NOT NULL, rule TEXT NOT NULL, level TEXT NOT NULL,
        waived TEXT, message TEXT NOT NULL, hint TEXT NOT NULL, x0 REAL, y0 REAL, x1 REAL, y1 REAL,
        measured REAL, "limit" REAL, unit TEXT, fingerprint TEXT NOT NULL,
        PRIMARY KEY (path, number)
    ) WITHOUT ROWID""",
    "CREATE INDEX findings_rule ON findings (rule, path)",
    # Names that each file uses: of named colours ("spot"), layers and processing steps; "plain" without case, space and
    # punctuation.
    """CREATE TABLE names (
        path TEXT NOT NULL, kind TEXT NOT NULL, name TEXT NOT NULL, plain TEXT NOT NULL, PRIMARY KEY (path, kind, name)
    ) WITHOUT ROWID""",
    "CREATE INDEX names_plain ON names (kind, plain, path)",
    # The files as they were at the end of the run before.
    """CREATE TABLE before (
        path TEXT PRIMARY KEY, sha256 TEXT, judged TEXT NOT NULL, status TEXT,
        error INTEGER NOT NULL, warning INTEGER NOT NULL, note INTEGER NOT NULL
    ) WITHOUT ROWID""",
)
