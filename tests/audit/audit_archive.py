"""Small archives of artwork, and a house rule that does harm to the process where the artwork's ids ask for it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

CLEAN = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">
<circle cx="20" cy="20" r="18.2" fill="#f4a261"/>
<g id="Kiss_Cut"><circle id="{id}" cx="20" cy="20" r="15" fill="none" stroke="#000" stroke-width="0.1"/></g></svg>"""

OPEN = CLEAN.replace(
    '<circle id="{id}" cx="20" cy="20" r="15" fill="none"',
    '<path id="{id}" d="M10 10H30V30H10V11" fill="none"',
)

BROKEN = CLEAN[:150]

TROUBLE = '''
import os, time
from preflight.rule import Group, Level, Rule

class Trouble(Rule):
    """Does harm.

    What it finds
    -------------
    nothing.

    Why it matters
    --------------
    a process that dies must take down no more than its file.

    Known limits
    ------------
    none.

    How to mend it
    --------------
    not at all.
    """

    id, group, level = "harbour-trouble", Group.CONTENT, Level.NOTE

    def check(self, job):
        for item in job.items:
            name = item.object.origin.id or ""
            if name == "die":
                os._exit(3)
            if name == "abort":
                os.abort()
            if name == "print":
                os.write(1, b"noise on stdout")
            if name == "sleep":
                time.sleep(3600)
            if name == "eat":
                kept = [bytearray(50_000_000) for _ in range(100)]
        return ()
'''


def clean(name: str = "a") -> str:
    """A file in order; ``name`` is the id of its cut contour."""
    return CLEAN.replace("{id}", name)


def faulty(name: str = "a") -> str:
    """A file with one open cut contour."""
    return OPEN.replace("{id}", name)


def written(root: Path, files: dict[str, str | bytes]) -> Path:
    """The folder, with these files in it."""
    for name, content in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return root


def with_trouble(root: Path) -> Path:
    """The folder, under a profile that brings the harmful rule."""
    files: dict[str, str | bytes] = {
        "preflight.toml": '[plugins]\nrule_files = ["trouble.py"]\n',
        "trouble.py": TROUBLE,
    }
    return written(root, files)


def audit(
    *words: str | Path, folder: Path | None = None, seconds: float = 120
) -> subprocess.CompletedProcess[str]:
    """The command as a person runs it, with one process for the files unless the words say otherwise."""
    command = [sys.executable, "-m", "preflight", "audit", *map(str, words)]
    if "-j" not in words:
        command += ["-j", "1"]
    environment = {**os.environ, "COLUMNS": "80", "NO_COLOR": "1"}
    return subprocess.run(
        command, capture_output=True, text=True, cwd=folder, env=environment, timeout=seconds, check=False
    )
