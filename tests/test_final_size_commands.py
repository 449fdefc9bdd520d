"""Final size and copies on the command line: what is judged, what is told, what is refused."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from preflight.cli import main

OPEN = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<rect x="2" y="2" width="56" height="36" fill="#f4a261"/>
<g id="Kiss_Cut"><path d="M10 10H30V30H10V11" fill="none" stroke="#000" stroke-width="0.05"/></g></svg>"""


@pytest.fixture
def sheet(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "tea-room.svg"
    path.write_text(OPEN)
    return path


def run(*words: str, code: int = 0) -> str:
    told = CliRunner().invoke(main, words)
    assert told.exit_code == code, told.output
    return told.output


def page(*words: str, code: int = 1) -> dict[str, Any]:
    document = json.loads(run("check", "tea-room.svg", "--format", "json", *words, code=code))
    return document["files"][0]["pages"][0]  # type: ignore[no-any-return]


def gap(of: dict[str, Any]) -> float:
    (found,) = (one for one in of["findings"] if one["rule"] == "contour-open")
    return float(found["measured"]["value"])


@pytest.mark.parametrize(
    ("words", "scale"),
    [
        (("--scale", "10"), 10.0),
        (("--scale", "1:10"), 10.0),
        (("--scale", "1000%"), 10.0),
        (("--width", "600 mm"), 10.0),
        (("--width", "60 cm"), 10.0),
        (("--width", "1 1/2 in"), 38.1 / 60),
        ((), 1.0),
    ],
)
def test_everything_is_judged_at_final_size(sheet: Path, words: tuple[str, ...], scale: float) -> None:
    found = page(*words)
    assert found["scale"] == pytest.approx(scale)
    assert found["size_mm"] == pytest.approx([60 * scale, 40 * scale], abs=1e-3)
    assert gap(found) == pytest.approx(scale, abs=1e-3)
    seen = json.loads(run("inspect", "tea-room.svg", "--format", "json", *words))["files"][0]["pages"][0]
    assert seen["scale"] == found["scale"]
    assert seen["size_mm"] == pytest.approx(found["size_mm"], abs=1e-3)
    assert seen["objects"][1]["bounds_mm"] == pytest.approx(
        [value * scale for value in (10, 10, 30, 30)], abs=1e-3
    )


def test_what_is_said_stands_instead_of_the_profile_and_is_in_the_digest(sheet: Path) -> None:
    (sheet.parent / "preflight.toml").write_text('[job]\nwidth = "120 mm"\n')
    assert page()["scale"] == pytest.approx(2)
    assert page("--scale", "5")["scale"] == 5
    digests = {
        json.loads(run("check", "tea-room.svg", "--format", "json", *words, code=1))["profile"]["digest"]
        for words in ((), ("--scale", "5"), ("--copies", "500"), ("--rotate", "90"), ("--width", "10 cm"))
    }
    assert len(digests) == 5


def test_people_are_told_the_scale(sheet: Path) -> None:
    told = run("check", "tea-room.svg", "--scale", "1:10", "--report", "a.html", code=1)
    assert "600 × 400 mm, judged at 10 times the size drawn" in told
    assert "judged at 10 times the size drawn" in (sheet.parent / "a.html").read_text("utf-8")
    assert "10 times the size drawn" in run("inspect", "tea-room.svg", "--scale", "10")
    plain = run("check", "tea-room.svg", "--report", "b.html", code=1)
    assert "size drawn" not in plain
    assert "size drawn" not in (sheet.parent / "b.html").read_text("utf-8")


@pytest.mark.parametrize("command", ["check", "inspect"])
@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--scale", "2", "--width", "1 m"), "--width"),
        (("--scale", "0"), "--scale"),
        (("--scale", "big"), "--scale"),
        (("--width", "600"), "--width"),
        (("--copies", "0"), "--copies"),
        (("--copies", "2.5"), "--copies"),
        (("--rotate", "left"), "--rotate"),
        (("--rotate", "nan"), "--rotate"),
    ],
)
def test_what_makes_no_sense_is_told_by_its_option(
    sheet: Path, command: str, words: tuple[str, ...], told: str
) -> None:
    assert f"preflight: {told}: " in run(command, "tea-room.svg", *words, code=2)


def test_inspect_tells_how_the_copies_lie(sheet: Path) -> None:
    (sheet.parent / "preflight.toml").write_text('[media]\nwidth = "1370 mm"\n')
    # 60 mm with 3 mm between: 21 in 1320 mm. Turned: 40 mm, 30 in 1320 mm.
    assert "500 copies, 21 side by side in 24 rows" in " ".join(
        run("inspect", "tea-room.svg", "--copies", "500").split()
    )
    turned = run("inspect", "tea-room.svg", "--copies", "500", "--rotate", "90", "--format", "json")
    roll = json.loads(turned)["files"][0]["pages"][0]["production"]["roll"]
    assert (roll["columns"], roll["rows"], roll["frame_mm"]) == (30, 17, [40, 60])


def test_how_much_vinyl(sheet: Path) -> None:
    """The question that is asked most, answered by one command in metres and square metres."""
    (sheet.parent / "preflight.toml").write_text(
        '[media]\nwidth = "1370 mm"\n[cutter]\nspeed = { PartialCutting = "200 mm/s" }\n'
    )
    told = " ".join(run("check", "tea-room.svg", "--copies", "500", code=1).split())
    # 24 rows of 40 mm, 23 spaces of 3 mm and 50 mm at both ends.
    assert "take 1.13 m of a roll 1370 mm wide: 1.55 m²" in told
    # An open contour of 20 + 20 + 20 + 19 mm frees no piece: no waste can be told.
    assert "ends in no piece" not in told
    assert "For 500 copies: 500 lifts of the knife, 4 min 58 s of cutting." in told
    lines = run("check", "tea-room.svg", "--copies", "500", code=1).splitlines()
    assert max(map(len, lines)) <= 80
