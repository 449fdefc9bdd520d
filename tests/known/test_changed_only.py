"""``check --changed-only`` in real repositories: what the change brought counts, what was there before does not."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

CUT = '<path d="M{x} 10h15v20h-15v-{rise}"/>'
SHEET = """<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">
<rect x="1" y="1" width="88" height="58" fill="#f4a261"/>
<g id="Kiss_Cut" fill="none" stroke="#000" stroke-width="0.1">
{cuts}</g></svg>
"""


def sheet(*rises: float) -> str:
    """A sheet with a contour for each number, its ends so far apart that 20 closes it."""
    cuts = [CUT.format(x=10 + 25 * index, rise=rise) for index, rise in enumerate(rises)]
    return SHEET.format(cuts="\n".join(cuts))


def ran(*words: str, folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        words,
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
        timeout=120,
        env={**os.environ, "GIT_CONFIG_GLOBAL": os.devnull, "GIT_CONFIG_SYSTEM": os.devnull, **environment},
    )


def git(folder: Path, *words: str) -> str:
    own = [
        "-c",
        "user.name=Quillsay",
        "-c",
        "user.email=desk@quillsay.example",
        "-c",
        "init.defaultBranch=main",
    ]
    done = ran("git", *own, *words, folder=folder)
    assert done.returncode == 0, done.stderr
    return done.stdout


def check(
    folder: Path, *words: str, option: str = "--changed-only", **environment: str
) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "preflight", "check", *words]
    return ran(*command, *option.split(), folder=folder, **environment)


def counts(folder: Path, *words: str, option: str = "--changed-only", **environment: str) -> dict[str, int]:
    done = check(folder, *words, "--format", "json", option=option, **environment)
    assert done.returncode in (0, 1), done.stderr
    told: dict[str, Any] = json.loads(done.stdout)
    return {"new": told["counts"]["error"], "known": told["counts"]["known"]}


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A repository whose one commit holds a sheet with an open contour."""
    folder = tmp_path / "shop"
    (folder / "art").mkdir(parents=True)
    (folder / "art" / "a.svg").write_text(sheet(19, 20))
    git(folder, "init", "-q")
    git(folder, "add", ".")
    git(folder, "commit", "-qm", "The summer sheet")
    return folder


def test_what_was_there_before_is_known_and_what_the_change_brings_counts(shop: Path) -> None:
    done = check(shop, "art/a.svg")
    assert done.returncode == 0
    assert "contour-open 1 (in the earlier version, too)" in done.stdout
    (shop / "art" / "a.svg").write_text(sheet(19, 18))
    assert counts(shop, "art/a.svg") == {"new": 1, "known": 1}
    assert check(shop, "art/a.svg").returncode == 1
    # One mended, another brought: the number stays, and the new one counts.
    (shop / "art" / "a.svg").write_text(sheet(20, 18))
    assert counts(shop, "art/a.svg") == {"new": 1, "known": 0}


def test_the_findings_say_where_they_were_known_from(shop: Path) -> None:
    done = check(shop, "art/a.svg", "--format", "json")
    (finding,) = json.loads(done.stdout)["files"][0]["pages"][0]["findings"]
    assert finding["known"] == "earlier version"


def test_it_does_not_matter_from_where_it_is_run(shop: Path) -> None:
    assert counts(shop / "art", "a.svg") == {"new": 0, "known": 1}
    assert counts(shop.parent, "shop/art/a.svg") == {"new": 0, "known": 1}
    assert counts(shop.parent, str(shop / "art" / "a.svg")) == {"new": 0, "known": 1}


def test_in_a_new_file_all_is_new(shop: Path) -> None:
    (shop / "b.svg").write_text(sheet(19, 20))
    assert counts(shop, "b.svg") == {"new": 1, "known": 0}
    git(shop, "add", "b.svg")
    assert counts(shop, "b.svg", "art/a.svg") == {"new": 1, "known": 1}


def test_a_renamed_file_is_held_against_the_one_it_was(shop: Path) -> None:
    git(shop, "mv", "art/a.svg", "été 100% [1].svg")
    (shop / "été 100% [1].svg").write_text(sheet(19, 18))
    assert counts(shop, "été 100% [1].svg") == {"new": 1, "known": 1}


def test_names_that_git_could_take_for_patterns(shop: Path) -> None:
    for name in ("a*.svg", "[b].svg", ":(top)c.svg", "-d.svg"):
        (shop / name).write_text(sheet(19, 20))
    git(shop, "add", ".")
    git(shop, "commit", "-qm", "Odd names")
    for name in ("a*.svg", "[b].svg", ":(top)c.svg", "./-d.svg"):
        assert counts(shop, name) == {"new": 0, "known": 1}


def test_what_is_committed_is_no_longer_new_but_is_since_the_branch_began(shop: Path) -> None:
    git(shop, "switch", "-qc", "autumn")
    (shop / "art" / "a.svg").write_text(sheet(19, 18))
    git(shop, "commit", "-qam", "A second sticker")
    assert counts(shop, "art/a.svg") == {"new": 0, "known": 2}
    since = {"option": "--changed-since main"}
    assert counts(shop, "art/a.svg", **since) == {"new": 1, "known": 1}
    # What main mends meanwhile is not what the branch brought.
    git(shop, "switch", "-q", "main")
    (shop / "art" / "a.svg").write_text(sheet(20, 20))
    git(shop, "commit", "-qam", "The first sticker is closed")
    git(shop, "switch", "-q", "autumn")
    assert counts(shop, "art/a.svg", **since) == {"new": 1, "known": 1}
    # So says a run of hooks over a range of commits, which checks what is committed already.
    assert counts(shop, "art/a.svg", PRE_COMMIT_FROM_REF="main") == {"new": 1, "known": 1}


def test_in_a_repository_without_a_commit_all_is_new(tmp_path: Path) -> None:
    git(tmp_path, "init", "-q")
    (tmp_path / "a.svg").write_text(sheet(19))
    git(tmp_path, "add", ".")
    assert counts(tmp_path, "a.svg") == {"new": 1, "known": 0}


def test_a_submodule_and_a_linked_working_tree_have_commits_of_their_own(shop: Path) -> None:
    git(shop.parent, "init", "-q", "outer")
    outer = shop.parent / "outer"
    git(outer, "-c", "protocol.file.allow=always", "submodule", "add", "-q", str(shop), "customers")
    assert counts(outer, "customers/art/a.svg") == {"new": 0, "known": 1}
    git(shop, "worktree", "add", "-q", str(shop.parent / "beside"))
    beside = shop.parent / "beside"
    assert counts(beside, "art/a.svg") == {"new": 0, "known": 1}
    # As git runs a hook: it tells where it works, which for a file elsewhere is wrong.
    places = {
        "GIT_DIR": str(shop / ".git"),
        "GIT_INDEX_FILE": str(shop / ".git" / "index"),
        "GIT_PREFIX": "art/",
    }
    assert counts(outer, "customers/art/a.svg", **places) == {"new": 0, "known": 1}
    assert counts(shop, "art/a.svg", **places) == {"new": 0, "known": 1}


def test_line_ends_and_filters_of_the_working_tree_count(shop: Path) -> None:
    # A clean and smudge filter, as large files are kept: what is committed is no SVG, what is checked out is.
    git(shop, "config", "filter.turned.clean", "rev")
    git(shop, "config", "filter.turned.smudge", "rev")
    (shop / ".gitattributes").write_text("*.svg filter=turned\n")
    (shop / "b.svg").write_text(sheet(19))
    git(shop, "add", ".")
    git(shop, "commit", "-qm", "Kept as large files are")
    assert "<svg" not in git(shop, "cat-file", "blob", "HEAD:b.svg")
    assert counts(shop, "b.svg") == {"new": 0, "known": 1}


def test_an_earlier_version_that_cannot_be_read_makes_all_new_and_is_told(shop: Path) -> None:
    (shop / "art" / "b.svg").write_text("<svg")
    git(shop, "add", ".")
    git(shop, "commit", "-qm", "Broken")
    (shop / "art" / "b.svg").write_text(sheet(19))
    done = check(shop, "art/b.svg")
    assert done.returncode == 1
    assert "art/b.svg: all counts as new" in done.stderr


def test_a_link_that_becomes_a_file_is_new(shop: Path) -> None:
    (shop / "b.svg").symlink_to("art/a.svg")
    git(shop, "add", ".")
    git(shop, "commit", "-qm", "A link")
    assert counts(shop, "b.svg") == {"new": 0, "known": 1}  # held against what it points to
    (shop / "b.svg").unlink()
    (shop / "b.svg").write_text(sheet(19))
    assert counts(shop, "b.svg") == {"new": 1, "known": 0}


def test_a_waiver_that_is_taken_out_brings_its_finding(shop: Path) -> None:
    waivers = shop / "art" / "a.waivers.toml"
    waivers.write_text('[[waivers]]\nrule = "contour-open"\nreason = "a slit"\n')
    git(shop, "add", ".")
    git(shop, "commit", "-qm", "Waived")
    assert counts(shop, "art/a.svg") == {"new": 0, "known": 0}
    waivers.unlink()
    assert counts(shop, "art/a.svg") == {"new": 1, "known": 0}


def test_a_file_from_a_pipe_is_held_against_the_name_it_is_given(shop: Path) -> None:
    command = [sys.executable, "-m", "preflight", "check", "-", "--stdin-name", "art/a.svg", "--changed-only"]
    done = subprocess.run(
        command, input=sheet(19, 20).encode(), cwd=shop, capture_output=True, check=False, timeout=60
    )
    assert done.returncode == 0


def test_a_baseline_and_git_are_both_asked(shop: Path) -> None:
    check(shop, "art/a.svg", option="--baseline known.json --write-baseline")
    (shop / "art" / "a.svg").write_text(sheet(19, 18))
    git(shop, "commit", "-qam", "A second one")
    done = check(shop, "art/a.svg", "--baseline", "known.json", "--format", "json")
    known = [one["known"] for one in json.loads(done.stdout)["files"][0]["pages"][0]["findings"]]
    assert known == ["baseline", "earlier version"]


def test_outside_a_repository_it_says_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "a.svg").write_text(sheet(19))
    # What lies above the folder for temporary files is nobody's repository, or not looked for.
    done = check(tmp_path, "a.svg", GIT_CEILING_DIRECTORIES=str(tmp_path.parent))
    assert (done.returncode, done.stdout) == (2, "")
    assert "a.svg" in done.stderr
    assert "not a git repository" in done.stderr
    assert "leave out --changed-only" in done.stderr


def test_without_git_it_says_so(shop: Path, tmp_path: Path) -> None:
    done = check(shop, "art/a.svg", PATH=str(tmp_path))
    assert (done.returncode, done.stdout) == (2, "")
    assert "git is not installed" in done.stderr


@pytest.mark.parametrize("commit", ["nowhere", "--output=x", "HEAD:art"])
def test_a_commit_that_is_not_there_is_told(shop: Path, commit: str) -> None:
    done = check(shop, "art/a.svg", option=f"--changed-since={commit}")
    assert (done.returncode, done.stdout) == (2, "")
    assert repr(commit) in done.stderr
    assert "leave out --changed-since" in done.stderr
    assert sorted(path.name for path in shop.iterdir()) == [".git", "art"]


def test_commits_that_have_nothing_in_common_are_told(shop: Path) -> None:
    git(shop, "switch", "-q", "--orphan", "other")
    (shop / "b.svg").write_text(sheet(19))
    git(shop, "add", "b.svg")
    git(shop, "commit", "-qm", "Begun anew")
    done = check(shop, "b.svg", option="--changed-since main")
    assert done.returncode == 2
    assert "in common" in done.stderr


def test_git_is_asked_only_where_it_is_to_be(shop: Path, tmp_path: Path) -> None:
    done = check(shop, "art/a.svg", option="--fail-on error", PATH=str(tmp_path))
    assert done.returncode == 1
    assert done.stderr == ""
