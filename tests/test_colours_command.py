"""``preflight colours`` and what ``check`` does with libraries and output profiles, as a person runs them."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

PRESS = Path("/usr/share/color/icc/ghostscript/default_cmyk.icc")

SHEET = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<defs><linearGradient id="a" data-name="Ferry Orange"><stop stop-color="#d05a2a"/></linearGradient>
<linearGradient id="b" data-name="Rust"><stop stop-color="device-cmyk(0 0.8 1 0)"/></linearGradient></defs>
<rect x="10" y="10" width="15" height="15" fill="url(#a)"/><rect x="30" y="10" width="15" height="15" fill="url(#b)"/>
<path id="kiss_cut" fill="none" stroke="#000" stroke-width="0.1" d="M4 4H56V36H4Z"/></svg>"""


def run(*words: str | Path, folder: Path, columns: str = "80") -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "COLUMNS": columns, "NO_COLOR": "1"}
    command = [sys.executable, "-m", "preflight", *map(str, words)]
    return subprocess.run(command, capture_output=True, cwd=folder, env=environment, timeout=60, check=False)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    (tmp_path / "sheet.svg").write_text(SHEET)
    (tmp_path / "ferry.csv").write_text("name,L,a,b\nFERRY ORANGE,62,68,72\n")
    (tmp_path / "preflight.toml").write_text('[colours]\nlibraries = ["ferry.csv"]\n')
    return tmp_path


def test_colours_tells_lab_source_verdict_and_nearest(shop: Path) -> None:
    done = run("colours", "sheet.svg", "--format", "json", folder=shop)
    assert (done.returncode, done.stderr) == (0, b"")
    (file,) = json.loads(done.stdout)["files"]
    orange, rust = file["pages"][0]["colours"]
    assert (orange["name"], orange["source"], orange["verdict"]) == (
        "Ferry Orange",
        "library ferry.csv",
        "out of reach",
    )
    assert orange["lab"] == [62, 68, 72]
    assert orange["difference"] == pytest.approx(
        4.91, abs=0.05
    )  # as fixtures/rules/colour-gamut/fail-orange.svg
    assert orange["nearest"]["channels"] == ["C", "M", "Y", "K"]
    assert len(orange["reach_ab"]) > 12
    assert (rust["source"], rust["verdict"], rust["nearest"]) == (
        "process inks in the file",
        "not known",
        None,
    )
    assert (file["tolerance"], "FOGRA39L" in file["output"]) == (3.0, True)


@pytest.mark.parametrize("columns", ["60", "80"])
def test_colours_as_text_keeps_to_the_columns(shop: Path, columns: str) -> None:
    done = run("colours", "sheet.svg", folder=shop, columns=columns)
    lines = done.stdout.decode().splitlines()
    assert done.returncode == 0
    assert max(map(len, lines)) <= int(columns)
    assert any("Ferry Orange" in line and "out of reach" in line for line in lines)


def test_a_file_without_named_colours_says_so_and_an_unreadable_one_exits_2(shop: Path) -> None:
    (shop / "plain.svg").write_text(SHEET.replace("url(#a)", "#fff").replace("url(#b)", "#fff"))
    done = run("colours", "plain.svg", "none.svg", folder=shop)
    assert done.returncode == 2
    assert "no named colour prints" in done.stdout.decode()
    assert "none.svg" in done.stderr.decode()


def test_the_report_of_check_holds_the_colours(shop: Path) -> None:
    done = run("check", "sheet.svg", "--format", "json", folder=shop)
    (page,) = json.loads(done.stdout)["files"][0]["pages"]
    assert [colour["name"] for colour in page["colours"]] == ["Ferry Orange", "Rust"]
    assert {"colour-gamut", "colour-unknown"} <= {finding["rule"] for finding in page["findings"]}


@pytest.mark.parametrize(
    ("profile", "files", "told"),
    [
        ('[colours]\nlibraries = ["ferry.csv"]\n', {"ferry.csv": b"name,L,a\n"}, "ferry.csv: line 1"),
        ('[colours]\nlibraries = ["ferry.cxf"]\n', {"ferry.cxf": b"<cc:CxF"}, "ferry.cxf: "),
        ('[output]\nicc_profile = "roll.icc"\n', {"roll.icc": b"none"}, "roll.icc: "),
    ],
)
@pytest.mark.parametrize("command", ["check", "colours"])
def test_a_broken_file_of_the_profile_is_told_and_nothing_is_judged(
    shop: Path, command: str, profile: str, files: dict[str, bytes], told: str
) -> None:
    (shop / "preflight.toml").write_text(profile)
    for name, content in files.items():
        (shop / name).write_bytes(content)
    done = run(command, "sheet.svg", folder=shop)
    message = done.stderr.decode()
    assert (done.returncode, done.stdout) == (2, b"")
    assert told in message
    assert "preflight.toml" in message
    assert "Traceback" not in message


def test_a_name_that_a_library_refuses_is_told_with_the_reason(shop: Path) -> None:
    cxf = (Path(__file__).parents[1] / "fixtures" / "colours" / "house-orange.cxf").read_text()
    refused = '<cc:Object ObjectType="Standard" Name="Ferry Orange" Id="o2"><cc:ColorValues/></cc:Object></cc:ObjectCollection>'
    (shop / "ferry.csv").write_text(cxf.replace("</cc:ObjectCollection>", refused))
    done = run("check", "sheet.svg", "--format", "json", "--select", "colour-unknown", folder=shop)
    messages = [one["message"] for one in json.loads(done.stdout)["files"][0]["pages"][0]["findings"]]
    assert any("ferry.csv has it, but it has neither reflectance" in message for message in messages)


TINTS = Path(__file__).parents[1] / "fixtures" / "rules" / "colour-gamut"


def test_tints_in_use_are_shown_each_with_its_verdict(tmp_path: Path) -> None:
    """Values as the expectations of these fixtures have them."""
    done = run(
        "colours",
        TINTS / "fail-tint.pdf",
        TINTS / "fail-assumed-tint.pdf",
        "--format",
        "json",
        folder=tmp_path,
    )
    green, glow = (file["pages"][0]["colours"][0] for file in json.loads(done.stdout)["files"])
    assert [(tint["percent"], tint["verdict"], tint["source"]) for tint in green["tints"]] == [
        (30, "out of reach", "screen colour in the file"),
        (40, "out of reach", "screen colour in the file"),
    ]
    assert (green["percent"], green["difference"]) == (40, pytest.approx(11.948, abs=0.05))
    assert (green["certain"], green["tints"][0]["certain"]) == (False, False)
    assert green["nearest"] == green["tints"][1]["nearest"]
    (tint,) = glow["tints"]
    assert (glow["certain"], tint["certain"]) == (True, False)
    assert tint["source"] == "assumed from the full tint"
    text = run("colours", TINTS / "fail-tint.pdf", folder=tmp_path).stdout.decode()
    assert any(line.split()[:2] == ["40", "%"] and "11.9" in line for line in text.splitlines())


def test_a_colour_of_another_hue_has_the_nearest_of_its_own_beside_it(shop: Path) -> None:
    """Blue of a screen: the nearest of all is a dull teal, that of its hue nearly all cyan and magenta (brute force: 14.06)."""
    (shop / "sheet.svg").write_text(SHEET.replace("#d05a2a", "#00f"))
    (shop / "preflight.toml").write_text("")
    done = run("colours", "sheet.svg", "--format", "json", folder=shop)
    blue = json.loads(done.stdout)["files"][0]["pages"][0]["colours"][0]
    assert blue["same_hue"]["difference"] == pytest.approx(14.05, abs=0.1)
    assert blue["same_hue"]["difference"] > blue["difference"]
    cyan, magenta, yellow, black = blue["same_hue"]["device"]
    assert min(cyan, magenta) > 90
    assert max(yellow, black) < 5
    assert "of the same hue C 100" in " ".join(
        run("colours", "sheet.svg", folder=shop).stdout.decode().split()
    )
    told = run("check", "sheet.svg", "--format", "json", "--select", "colour-gamut", folder=shop)
    (finding,) = json.loads(told.stdout)["files"][0]["pages"][0]["findings"]
    assert "of the same hue" in finding["hint"]


def test_what_a_library_holds_and_is_not_read_is_told(shop: Path) -> None:
    text = (TINTS / "measured-inks.cxf").read_text()
    more = text.replace("</cc:CustomResources>", '<x:Settings xmlns:x="urn:x"/></cc:CustomResources>')
    (shop / "inks.cxf").write_text(more)
    (shop / "preflight.toml").write_text('[colours]\nlibraries = ["inks.cxf"]\n')
    seen = json.loads(run("colours", "sheet.svg", "--format", "json", folder=shop).stdout)["files"][0]
    line = next(number for number, row in enumerate(more.splitlines(), 1) if "x:Settings" in row)
    assert seen["unread"] == [f"inks.cxf, line {line}: the custom resource “Settings” is not read"]
    assert "“Settings” is not read" in " ".join(
        run("colours", "sheet.svg", folder=shop).stdout.decode().split()
    )
    # It matters to a check only where a colour in use might be in there.
    for name, told in (("Ferry Orange", True), ("Lamp Green", False)):
        (shop / "sheet.svg").write_text(SHEET.replace("Ferry Orange", name).replace("url(#b)", "none"))
        page = json.loads(run("check", "sheet.svg", "--format", "json", folder=shop).stdout)["files"][0][
            "pages"
        ][0]
        assert ("colour library" in [note["what"] for note in page["not_checked"]]) is told


@pytest.mark.skipif(not PRESS.exists(), reason="needs Debian's libgs-common")
def test_the_shop_s_own_profile_decides(shop: Path) -> None:
    """Solid cyan, relative to the paper, of that profile (LittleCMS 2.14, transicc). Coated paper does not reach it."""
    (shop / "ferry.csv").write_text("name,L,a,b\nFerry Orange,63.61,-41.39,-48.34\n")
    profile = '[colours]\nlibraries = ["ferry.csv"]\n'
    seen = {}
    for name, more in (("coated", ""), ("press", f'[output]\nicc_profile = "{PRESS.as_posix()}"\n')):
        (shop / "preflight.toml").write_text(profile + more)
        (file,) = json.loads(run("colours", "sheet.svg", "--format", "json", folder=shop).stdout)["files"]
        seen[name] = file["output"], file["pages"][0]["colours"][0]
    assert "default_cmyk.icc" in seen["press"][0]
    assert seen["press"][1]["difference"] < 0.1
    assert seen["press"][1]["nearest"]["device"] == pytest.approx([100, 0, 0, 0], abs=1)
    assert seen["press"][1]["verdict"] == "within reach"
    assert seen["coated"][1]["difference"] > 1.0
