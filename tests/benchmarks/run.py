"""Measures the program beside its yardsticks, turn about, and prints a table. A script, not a test.

Usage: ``python tests/benchmarks/run.py [--rounds N] [--keep FOLDER] [start-up] [sheet] [art] [ten-fold] [pdf] [audit]``

Needs Linux or macOS (peak memory is asked of the operating system), ``rsvg-convert`` and ``chromium``.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from customer_archive import write_archive
from sticker_sheet import (
    ART,
    SEGMENTS_PER_STICKER,
    write_art_sheet,
    write_one_object,
    write_pdf_sheet,
    write_sheet,
)

PREFLIGHT = str(Path(sys.executable).with_name("preflight"))
"""The command as it is installed beside the interpreter that runs this."""
STICKERS = 5_000
FILES = 10_000
CHROMIUM_FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
    "--window-size=1000,1000",
]


# pip compiles what it installs; a source tree gets its byte code in the first round, which is thrown away.
_ENVIRONMENT = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}


@dataclass(frozen=True)
class Run:
    """One process: seconds from start to end, peak memory in MB."""

    seconds: float
    memory: float


def timed(command: list[str], *, may_find: bool = False) -> Run:
    """Run a command to its end.

    Parameters
    ----------
    may_find : exit code 1 (findings) is in order too.
    """
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, env=_ENVIRONMENT)
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    process.returncode = os.waitstatus_to_exitcode(status)
    told = process.stderr.read().decode() if process.stderr else ""
    if process.returncode not in ((0, 1) if may_find else (0,)):
        raise SystemExit(f"{' '.join(command)}\nended with {process.returncode}: {told}")
    return Run(seconds, usage.ru_maxrss / (1e6 if sys.platform == "darwin" else 1e3))


def made(sheet: Path, stickers: int, write: Callable[[Path, int], None] = write_sheet) -> None:
    """Write a sheet."""
    apart(write, sheet, stickers)


def apart(work: Callable[..., None], *arguments: object) -> None:
    """Do something in a process of its own: on Linux a process begins with the peak memory of the one that starts it."""
    process = multiprocessing.get_context("spawn").Process(target=work, args=arguments)
    process.start()
    process.join()
    if process.exitcode:
        raise SystemExit(f"{work.__name__} failed")


def check(sheet: Path) -> list[str]:
    """The command under test: every rule, JSON out. It is run once to see that it does the work.

    A crash would end with 1 like findings do, and sooner.
    """
    command = [PREFLIGHT, "check", str(sheet), "--format", "json"]
    apart(see_it_work, command)
    return command


def see_it_work(command: list[str]) -> None:
    """Run a check of one sheet and look at what it says of it."""
    answer = subprocess.run(command, capture_output=True, text=True, check=False)
    try:
        (file,) = json.loads(answer.stdout)["files"]
        assert file["status"] == "checked", file["reason"]
        assert sum(step["contours"] for step in file["pages"][0]["production"]["steps"]) > 0
    except (ValueError, AssertionError) as fault:
        raise SystemExit(f"{' '.join(command)}: {fault}; {answer.stderr[-500:]}") from fault


def interleaved(commands: dict[str, list[str]], rounds: int) -> dict[str, Run]:
    """Median of each command, run turn about so that a busy machine slows all alike; one round is thrown away."""
    runs: dict[str, list[Run]] = {name: [] for name in commands}
    for turn in range(rounds + 1):
        for name, command in commands.items():
            run = timed(command, may_find=command[0] == PREFLIGHT)
            if turn:
                runs[name].append(run)
    return {
        name: Run(statistics.median(run.seconds for run in own), statistics.median(run.memory for run in own))
        for name, own in runs.items()
    }


def row(what: str, seconds: float, yardstick: str, against: float, budget: float | None) -> None:
    """Print one comparison."""
    ratio = seconds / against
    verdict = (
        "for comparison" if budget is None else f"≤ {budget:g} ×  {'met' if ratio <= budget else 'MISSED'}"
    )
    print(f"{what:<34} {seconds:9.3f}   {yardstick:<34} {against:9.3f}   {ratio:6.2f} ×   {verdict}")


def start_up(folder: Path, rounds: int) -> None:
    """A one-object file, whole process, against importing what must be imported."""
    write_one_object(folder / "one.svg")
    commands = {
        "check": check(folder / "one.svg"),
        "imports": [sys.executable, "-c", "import numpy, shapely, lxml.etree"],
    }
    median = interleaved(commands, rounds)
    row(
        "one object, s",
        median["check"].seconds,
        "import numpy, shapely, lxml.etree",
        median["imports"].seconds,
        1.5,
    )


def sheet(folder: Path, rounds: int) -> None:
    """The sheet of 100,000 segments against two programs that draw it."""
    svg = folder / "sheet.svg"
    made(svg, STICKERS)
    picture = str(folder / "sheet.png")
    commands = {
        "check": check(svg),
        "librsvg": [_program("rsvg-convert"), "-w", "1000", "-o", picture, str(svg)],
        "chromium": screenshot(folder, svg),
    }
    median = interleaved(commands, rounds)
    name = f"{STICKERS * SEGMENTS_PER_STICKER:,} segments, s"
    row(name, median["check"].seconds, "chromium, screenshot", median["chromium"].seconds, 1.0)
    row(name, median["check"].seconds, "rsvg-convert -w 1000 (the aim)", median["librsvg"].seconds, 2.0)


def screenshot(folder: Path, svg: Path) -> list[str]:
    """The command by which Chromium draws a file."""
    return [
        _program("chromium"),
        *CHROMIUM_FLAGS,
        f"--user-data-dir={folder / 'chromium'}",
        f"--screenshot={folder / 'sheet.png'}",
        svg.as_uri(),
    ]


def art(folder: Path, rounds: int) -> None:
    """The sheet full of art against Chromium's drawing of it, and against a tenth of it."""
    made(folder / "art.svg", STICKERS, write_art_sheet)
    made(folder / "tenth.svg", STICKERS // 10, write_art_sheet)
    write_one_object(folder / "one.svg")
    commands = {name: check(folder / f"{name}.svg") for name in ("art", "tenth", "one")}
    commands["chromium"] = screenshot(folder, folder / "art.svg")
    median = interleaved(commands, max(1, rounds // 3))
    name = f"{STICKERS:,} pieces, {STICKERS * ART:,} objects of art, s"
    row(name, median["art"].seconds, "chromium, screenshot", median["chromium"].seconds, 1.0)
    idle = median["one"].seconds
    # n log n: log(100,000) / log(10,000) times ten.
    row(
        "the same above start, s",
        median["art"].seconds - idle,
        "a tenth of it",
        median["tenth"].seconds - idle,
        12.5,
    )


def ten_fold(folder: Path, rounds: int) -> None:
    """Ten times the sheet against the sheet: time, and memory above that of a one-object file."""
    write_one_object(folder / "one.svg")
    made(folder / "sheet.svg", STICKERS)
    made(folder / "ten.svg", 10 * STICKERS)
    names = ("one", "sheet", "ten")
    median = interleaved({name: check(folder / f"{name}.svg") for name in names}, max(1, rounds // 3))
    once, ten, idle = median["sheet"], median["ten"], median["one"].memory
    row("ten-fold, s", ten.seconds, "the sheet", once.seconds, 12.0)
    row("ten-fold, MB above start", ten.memory - idle, "the sheet", once.memory - idle, 12.0)


def pdf(folder: Path, rounds: int) -> None:
    """The sheet of 100,000 segments as PDF against looking at each of its points through PDFium."""
    sheet = folder / "sheet.pdf"
    made(sheet, STICKERS, write_pdf_sheet)
    walk = Path(__file__).with_name("walk_page_objects.py")
    commands = {"check": check(sheet), "walk": [sys.executable, str(walk), str(sheet)]}
    median = interleaved(commands, rounds)
    name = f"PDF, {STICKERS * SEGMENTS_PER_STICKER:,} segments, s"
    row(name, median["check"].seconds, "pypdfium2, walk of page objects", median["walk"].seconds, 1.5)


def audit(folder: Path, rounds: int) -> None:
    """An archive of customers' files: one worker against two, again with nothing changed, and whether memory stays flat."""
    archive = folder / "archive"
    made(archive, FILES, write_archive)
    made(folder / "tenth", FILES // 10, write_archive)
    one, two = folder / "one-worker", folder / "two-workers"
    first = timed(audit_of(archive, two, 2), may_find=True)
    again = timed(audit_of(archive, two, 2), may_find=True)
    row("again, nothing changed, s", again.seconds, f"{FILES:,} files, two workers", first.seconds, 1 / 50)
    tenth = timed(audit_of(folder / "tenth", folder / "tenth-kept", 2), may_find=True)
    row("MB, its largest process", first.memory, "of a tenth of the files", tenth.memory, 1.25)
    alone = timed(audit_of(archive, one, 1), may_find=True)
    row(f"{FILES:,} files, two workers, s", first.seconds, "one worker", alone.seconds, 1 / 1.85)
    answered = subprocess.run(
        [
            PREFLIGHT,
            "audit",
            "--into",
            str(two),
            "--query",
            "path=*",
            "--format",
            "json",
        ],
        capture_output=True,
        check=True,
    )
    files = json.loads(answered.stdout)
    unreadable = sum(file["status"] == "unreadable" for file in files)
    print(f"{len(files):,} answers, {unreadable} of them unreadable")


def audit_of(archive: Path, into: Path, workers: int) -> list[str]:
    """The command under test."""
    return [PREFLIGHT, "audit", str(archive), "--into", str(into), "-j", str(workers)]


def _program(name: str) -> str:
    found = shutil.which(name)
    if found is None:
        raise SystemExit(f"{name} is not installed (Debian: apt install chromium librsvg2-bin)")
    return found


def main() -> None:
    """Run the rows asked for, or all."""
    rows = {
        "start-up": start_up,
        "sheet": sheet,
        "art": art,
        "ten-fold": ten_fold,
        "pdf": pdf,
        "audit": audit,
    }
    parser = argparse.ArgumentParser(description="Measure the program beside its yardsticks.")
    parser.add_argument("rows", nargs="*", metavar="ROW", help=f"{', '.join(rows)}; all unless named")
    parser.add_argument("--rounds", type=int, default=7, help="runs of each command (default: 7)")
    parser.add_argument("--keep", type=Path, help="folder to make the sheets in, and to leave them in")
    asked = parser.parse_args()
    if unknown := set(asked.rows) - set(rows):
        parser.error(f"no such row: {', '.join(sorted(unknown))}")
    print(f"medians, {os.cpu_count()} cores, Python {sys.version.split()[0]}, load {os.getloadavg()[0]:.1f}")
    with tempfile.TemporaryDirectory() as temporary:
        folder = (asked.keep or Path(temporary)).resolve()
        folder.mkdir(parents=True, exist_ok=True)
        for name in asked.rows or rows:
            rows[name](folder, asked.rounds)


if __name__ == "__main__":
    main()
