"""Makes installed distributions out of a few lines, and runs the command beside them. Knows no rule."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

JOB = """<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"
     width="400mm" height="100mm" viewBox="0 0 400 100">
  <title>A timetable sticker of 200 mm and a tea room sticker of 40 mm</title>
  <g id="art" inkscape:groupmode="layer" inkscape:label="Art">
    <rect x="10" y="10" width="200" height="30" fill="#205090"/>
    <rect x="250" y="10" width="40" height="30" fill="#d08020"/>
  </g>
  <g id="cut" inkscape:groupmode="layer" inkscape:label="Kiss cut">
    <rect id="timetable" x="10" y="10" width="200" height="30" fill="none" stroke="#000" stroke-width="0.1"/>
    <rect id="teapot" x="250" y="10" width="40" height="30" fill="none" stroke="#000" stroke-width="0.1"/>
  </g>
</svg>
"""


def distribution(site: Path, name: str, module: str, source: str) -> None:
    """Lay an installed distribution with one module and one entry point into a folder for PYTHONPATH."""
    (site / f"{module}.py").write_text(source)
    info = site / f"{module}-9.1.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(f"Metadata-Version: 2.1\nName: {name}\nVersion: 9.1\n")
    (info / "entry_points.txt").write_text(f"[artwork_preflight]\n{name} = {module}\n")


def preflight(folder: Path, site: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run the command in ``folder`` with the distributions in ``site`` beside the program's own."""
    environment = {**os.environ, "PYTHONPATH": str(site), "PYTHONUTF8": "1"}
    command = [sys.executable, "-m", "preflight", *words]
    return subprocess.run(
        command, cwd=folder, env=environment, capture_output=True, text=True, encoding="utf-8", timeout=120
    )


def checked(folder: Path, site: Path, *words: str) -> tuple[dict[str, Any], str, int]:
    """The JSON report on job.svg, what stderr said, and the exit code."""
    run = preflight(folder, site, "check", "job.svg", "--format", "json", *words)
    assert run.stdout, run.stderr
    return json.loads(run.stdout), run.stderr, run.returncode


def found(report: dict[str, Any], rule: str) -> list[dict[str, Any]]:
    """The findings of one rule."""
    return [one for page in report["files"][0]["pages"] for one in page["findings"] if one["rule"] == rule]
