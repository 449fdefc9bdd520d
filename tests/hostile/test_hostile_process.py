"""The whole command on files made to break it: an answer within seconds and half a gigabyte, or the process is ended.

The bounds are the issue's own, 5 s and 500 MB each. Seconds are those of the processor, so that a busy machine
makes no difference; the address space is never less than the memory held.
"""

from __future__ import annotations

import gzip
import os
import random
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="process limits are set as Linux has them")

SECONDS = 5
MEGABYTES = 500
HEAD = '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" width="10mm" height="10mm">'

COMMAND = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, ({megabytes} << 20, {megabytes} << 20))
resource.setrlimit(resource.RLIMIT_CPU, ({seconds}, {seconds} + 1))
from preflight.cli import main
sys.argv = ["preflight", *{words}]
main()
"""


def laughs() -> str:
    entities = "".join(f'<!ENTITY a{i} "' + f"&a{i - 1};" * 10 + '">' for i in range(1, 12))
    return f'<!DOCTYPE svg [<!ENTITY a0 "ha">{entities}]>{HEAD}<text>&a11;</text></svg>'


def exploding_use() -> str:
    levels = "".join(f'<g id="g{i}">' + f'<use xlink:href="#g{i - 1}"/>' * 10 + "</g>" for i in range(1, 10))
    return f'{HEAD}<defs><g id="g0"><path d="M0 0h1"/></g>{levels}</defs><use xlink:href="#g9"/></svg>'


def exploding_markers() -> str:
    marker = '<marker id="m" orient="auto"><path d="M0 0h1v1z"/><path d="M0 0h1v1z"/></marker>'
    return f'{HEAD}{marker}<path d="M0 0{"h1v1" * 200_000}" marker-mid="url(#m)"/></svg>'


def nested_own_boxes() -> str:
    turned = '<g style="transform-box:fill-box;transform:rotate(9deg);transform-origin:center">'
    return f"{HEAD}{turned * 300}<path d='M0 0h1v1z'/>{'</g>' * 300}</svg>"


def tangle() -> str:
    chance = random.Random(5)  # noqa: S311 -- shapes, not secrets
    lines = "".join(f"L{chance.uniform(0, 30):.3f} {chance.uniform(0, 30):.3f}" for _ in range(20_000))
    return f'{HEAD}<path id="kiss_cut" fill="none" stroke="#000" stroke-width=".1" d="M5 5{lines}Z"/></svg>'


UNREADABLE: dict[str, Callable[[], bytes]] = {
    "empty": lambda: b"",
    "not XML": lambda: b"a ferry is no drawing",
    "XML that is not SVG": lambda: b"<html><body/></html>",
    "billion laughs": lambda: laughs().encode(),
    "external entity": lambda: (
        f'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>{HEAD}<text>&x;</text></svg>'.encode()
    ),
    "10,000 nested groups": lambda: f"{HEAD}{'<g>' * 10_000}{'</g>' * 10_000}</svg>".encode(),
    "cut off": lambda: f"{HEAD}<path d='M0 0L5 5".encode(),
    "gzip bomb": lambda: gzip.compress(b"\0" * 300_000_000, 1),
    "gzip cut off": lambda: gzip.compress(f"{HEAD}</svg>".encode())[:-12],
    "exploding use": lambda: exploding_use().encode(),
    "exploding markers": lambda: exploding_markers().encode(),
}
READABLE: dict[str, Callable[[], bytes]] = {
    "cyclic use": lambda: (
        f'{HEAD}<g id="a"><use xlink:href="#b"/></g><g id="b"><use xlink:href="#a"/></g></svg>'.encode()
    ),
    "NaN": lambda: f'{HEAD}<path d="M0 0L nan 5"/><rect x="NaN" width="1" height="1"/></svg>'.encode(),
    "1e300": lambda: f'{HEAD}<path d="M0 0L1e300 1e300z"/><circle r="1e300"/></svg>'.encode(),
    "path cut off in the middle": lambda: f'{HEAD}<path d="M0 0L10 0L1"/></svg>'.encode(),
    "groups turned about their own boxes": lambda: nested_own_boxes().encode(),
    "a cut line that crosses itself millions of times": lambda: tangle().encode(),
    "100,000 elements": lambda: f"{HEAD}{'<g/>' * 100_000}</svg>".encode(),
}


def run(words: list[str]) -> tuple[int, str]:
    """Exit code and what was said by a command that has set the limits on itself."""
    # Every thread of a linear algebra library reserves address space it never touches.
    environment = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    script = COMMAND.format(megabytes=MEGABYTES, seconds=SECONDS, words=words)
    ended = subprocess.run(
        [sys.executable, "-c", script],
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=12 * SECONDS,
    )
    return ended.returncode, ended.stdout


@pytest.mark.parametrize("name", UNREADABLE)
def test_unreadable_files_are_refused_in_bounds(name: str, tmp_path: Path) -> None:
    file = tmp_path / "hostile.svg"
    file.write_bytes(UNREADABLE[name]())
    code, said = run(["check", str(file)])
    assert code == 2
    assert "unreadable" in said
    assert "Traceback" not in said


@pytest.mark.parametrize("name", READABLE)
def test_odd_files_are_read_in_bounds(name: str, tmp_path: Path) -> None:
    file = tmp_path / "hostile.svg"
    file.write_bytes(READABLE[name]())
    code, said = run(["check", str(file), "--report", str(tmp_path / "report.html")])
    assert code in (0, 1)
    assert "rule-failed" not in said
    assert "Traceback" not in said


def test_what_is_no_file_is_refused_in_bounds(tmp_path: Path) -> None:
    locked = tmp_path / "locked.svg"
    locked.write_text(f"{HEAD}</svg>")
    locked.chmod(0)
    places = [tmp_path, tmp_path / "missing.svg"]
    if os.geteuid() != 0:  # root may read everything
        places.append(locked)
    for place in places:
        code, said = run(["check", str(place)])
        assert code == 2
        assert "Traceback" not in said


@pytest.mark.parametrize(
    ("greedy", "sign"),
    [("bytearray(600_000_000)", "MemoryError"), ("while True: pass", None)],
)
def test_the_bounds_can_fail(greedy: str, sign: str | None) -> None:
    """A process that takes more is ended, so the tests above mean something."""
    script = COMMAND.format(megabytes=MEGABYTES, seconds=1, words=[]).replace("main()", greedy)
    ended = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False, timeout=60
    )
    assert sign in ended.stderr if sign else ended.returncode == -signal.SIGXCPU
