"""README.md says nothing that does not work: every command, profile and piece of Python in it is run."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from preflight.engine import check_file
from preflight.plugins import Plugins
from preflight.profile import load

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)
COMMANDS = [
    line
    for kind, block in BLOCKS
    if kind == "sh"
    for line in block.splitlines()
    if line.startswith("preflight ")
]

ON_SERVERS = [
    command
    for kind, block in BLOCKS
    if kind == "yaml"
    for command in re.findall(r"preflight check [^>\n]*", block)
]
"""What a server runs, without where its output goes."""

PYTHON = [block for kind, block in BLOCKS if kind == "python"]


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A folder with the artwork that the commands name."""
    for name in ("sheet.svg", "sheet.pdf", "GOOD.pdf"):
        shutil.copy(ROOT / "fixtures" / "demo" / f"summer-season{name[-4:]}", tmp_path / name)
    return tmp_path


def run(command: str, folder: Path) -> subprocess.CompletedProcess[bytes]:
    """The command as a shell takes it, without needing one: redirection from a file, and globs."""
    words = shlex.split(command, comments=True)
    stdin = b""
    if "<" in words:
        at = words.index("<")
        stdin = (folder / words[at + 1]).read_bytes()
        del words[at : at + 2]
    words = [
        name
        for word in words
        for name in (
            sorted(p.relative_to(folder).as_posix() for p in folder.glob(word)) if "*" in word else [word]
        )
    ]
    return subprocess.run(
        [sys.executable, "-m", *words], cwd=folder, input=stdin, capture_output=True, timeout=60, check=False
    )


def test_there_are_commands_to_run() -> None:
    assert len(COMMANDS) >= 8
    assert {"sh", "toml", "python"} <= {kind for kind, _ in BLOCKS}


AUDITS = [command for command in COMMANDS if command.startswith("preflight audit ")]


def test_audits_work_in_the_order_they_are_told(shop: Path) -> None:
    (shop / "archive").mkdir()
    shutil.copy(shop / "sheet.svg", shop / "archive" / "sheet.svg")
    assert len(AUDITS) >= 4
    for command in AUDITS:
        done = run(command, shop)
        assert (done.returncode, b"Traceback" in done.stderr) == (0, False), (command, done.stderr)


@pytest.mark.parametrize("command", [command for command in COMMANDS if command not in AUDITS])
def test_commands_work(command: str, shop: Path) -> None:
    done = run(command, shop)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout
    for name in re.findall(r"--report (\S+)", command):
        assert (shop / name).stat().st_size > 1000


@pytest.mark.parametrize("command", ON_SERVERS)
def test_commands_of_servers_work(command: str, shop: Path) -> None:
    (shop / "art").mkdir()
    shutil.copy(shop / "sheet.svg", shop / "art" / "sheet.svg")
    done = run(command.strip(), shop)
    assert (done.returncode, done.stderr) == (0, b"")
    assert done.stdout
    for name in re.findall(r"--report (\S+)", command):
        assert b"art/sheet.svg" in (shop / name).read_bytes()


def test_there_are_commands_of_servers_to_run() -> None:
    assert len(ON_SERVERS) == 2


def test_the_table_of_formats_lists_all_with_their_suffixes() -> None:
    rows = re.findall(r"^\| `(\w+)` \| (?:`(\.\w+)`)? ?\| ", README, re.MULTILINE)
    assert {name: suffix or None for name, suffix in rows} == {
        name: renderer.suffix for name, renderer in Plugins().renderers.items()
    }


@pytest.mark.parametrize("command", sorted(set(re.findall(r"`(preflight [a-z][^`]*)`", README))))
def test_commands_named_in_the_text_work(command: str, shop: Path) -> None:
    done = run(command, shop)
    assert (done.returncode, b"Traceback" in done.stderr) == (0, False)


def test_the_two_commands_are_what_they_say() -> None:
    first, second = [line for kind, block in BLOCKS if kind == "sh" for line in block.splitlines()][:2]
    for line in (first, second):
        assert line.startswith("python3 -m venv .venv && .venv/bin/pip install -q -c constraints.txt ")
    named = first.partition("preflight check ")[2].split()
    assert (ROOT / named[0]).is_file()
    assert named[1:] == ["--report", "report.html"]
    assert run(f"preflight check {named[0]}", ROOT).returncode == 1  # as the README says it ends
    assert "pytest" in second


def test_the_steps_of_a_baseline_work_one_after_another(shop: Path) -> None:
    (steps,) = [block for kind, block in BLOCKS if kind == "shell"]
    (shop / "art").mkdir()
    shutil.copy(ROOT / "fixtures" / "demo" / "faulty.svg", shop / "art")
    for words in (["init", "-q"], ["add", "."], ["commit", "-qm", "All"]):
        own = ["-c", "user.name=Quillsay", "-c", "user.email=desk@quillsay.example"]
        subprocess.run(["git", *own, *words], cwd=shop, check=True)
    done = [run(line, shop) for line in steps.splitlines()]
    assert [one.returncode for one in done] == [0] * 5
    assert b"wrote known.json" in done[0].stderr
    assert b"24 known" in done[4].stdout
    assert len(json.loads((shop / "known.json").read_text("utf-8"))["findings"]) == 24


def test_the_profile_is_accepted_and_does_what_it_says(tmp_path: Path) -> None:
    text = next(block for kind, block in BLOCKS if kind == "toml")
    (tmp_path / "preflight.toml").write_text(text, "utf-8")
    profile = load(tmp_path)
    profile.validate_rules(Plugins().rules)
    assert "sticker edge" in profile.steps["PartialCutting"].names
    assert profile.rule("node-excess", "a.svg").level == "note"
    assert profile.rule("corner-tight", str(tmp_path / "archive" / "old" / "a.svg")).level == "off"
    assert profile.rule("corner-tight", str(tmp_path / "a.svg")).level is None


@pytest.mark.parametrize("code", [code for code in PYTHON if "class " not in code])
def test_python_runs(code: str, shop: Path) -> None:
    shutil.copy(ROOT / "fixtures" / "demo" / "faulty.svg", shop / "sheet.svg")
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", code],
        cwd=shop,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "contour-open" in done.stdout


def test_the_house_rule_works_as_it_is_written(shop: Path) -> None:
    (rule,) = [code for code in PYTHON if "class " in code]
    (profile,) = [block for kind, block in BLOCKS if kind == "toml" and "rule_files" in block]
    (shop / "house_rules.py").write_text(rule, "utf-8")
    shutil.copy(ROOT / "fixtures" / "demo" / "faulty.svg", shop / "sheet.svg")  # 340 mm wide
    found = {}
    for widest in ("310 mm", "345 mm"):
        (shop / "preflight.toml").write_text(profile.replace("310 mm", widest), "utf-8")
        done = run("preflight check sheet.svg --select house --fail-on warning", shop)
        assert done.stderr == b""
        found[widest] = (done.returncode, "The page is 340 mm wide." in done.stdout.decode())
    assert found == {"310 mm": (1, True), "345 mm": (0, False)}
    page = run("preflight explain house-wide-sheet", shop).stdout.decode()
    assert "Pages wider than 345 mm." in page


def test_names_replace_those_by_default_as_the_readme_says(tmp_path: Path) -> None:
    text = next(block for kind, block in BLOCKS if kind == "toml")
    assert "names` *replace* the step's own trade names" in README
    sheet = tmp_path / "a.svg"
    circle = '<circle r="9" fill="none" stroke="#000"/>'
    drawn = (
        f'<g id="kiss cut">{circle}</g><g id="sticker edge">{circle}</g><g id="PartialCutting">{circle}</g>'
    )
    sheet.write_text(f'<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm">{drawn}</svg>')
    roles = {}
    for names in ('["sticker edge"]', '["sticker edge", "kiss cut"]'):
        (tmp_path / "preflight.toml").write_text(text.replace('["sticker edge"]', names), "utf-8")
        seen = json.loads(run("preflight inspect a.svg --format json", tmp_path).stdout)
        objects = seen["files"][0]["pages"][0]["objects"]
        roles[names] = [one["step"] for one in objects]
    kiss = "PartialCutting"
    assert list(roles.values()) == [[None, kiss, kiss], [kiss, kiss, kiss]]


def test_places_count_downwards_in_pdf_as_in_svg(shop: Path) -> None:
    assert "y *downwards*, in PDF as in SVG" in README
    places = []
    for suffix in (".svg", ".pdf"):
        findings = check_file(ROOT / "fixtures" / "demo" / f"faulty{suffix}").findings()
        places.append(next(one.points_mm[0] for one in findings if one.rule == "contour-open"))
    assert places[0] == pytest.approx(places[1], abs=0.01)
    assert places[0][1] == pytest.approx(210.5, abs=1)  # of a page 264 mm high: near its lower edge


def test_the_waiver_is_accepted_and_does_what_it_says(tmp_path: Path) -> None:
    (text,) = [block for kind, block in BLOCKS if kind == "text" and "[[waivers]]" in block]
    (tmp_path / "sheet.waivers.toml").write_text(text, "utf-8")
    shutil.copy(ROOT / "fixtures" / "demo" / "faulty.pdf", tmp_path / "sheet.pdf")
    found = list(check_file(tmp_path / "sheet.pdf").findings())
    assert [one.rule for one in found if one.waived == "slit for the string"] == ["contour-open"]
    assert not [one for one in found if one.rule.startswith("waiver")]


def test_every_file_named_is_there() -> None:
    for name in re.findall(r"`((?:tests|fixtures)/[\w/.-]+|[A-Z]+\.md)`", README):
        assert (ROOT / name).exists(), name
