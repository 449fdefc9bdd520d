"""Where files of an audit lie: folders, archives, file systems of fsspec."""

from __future__ import annotations

import os
import sys
import zipfile
from pathlib import Path

import fsspec
import pytest
from audit_archive import clean, written

from preflight.audit.source import Away, Found, SourceError, source_of
from preflight.readers.errors import Unreadable

SUFFIXES = (".svg", ".pdf")


def found(root: str | Path, leave_out: Path | None = None) -> dict[str, Found]:
    return {one.path: one for one in source_of(str(root)).walk(SUFFIXES, leave_out)}


def test_every_file_of_a_kind_that_is_read_is_found_whatever_the_case_of_its_name(tmp_path: Path) -> None:
    written(
        tmp_path,
        {"a.svg": "", "north/b.PDF": "", "north/deep/c.Svg": "", "north/readme.txt": "", ".d/e.svg": ""},
    )
    assert sorted(found(tmp_path)) == [".d/e.svg", "a.svg", "north/b.PDF", "north/deep/c.Svg"]


def test_the_folder_of_the_audit_itself_is_left_out(tmp_path: Path) -> None:
    written(tmp_path, {"a.svg": "", "kept/pictures/b.svg": ""})
    assert sorted(found(tmp_path, tmp_path / "kept")) == ["a.svg"]


def test_a_stamp_and_a_month_tell_what_changed_and_when(tmp_path: Path) -> None:
    written(tmp_path, {"a.svg": "x"})
    os.utime(tmp_path / "a.svg", (1_793_000_000, 1_793_000_000))  # 2026-10-26, by `date -u -d @1793000000`
    before = found(tmp_path)["a.svg"]
    assert before.month == "2026-10"
    assert source_of(str(tmp_path)).stamp("a.svg") == before.stamp
    (tmp_path / "a.svg").write_text("xy")
    assert found(tmp_path)["a.svg"].stamp != before.stamp
    assert source_of(str(tmp_path)).stamp("b.svg") is None


@pytest.mark.skipif(sys.platform == "win32", reason="links need leave on Windows")
def test_links_to_files_are_followed_and_links_to_folders_are_told(tmp_path: Path) -> None:
    root = written(tmp_path / "root", {"a.svg": clean()})
    (root / "b.svg").symlink_to(root / "a.svg")
    (root / "circle").symlink_to(root)
    (root / "nowhere.svg").symlink_to(root / "absent.svg")
    for name in ("0.svg", "0"):
        (root / name).symlink_to(root / name)
    there = found(root)
    assert sorted(there) == ["0.svg", "a.svg", "b.svg", "circle", "nowhere.svg"]
    assert "leads nowhere" in there["0.svg"].problem[0]  # type: ignore[index]
    assert there["b.svg"].problem is None
    assert "link to a folder" in there["circle"].problem[0]  # type: ignore[index]
    assert "leads nowhere" in there["nowhere.svg"].problem[0]  # type: ignore[index]


@pytest.mark.skipif(sys.platform == "win32", reason="names on Windows are always text")
def test_what_is_no_file_and_a_name_that_is_no_text_are_told(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.svg")
    try:
        (tmp_path / os.fsdecode(b"jam\xff.svg")).write_text("")
    except OSError:
        pytest.skip("this file system takes no such name")
    there = found(tmp_path)
    assert "no regular file" in there["pipe.svg"].problem[0]  # type: ignore[index]
    assert "no valid text" in there["jam\\udcff.svg"].problem[0]  # type: ignore[index]


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="root may look into every folder")
def test_a_folder_that_cannot_be_looked_into_is_told(tmp_path: Path) -> None:
    (tmp_path / "closed").mkdir(mode=0)
    assert "cannot be looked into" in found(tmp_path)["closed"].problem[0]  # type: ignore[index]


def test_a_zip_archive_is_read_where_it_lies(tmp_path: Path) -> None:
    path = tmp_path / "2026.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(zipfile.ZipInfo("north/a.svg", (2026, 3, 1, 0, 0, 0)), clean())
        archive.writestr("readme.txt", "")
    source = source_of(str(path))
    (one,) = source.walk(SUFFIXES)
    assert (one.path, one.month) == ("north/a.svg", "2026-03")
    assert source.read(one.path, 10_000) == clean().encode()
    assert source.stamp(one.path) == one.stamp
    assert source.folder(one.path) is None


def test_any_file_system_of_fsspec_is_read() -> None:
    files = fsspec.filesystem("memory")
    files.pipe("/ferry/2026/a.svg", clean().encode())
    source = source_of("memory://ferry")
    (one,) = source.walk(SUFFIXES)
    assert one.path == "2026/a.svg"
    assert source.read(one.path, 10_000) == clean().encode()
    before = source.stamp(one.path)
    files.pipe("/ferry/2026/a.svg", b"other")
    assert source.stamp(one.path) != before
    files.rm("/ferry", recursive=True)
    with pytest.raises(Unreadable, match="cannot be opened"):
        source.read(one.path, 10_000)


@pytest.mark.parametrize("root", ["{}/folder", "memory://ferry-large"])
def test_a_file_above_the_limit_is_not_read_whole(root: str, tmp_path: Path) -> None:
    written(tmp_path / "folder", {"a.svg": "x" * 1001})
    fsspec.filesystem("memory").pipe("/ferry-large/a.svg", b"x" * 1001)
    source = source_of(root.format(tmp_path))
    with pytest.raises(Unreadable, match="larger than the limit"):
        source.read("a.svg", 1000)
    assert len(source.read("a.svg", 1001)) == 1001


@pytest.mark.parametrize(
    ("root", "told"),
    [
        ("{}/absent", "no such folder"),
        ("{}/a.svg", "is a file"),
        ("{}/broken.zip", "cannot be opened"),
        ("memory://nothing-there", "cannot be opened"),
        ("harbour://pier", "cannot be opened"),
    ],
)
def test_what_cannot_be_audited_is_told(root: str, told: str, tmp_path: Path) -> None:
    written(tmp_path, {"a.svg": "", "broken.zip": b"PK no archive"})
    with pytest.raises(SourceError, match=told):
        source_of(root.format(tmp_path))


def test_what_the_place_does_not_give_now_is_told_from_what_is_damaged(tmp_path: Path) -> None:
    (tmp_path / "a.svg").mkdir()
    with pytest.raises(Away, match="cannot be opened"):
        source_of(str(tmp_path)).read("a.svg", 1000)
    path = tmp_path / "2026.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("a.svg", clean())
    path.write_bytes(path.read_bytes().replace(b"Kiss_Cut", b"Kiss_Cot"))
    source = source_of(str(path))
    for name, kind in (("a.svg", Unreadable), ("b.svg", Away)):
        with pytest.raises(Unreadable, match="cannot be opened") as told:
            source.read(name, 10_000)
        assert told.type is kind
