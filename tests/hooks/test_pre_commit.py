"""The hooks of ``.pre-commit-hooks.yaml`` in real repositories, run by pre-commit as a commit runs them."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest
import yaml
from pre_commit.clientlib import load_config, load_manifest

ROOT = Path(__file__).parents[2]
MANIFEST = ROOT / ".pre-commit-hooks.yaml"
CODE = ("preflight", "rules", "pyproject.toml", "README.md", "LICENSE", MANIFEST.name)
"""What it takes to install this project."""

SHEET = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<rect width="60" height="40" fill="#f4a261"/>
<g id="Kiss_Cut" fill="none" stroke="#000" stroke-width="0.1">{cuts}</g></svg>
"""
CLEAN = SHEET.format(cuts='<path d="M10 10H25V30H10z"/>')
OPEN = SHEET.format(cuts='<path d="M10 10H25V30H10V11"/>')
OPENED_MORE = SHEET.format(cuts='<path d="M10 10H25V30H10V11"/><path d="M35 10H50V30H35V12"/>')


class Repository:
    """A repository whose commits run the hooks."""

    def __init__(self, folder: Path, home: Path) -> None:
        self.folder = folder
        own = {
            "GIT_CONFIG_GLOBAL": os.devnull,
            "GIT_CONFIG_SYSTEM": os.devnull,
            "PRE_COMMIT_HOME": str(home),
            "PRE_COMMIT_COLOR": "never",
            "PIP_CONSTRAINT": str(ROOT / "constraints.txt"),
        }
        who = {
            f"GIT_{role}_{what}": "desk@quillsay.example"
            for role in ("AUTHOR", "COMMITTER")
            for what in ("NAME", "EMAIL")
        }
        self._environment = {**os.environ, **own, **who}
        folder.mkdir()
        self.done("git", "init", "-q")

    def run(self, *words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            words,
            cwd=self.folder,
            env=self._environment,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            check=False,
            timeout=600,
        )

    def done(self, *words: str) -> str:
        done = self.run(*words)
        assert done.returncode == 0, done.stdout
        return done.stdout

    def hooked(self, repository: dict[str, object]) -> None:
        """Have commits run the hooks of a repository, as its part of the configuration says."""
        self.write(".pre-commit-config.yaml", yaml.safe_dump({"repos": [repository]}))
        self.done("git", "add", ".")
        self.done("git", "commit", "-qm", "Begun")
        self.done(sys.executable, "-m", "pre_commit", "install")

    def write(self, name: str, text: str) -> None:
        path = self.folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def commit(self, **files: str) -> subprocess.CompletedProcess[str]:
        """Commit files of those names, which lack their suffix; whether it was refused the exit code tells."""
        for name, text in files.items():
            self.write(f"{name}.svg", text)
            self.done("git", "add", f"{name}.svg")
        return self.run("git", "commit", "-m", "A sheet")

    def committed(self) -> set[str]:
        return set(self.done("git", "ls-tree", "-r", "--name-only", "HEAD").split())


def hooks() -> dict[str, dict[str, object]]:
    return {hook["id"]: hook for hook in load_manifest(str(MANIFEST))}


def local(id_: str, *args: str) -> dict[str, object]:
    """The hook just as its manifest says, run by the program under test without an environment of its own."""
    (told,) = [one for one in yaml.safe_load(MANIFEST.read_text("utf-8")) if one["id"] == id_]
    program, *words = told["entry"].split()
    assert program == "preflight"
    entry = " ".join([f'"{sys.executable}" -m preflight', *words])
    return {"repo": "local", "hooks": [told | {"entry": entry, "language": "system", "args": list(args)}]}


@pytest.fixture
def shop(tmp_path: Path) -> Repository:
    return Repository(tmp_path / "shop", tmp_path / "home")


def test_the_manifest_is_one_that_pre_commit_takes() -> None:
    assert set(hooks()) == {"preflight", "preflight-changed"}
    assert {hook["language"] for hook in hooks().values()} == {"python"}


def test_an_open_cut_contour_is_refused_and_a_closed_one_passes(shop: Repository) -> None:
    shop.hooked(local("preflight"))
    refused = shop.commit(badge=OPEN)
    assert refused.returncode == 1
    assert "contour-open" in refused.stdout
    assert "badge.svg" not in shop.committed()
    passed = shop.commit(badge=CLEAN)
    assert passed.returncode == 0, passed.stdout
    assert "badge.svg" in shop.committed()


def test_what_the_profile_leaves_out_passes(shop: Repository) -> None:
    shop.write("preflight.toml", '[files]\nexclude = ["archive/**"]\n')
    shop.hooked(local("preflight"))
    assert shop.commit(**{"archive/old": OPEN}).returncode == 0
    assert shop.commit(**{"art/new": OPEN}).returncode == 1


def test_only_what_is_staged_is_checked_and_as_it_is_staged(shop: Repository) -> None:
    shop.write("old.svg", OPEN)
    shop.hooked(local("preflight"))
    shop.write("beside.svg", OPEN)
    assert shop.commit(badge=CLEAN).returncode == 0
    # Staged whole, and opened since; staged open, and mended since.
    shop.write("badge.svg", CLEAN + "<!-- 2 -->")
    shop.done("git", "add", "badge.svg")
    shop.write("badge.svg", OPEN)
    assert shop.commit().returncode == 0
    shop.done("git", "add", "badge.svg")
    shop.write("badge.svg", CLEAN)
    assert shop.commit().returncode == 1
    assert (shop.folder / "badge.svg").read_text("utf-8") == CLEAN


def test_of_what_changed_an_old_fault_passes_and_a_new_one_is_refused(shop: Repository) -> None:
    shop.write("badge.svg", OPEN)
    shop.hooked(local("preflight-changed"))
    assert shop.commit(badge=OPEN.replace("#f4a261", "#2a9d8f")).returncode == 0
    refused = shop.commit(badge=OPENED_MORE)
    assert refused.returncode == 1
    assert "contour-open 1 (in the earlier version, too)" in refused.stdout
    # As it stands in the index, not in the folder.
    shop.write("badge.svg", OPEN)
    assert shop.commit().returncode == 1
    shop.done("git", "add", "badge.svg")
    shop.done("git", "mv", "badge.svg", "moved.svg")
    assert shop.commit().returncode == 0
    assert shop.commit(other=OPEN).returncode == 1


def test_a_range_of_commits_is_held_against_where_it_begins(shop: Repository) -> None:
    shop.write("badge.svg", OPEN)
    shop.hooked(local("preflight-changed"))
    shop.write("badge.svg", OPENED_MORE)
    shop.done("git", "commit", "-qnam", "Past the hook")
    run = [sys.executable, "-m", "pre_commit", "run", "--from-ref", "HEAD~1", "--to-ref", "HEAD"]
    assert shop.run(*run).returncode == 1


def test_args_of_the_configuration_reach_the_command(shop: Repository) -> None:
    shop.write("badge.svg", OPEN)
    shop.done(
        sys.executable,
        "-m",
        "preflight",
        "check",
        "badge.svg",
        "--baseline",
        "known.json",
        "--write-baseline",
    )
    shop.hooked(local("preflight", "--baseline", "known.json"))
    assert shop.commit(badge=OPEN.replace("#f4a261", "#2a9d8f")).returncode == 0
    assert shop.commit(badge=OPENED_MORE).returncode == 1


@pytest.mark.parametrize(
    ("name", "checked"),
    [
        ("a.svg", True),
        ("A.SVG", True),
        ("a.svgz", True),
        ("a.pdf", True),
        ("a.ai", True),
        ("a.txt", False),
        ("a.svg.txt", False),
        ("ai", False),
    ],
)
def test_every_ending_that_is_read_is_looked_at(shop: Repository, name: str, checked: bool) -> None:
    shop.write(name, "no artwork")
    shop.hooked(local("preflight"))
    done = shop.run(sys.executable, "-m", "pre_commit", "run", "--files", name)
    assert done.returncode == int(checked)
    assert ("no files to check" in done.stdout) is not checked


def test_the_configuration_of_the_readme_is_one_that_pre_commit_takes(tmp_path: Path) -> None:
    blocks = re.findall(
        r"^```yaml\n(.*?)^```$", (ROOT / "README.md").read_text("utf-8"), re.MULTILINE | re.DOTALL
    )
    (block,) = [one for one in blocks if one.startswith("repos:")]
    path = tmp_path / ".pre-commit-config.yaml"
    path.write_text(block, encoding="utf-8")
    (repository,) = load_config(str(path))["repos"]
    assert [hook["id"] for hook in repository["hooks"]] == ["preflight"]
    assert "preflight-changed" in block


@pytest.mark.slow
def test_a_stranger_installs_the_hook_from_the_repository(tmp_path: Path) -> None:
    source = Repository(tmp_path / "source", tmp_path / "home")
    ignored = shutil.ignore_patterns("__pycache__")
    for name in CODE:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, source.folder / name, ignore=ignored)
        else:
            shutil.copyfile(ROOT / name, source.folder / name)
    source.done("git", "add", ".")
    source.done("git", "commit", "-qm", "The program")
    commit = source.done("git", "rev-parse", "HEAD").strip()
    shop = Repository(tmp_path / "shop", tmp_path / "home")
    shop.write("badge.svg", OPEN)
    shop.hooked(
        {
            "repo": str(source.folder),
            "rev": commit,
            "hooks": [{"id": "preflight"}, {"id": "preflight-changed"}],
        }
    )
    refused = shop.commit(badge=OPENED_MORE)
    assert refused.returncode == 1
    assert refused.stdout.count("contour-open ") >= 2
    assert shop.commit(badge=CLEAN).returncode == 0
