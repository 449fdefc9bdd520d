"""Size and resolution of placed images in SVG, and those whose pixels are not there."""

import base64
import io
import os
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from preflight.artwork import Artwork, Object
from preflight.readers.limits import Limits
from preflight.readers.svg.read import read


def picture(columns: int, rows: int) -> str:
    held = io.BytesIO()
    Image.new("RGB", (columns, rows), "#0b4f6c").save(held, "PNG")
    return f"data:image/png;base64,{base64.b64encode(held.getvalue()).decode()}"


def page(body: str, folder: Path | None = None) -> Artwork:
    text = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">{body}</svg>'
    )
    return read(text.encode(), "a.svg", Limits(), folder)[0]


def only(body: str, folder: Path | None = None) -> Object:
    (one,) = page(body, folder).objects
    return one


@pytest.mark.parametrize(
    ("fit", "across"),
    [
        ("none", (100 / 20 * 25.4, 50 / 20 * 25.4)),
        # All of it within 20 mm × 20 mm: 20 mm across for 100 columns.
        ("xMidYMid meet", (127.0, 127.0)),
        # It covers 20 mm × 20 mm: 50 rows in 20 mm, the rest of the columns is sliced off.
        ("xMidYMid slice", (63.5, 63.5)),
    ],
)
def test_pixels_per_inch_of_what_fits_and_of_what_is_sliced(fit: str, across: tuple[float, float]) -> None:
    href = picture(100, 50)
    one = only(f'<image href="{href}" x="5" y="5" width="20" height="20" preserveAspectRatio="{fit}"/>')
    assert one.pixels_per_inch == pytest.approx(across, rel=1e-9)


@pytest.mark.parametrize(
    "href", ["gone.png", "http://harbour.invalid/boat.png", "//harbour.invalid/boat.png", "../boat.png"]
)
def test_an_image_that_does_not_travel_with_the_file_is_absent(href: str, tmp_path: Path) -> None:
    inner = tmp_path / "inner"
    inner.mkdir()
    artwork = page(f'<image href="{href}" width="20" height="20"/>', inner)
    (one,) = artwork.objects
    assert one.linked == href
    assert one.absent is not None
    assert one.absent in [note.message for note in artwork.notes]


@pytest.mark.parametrize("href", ["http://[x", "//[harbour/boat.png", "http://[::1/boat.png"])
def test_an_address_that_is_none_is_told_and_the_artwork_read_all_the_same(href: str, tmp_path: Path) -> None:
    one, _ = page(f'<image href="{href}" width="20" height="20"/><circle r="5"/>', tmp_path).objects
    assert one.absent is not None
    assert "is not valid" in one.absent
    assert href in one.absent


@pytest.mark.skipif(sys.platform == "win32", reason="paths of POSIX")
@pytest.mark.parametrize("href", ["../boat.png", "/boat.png", "boats/../../boat.png", "%2e%2e/boat.png"])
def test_links_outside_the_folder_are_not_so_much_as_looked_for(
    href: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On Windows, a path may name another machine, which would be asked."""
    followed: list[str] = []

    def noted(path: Path, strict: bool = False) -> Path:
        followed.append(path.as_posix())
        return Path(os.path.realpath(path, strict=strict))

    monkeypatch.setattr(Path, "resolve", noted)
    assert "lies outside" in (only(f'<image href="{href}" width="20" height="20"/>', tmp_path).absent or "")
    assert followed == [tmp_path.as_posix()]


@pytest.mark.skipif(sys.platform == "win32", reason="links need leave on Windows")
def test_a_link_that_leads_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    (tmp_path / "inner").mkdir()
    (tmp_path / "boat.png").write_bytes(noise("PNG"))
    (tmp_path / "inner" / "boat.png").symlink_to(tmp_path / "boat.png")
    assert "lies outside" in (
        only('<image href="boat.png" width="20" height="20"/>', tmp_path / "inner").absent or ""
    )


@pytest.mark.parametrize("href", ["", "data:image/png;base64", "data:image/png;base64,AAAA"])
def test_an_image_without_pixels_is_absent(href: str) -> None:
    assert only(f'<image href="{href}" width="20" height="20"/>').absent


def noise(kind: str) -> bytes:
    """A picture that takes up more than is looked at of its head."""
    held = io.BytesIO()
    random = np.random.default_rng(7).integers(0, 256, (300, 300, 3), np.uint8)
    Image.fromarray(random).save(held, kind)
    return held.getvalue()


@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
@pytest.mark.parametrize("padding", ["", "=", "=="])
def test_a_picture_cut_off_is_told_from_a_whole_one_embedded_or_linked(
    kind: str, padding: str, tmp_path: Path
) -> None:
    whole = noise(kind)
    whole += b"\0" * ((-len(whole) % 3 + 3 - len(padding)) % 3)
    for data, is_whole in ((whole, True), (whole[: len(whole) * 2 // 3], False)):
        (tmp_path / "boat.bin").write_bytes(data)
        coded = base64.b64encode(data).decode()
        for href in (
            f"data:image/x;base64,{coded}",
            f"data:image/x;base64,{coded.rstrip('=')}",
            "boat.bin",
        ):
            one = only(f'<image href="{href}" width="20" height="20"/>', tmp_path)
            assert one.pixel_size == (300, 300)
            assert (one.absent is None) is is_whole
            assert one.absent is None or "cut off" in one.absent


def test_an_image_that_is_there_is_not_absent_and_a_folder_that_is_not_known_is_no_fault() -> None:
    assert only(f'<image href="{picture(2, 2)}" width="20" height="20"/>').absent is None
    assert only('<image href="boat.png" width="20" height="20"/>').absent is None
