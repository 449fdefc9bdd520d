"""The reading of entry points, held against the standard library's."""

from __future__ import annotations

import subprocess
import sys
import zipfile
from importlib import metadata
from pathlib import Path

import pytest

from preflight import entry_points
from preflight.entry_points import EntryPoint, declared


def reference(group: str) -> list[EntryPoint]:
    return sorted(
        EntryPoint(point.name, point.value, point.dist.name, point.dist.version)
        for point in metadata.entry_points(group=group)
        if point.dist is not None
    )


@pytest.mark.parametrize("group", ["artwork_preflight", "console_scripts", "pytest11", "no such group"])
def test_agrees_with_the_standard_library_on_what_is_installed(group: str) -> None:
    assert declared(group) == reference(group)


def test_a_command_finds_only_folders_here_and_reads_them_itself() -> None:
    # In a process of its own: a test of another package (dask's does) may have brought a finder here.
    asked = (
        "import sys; from preflight import entry_points as own; assert own._only_folders(); "
        "points = own.declared('artwork_preflight'); assert 'importlib.metadata' not in sys.modules; "
        "print(*(point.value for point in points))"
    )
    told = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, timeout=120)
    assert told.returncode == 0, told.stderr
    assert told.stdout.split() == [point.value for point in reference("artwork_preflight")] != []


@pytest.mark.parametrize("group", ["artwork_preflight", "console_scripts"])
def test_folders_read_here_hold_what_the_standard_library_finds(group: str) -> None:
    assert sorted(entry_points._of_folders(group, sys.path)) == reference(group)


def installed(folder: Path, name: str, version: str, points: str | None) -> None:
    info = folder / f"{name.replace('-', '_')}-{version}.dist-info"
    info.mkdir(parents=True)
    (info / "METADATA").write_text(
        f"Metadata-Version: 2.1\nName: {name}\nVersion: {version}\n\nName: told below\n"
    )
    if points is not None:
        (info / "entry_points.txt").write_text(points)


def test_the_first_of_two_distributions_of_one_name_counts(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    points = "[other]\nx = y\n\n[house]\n# a remark\nsleeve = sleeve.part:Plug [extra]\n"
    installed(tmp_path / "first", "tea-room", "2.0", points)
    installed(tmp_path / "second", "tea.room", "1.0", points)
    installed(tmp_path / "second", "ferry", "1.0", points)
    monkeypatch.syspath_prepend(tmp_path / "second")
    monkeypatch.syspath_prepend(tmp_path / "first")
    monkeypatch.syspath_prepend(tmp_path / "not there")
    found = declared("house")
    assert found == [
        EntryPoint("sleeve", "sleeve.part:Plug [extra]", "ferry", "1.0"),
        EntryPoint("sleeve", "sleeve.part:Plug [extra]", "tea-room", "2.0"),
    ]
    assert found == reference("house")


def test_a_distribution_without_entry_points_hides_a_later_one_of_its_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    installed(tmp_path / "first", "ferry", "2.0", None)
    installed(tmp_path / "second", "ferry", "1.0", "[house]\nx = y\n")
    monkeypatch.syspath_prepend(tmp_path / "second")
    monkeypatch.syspath_prepend(tmp_path / "first")
    assert declared("house") == reference("house") == []


def test_archives_are_left_to_the_standard_library(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    archive = tmp_path / "ferry.zip"
    with zipfile.ZipFile(archive, "w") as made:
        made.writestr("ferry-3.0.dist-info/METADATA", "Metadata-Version: 2.1\nName: ferry\nVersion: 3.0\n")
        made.writestr("ferry-3.0.dist-info/entry_points.txt", "[house]\nx = y\n")
    monkeypatch.syspath_prepend(archive)
    assert declared("house") == [EntryPoint("x", "y", "ferry", "3.0")]
