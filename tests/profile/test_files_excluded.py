"""``[files] exclude``: which files are left out though they are named, and that it is said."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

from preflight.profile import Profile, ProfileError, load

OPEN = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
<g id="Kiss_Cut"><path d="M10 10H25V30H10V11" fill="none" stroke="#000"/></g></svg>"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    for name in ("a.svg", "archive/old.svg", "archive/1998/older.svg", "art/spring-draft.svg"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(OPEN)
    (tmp_path / "preflight.toml").write_text('[files]\nexclude = ["archive/**", "*-draft.*"]\n')
    return tmp_path


def check(folder: Path, *words: str, stdin: str = "") -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "preflight", "check", *words, "--format", "json"]
    return subprocess.run(
        command, cwd=folder, input=stdin, capture_output=True, text=True, check=False, timeout=60
    )


def test_a_file_that_is_left_out_is_told_with_the_line_that_says_so(shop: Path) -> None:
    done = check(shop, "archive/old.svg", "a.svg", "art/spring-draft.svg")
    assert [one["path"] for one in json.loads(done.stdout)["files"]] == ["a.svg"]
    told = done.stderr.splitlines()
    assert len(told) == 2
    assert told[0].startswith("preflight: archive/old.svg is left out by 'archive/**' in [files] exclude (")
    assert "preflight.toml:2" in told[0]
    assert "art/spring-draft.svg" in told[1]


def test_where_all_are_left_out_nothing_is_wrong(shop: Path) -> None:
    done = check(shop, "archive/1998/older.svg")
    assert done.returncode == 0
    told = json.loads(done.stdout)
    assert (told["files"], told["counts"]["files"]) == ([], 0)
    assert "older.svg is left out" in done.stderr


def test_the_globs_are_written_from_the_profiles_folder(shop: Path) -> None:
    assert check(shop / "archive", "old.svg").returncode == 0
    assert check(shop.parent, f"{shop.name}/archive/old.svg").returncode == 0
    assert check(shop / "archive", str(shop / "a.svg")).returncode == 1
    (shop / "art" / "archive").mkdir()
    (shop / "art" / "archive" / "a.svg").write_text(OPEN)
    assert check(shop, "art/archive/a.svg").returncode == 1


def test_a_name_given_to_what_comes_through_a_pipe_counts(shop: Path) -> None:
    assert check(shop, "-", "--stdin-name", "archive/x.svg", stdin=OPEN).returncode == 0
    assert check(shop, "-", "--stdin-name", "x.svg", stdin=OPEN).returncode == 1


def test_a_profile_that_builds_on_another_keeps_its_globs_from_its_folder(shop: Path) -> None:
    (shop / "art" / "preflight.toml").write_text('extends = "../preflight.toml"\n')
    profile = load(shop / "art")
    assert profile.excluded_by(str(shop / "archive" / "old.svg"))
    assert not profile.excluded_by(str(shop / "art" / "archive" / "old.svg"))
    (shop / "art" / "preflight.toml").write_text(
        'extends = "../preflight.toml"\n[files]\nexclude = ["old/**"]\n'
    )
    profile = load(shop / "art")
    assert profile.excluded_by(str(shop / "art" / "old" / "a.svg"))
    assert not profile.excluded_by(str(shop / "archive" / "old.svg"))


def test_two_shops_with_globs_of_their_own_are_checked_apart(shop: Path) -> None:
    for name in ("north", "south"):
        (shop / name / "archive").mkdir(parents=True)
        (shop / name / "archive" / "a.svg").write_text(OPEN)
        (shop / name / "preflight.toml").write_text('[files]\nexclude = ["archive/**"]\n')
    assert check(shop, "south/archive/a.svg").returncode == 0
    done = check(shop, "north/archive/a.svg", "south/archive/a.svg")
    assert done.returncode == 2
    assert "check them apart" in done.stderr


def test_nothing_is_left_out_by_default() -> None:
    assert Profile.default().excluded_by("archive/old.svg") is None


def test_what_is_no_list_of_names_is_refused(shop: Path) -> None:
    (shop / "preflight.toml").write_text('[files]\nexclude = "archive/**"\n')
    with pytest.raises(ProfileError, match=r"preflight\.toml:2.*files\.exclude"):
        load(shop)
    (shop / "preflight.toml").write_text('[files]\nexlude = ["archive/**"]\n')
    with pytest.raises(ProfileError, match="exclude"):
        load(shop)
