"""The small pictures of an audit: of the first page with findings, small, and never a file as large as the artwork may be."""

from __future__ import annotations

import io
from pathlib import Path

from audit_archive import clean, faulty
from PIL import Image

from preflight.audit.pictures import picture_of
from preflight.engine import Engine
from preflight.profile import Profile

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"


def picture(data: bytes, name: str) -> tuple[str, bytes] | None:
    return picture_of(Engine(Profile.default()).check_bytes(data, name))


def test_an_svg_is_its_own_picture() -> None:
    suffix, content = picture(faulty().encode(), "a.svg") or ("", b"")
    assert suffix == ".svg"
    assert b"#f4a261" in content


def test_a_large_svg_is_shown_by_its_cut_contours() -> None:
    heavy = faulty().replace("</svg>", f"<desc>{'x' * 600_000}</desc></svg>")
    suffix, content = picture(heavy.encode(), "a.svg") or ("", b"")
    assert suffix == ".svg"
    assert b"M10 10" in content
    assert len(content) < 1000


def test_a_pdf_is_drawn_small() -> None:
    suffix, content = picture((DEMO / "faulty.pdf").read_bytes(), "a.pdf") or ("", b"")
    assert suffix == ".png"
    with Image.open(io.BytesIO(content)) as opened:
        assert max(opened.size) == 240
    assert len(content) < 50_000


def test_what_is_in_order_or_cannot_be_read_has_none() -> None:
    assert picture(clean().encode(), "a.svg") is None
    assert picture(b"no artwork", "a.svg") is None
