"""One file of an audit in, its answer out: what else of its folder the answer rests on."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

import pytest
from audit_archive import clean, written

from preflight.audit.checking import Checker
from preflight.audit.messages import Answer, Setup, Task


def answer(root: Path, name: str) -> Answer:
    return Checker(Setup(str(root), str(root))).answer(Task(name, ""))


def linking(href: str) -> str:
    return clean().replace("</svg>", f'<image href="{href}" x="9" y="9" width="9" height="9"/></svg>')


LONG = "Möwe " * 45 + ".png"
"""Written as an address it is longer than what messages quote of it."""


@pytest.mark.parametrize(
    ("href", "beside"),
    [
        ("boats/gull.png", ["a.waivers.toml", "boats/gull.png"]),
        (quote(LONG), [LONG, "a.waivers.toml"]),
        ("../other/gull.png", ["a.waivers.toml"]),
        ("/etc/hostname", ["a.waivers.toml"]),
        ("http://harbour.invalid/gull.png", ["a.waivers.toml"]),
        ("http://[x", ["a.waivers.toml"]),
    ],
)
def test_only_images_below_its_own_folder_are_asked_for(href: str, beside: list[str], tmp_path: Path) -> None:
    written(tmp_path, {"north/a.svg": linking(href)})
    found = answer(tmp_path, "north/a.svg")
    assert found.status == "checked"
    assert [name for name, _ in found.beside] == beside
