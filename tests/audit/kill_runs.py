"""Kills an audit at random moments until it ends by itself, many times, and holds its store against an undisturbed one's.

A script, not a test: ``python tests/audit/kill_runs.py [--runs 20] [--files 200] [--seed 1]``. Needs a system with signals.
"""

from __future__ import annotations

import argparse
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path

from audit_archive import BROKEN, clean, faulty, written
from test_audit_command import begun, contents


def killed_until_done(root: Path, into: Path, chance: random.Random, whole: float) -> list[int]:
    """Run the audit, killed up to five times on the way, until it ends; how many answers were kept at each kill."""
    kept: list[int] = []
    while True:
        process = begun(root, into)
        try:
            process.communicate(timeout=chance.uniform(0, whole) if len(kept) < 5 else None)
            if process.returncode not in (0, 1):
                raise SystemExit(f"the audit ended with {process.returncode}")
            return kept
        except subprocess.TimeoutExpired:
            process.kill()
            process.communicate()
            kept.append(answers_kept(into))


def answers_kept(into: Path) -> int:
    """How many files have their answer."""
    try:
        with closing(sqlite3.connect(f"{(into / 'audit.sqlite').as_uri()}?mode=ro", uri=True)) as db:
            return int(db.execute("SELECT count(*) FROM files WHERE NOT waiting").fetchone()[0])
    except sqlite3.Error:  # killed before there were tables
        return 0


def main() -> None:
    """Run and compare."""
    words = argparse.ArgumentParser()
    words.add_argument("--runs", type=int, default=20)
    words.add_argument("--files", type=int, default=200)
    words.add_argument("--seed", type=int, default=1)
    said = words.parse_args()
    folder = Path(tempfile.mkdtemp())
    files: dict[str, str | bytes] = {
        f"{n % 9}/{n}.svg": BROKEN if n % 100 == 7 else (faulty, clean)[n % 2](f"c{n}")
        for n in range(said.files)
    }
    root = written(folder / "archive", files)
    start = time.monotonic()
    _, told = begun(root, folder / "whole").communicate()
    if not (folder / "whole").is_dir():
        raise SystemExit(told)
    seconds = time.monotonic() - start
    whole = contents(folder / "whole")
    differing = 0
    for number in range(said.runs):
        chance = random.Random(said.seed + number)  # noqa: S311 -- no secret
        kept = killed_until_done(root, folder / "kept", chance, seconds)
        same = contents(folder / "kept") == whole
        differing += not same
        print(
            f"run {number + 1}: killed with {kept} answers, store {'the same' if same else 'DIFFERS'}",
            flush=True,
        )
        shutil.rmtree(folder / "kept")
    shutil.rmtree(folder)
    sys.exit(bool(differing))


if __name__ == "__main__":
    main()
