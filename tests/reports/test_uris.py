"""Paths as URI references."""

from __future__ import annotations

from pathlib import PurePosixPath, PureWindowsPath

import pytest

from preflight.reports.uris import uri_of


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        ("art/sheet 1.svg", "art/sheet%201.svg"),
        ("100%.svg", "100%25.svg"),
        ("a:b.svg", "a%3Ab.svg"),  # RFC 3986, 4.2: a colon in the first segment would read as a scheme
        ("../ŝipo.svg", "../%C5%9Dipo.svg"),
        ("back\\slash.svg", "back%5Cslash.svg"),
        ("C:/art/a b.svg", "file:///C:/art/a%20b.svg"),
        ("C:\\art\\a b.svg", "file:///C:/art/a%20b.svg"),
        ("//shop/art/a.svg", "file://shop/art/a.svg"),
        ("\\\\shop\\art\\a.svg", "file://shop/art/a.svg"),
        ("/srv/art/a b.svg", "file:///srv/art/a%20b.svg"),
        ("bytes\udcff.svg", "bytes%FF.svg"),
        ("lone\ud800.svg", "lone%ED%A0%80.svg"),
    ],
)
def test_a_path_becomes_a_reference(path: str, uri: str) -> None:
    assert uri_of(path) == uri


@pytest.mark.parametrize("path", ["/srv/art/sheet 1.svg", "/a#b/ŝ?.svg", "/50%/x.pdf"])
def test_absolute_paths_agree_with_pathlib(path: str) -> None:
    assert uri_of(path) == PurePosixPath(path).as_uri()


@pytest.mark.parametrize("path", ["C:\\art\\sheet 1.svg", "\\\\shop\\art\\a#1.svg"])
def test_windows_paths_agree_with_pathlib(path: str) -> None:
    own = PureWindowsPath(path)
    assert uri_of(path) == uri_of(own.as_posix()) == own.as_uri()
