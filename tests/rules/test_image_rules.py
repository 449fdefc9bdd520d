"""Rules about images: resolution against arithmetic from outside, and absent images told once."""

import base64
import io
import math
from pathlib import Path

import pytest
from PIL import Image

from preflight.engine import Engine
from preflight.plugins import Plugins
from preflight.profile import Profile, load
from preflight.reports.report import PageReport
from preflight.rule import page_sections


def picture(columns: int, rows: int) -> str:
    held = io.BytesIO()
    Image.new("L", (columns, rows), 64).save(held, "PNG")
    return f"data:image/png;base64,{base64.b64encode(held.getvalue()).decode()}"


def judged(body: str, *rules: str, profile: Profile | None = None, folder: Path | None = None) -> PageReport:
    text = f'<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="400mm" viewBox="0 0 600 400">{body}</svg>'
    engine = Engine(profile or Profile.default(), select=rules)
    (page,) = engine.check_bytes(text.encode(), "a.svg", folder).report.pages
    return page


def test_the_distances_on_the_page_are_those_of_one_minute_of_arc() -> None:
    """3437.75 = 1 / tan(1′), computed; acuity of one minute is common knowledge, no source."""
    per_inch = 1 / math.tan(math.radians(1 / 60))
    assert per_inch == pytest.approx(3437.75, abs=0.01)
    rule = Plugins().rules["image-coarse"]
    told = " ".join(page_sections(rule)["Why it matters"].split())
    for shown, inches, unit in (
        (344, 10, "10 in"),
        (150, 23, "23 in"),
        (100, 34, "34 in"),
        (29, 120, "10 ft"),
    ):
        assert f"{shown} ppi at {unit}" in told
        # The distance is told in whole inches, so the resolution is one within half an inch of it.
        assert per_inch / (inches + 0.5) - 0.5 <= shown <= per_inch / (inches - 0.5) + 0.5
    assert rule.Settings().line_art == pytest.approx(per_inch / 11.5, abs=2)


@pytest.mark.parametrize(
    ("pixels", "millimetres", "resolution"),
    # Pixels by inches; 1 in = 25.4 mm (ISO 80000-3).
    [(300, 50.8, 150.0), (299, 50.8, 149.5), (100, 25.4, 100.0), (99, 25.4, 99.0), (72, 25.4, 72.0)],
)
def test_resolution_is_pixels_by_inches(pixels: int, millimetres: float, resolution: float) -> None:
    body = f'<image href="{picture(pixels, pixels)}" x="10" y="10" width="{millimetres}" height="{millimetres}"/>'
    found = judged(body, "image-coarse").findings
    level = "error" if resolution < 100 else "warning" if resolution < 150 else None
    assert [str(one.level) for one in found] == ([] if level is None else [level])
    for one in found:
        assert one.measured is not None
        assert one.measured.value == pytest.approx(resolution, abs=1e-4)


def test_an_image_is_judged_at_final_size(tmp_path: Path) -> None:
    body = f'<image href="{picture(300, 300)}" x="10" y="10" width="50.8" height="50.8"/>'
    assert not judged(body, "image-coarse").findings
    (tmp_path / "preflight.toml").write_text("[job]\nscale = 2\n", encoding="utf-8")
    (found,) = judged(body, "image-coarse", profile=load(explicit=tmp_path / "preflight.toml")).findings
    assert found.measured is not None
    assert found.measured.value == pytest.approx(75.0)
    assert found.bounds_mm == pytest.approx((20, 20, 121.6, 121.6))


def test_the_hint_asks_for_pixels_that_pass() -> None:
    body = '<image href="{}" x="10" y="10" width="70" height="31"/>'
    (found,) = judged(body.format(picture(70, 31)), "image-coarse").findings
    assert "414 × 184 pixels" in found.hint
    assert not judged(body.format(picture(414, 184)), "image-coarse").findings


@pytest.mark.parametrize("name", ["gone.png", "https://harbour.invalid/boat.png", "../boat.png"])
def test_an_absent_image_is_told_once(name: str, tmp_path: Path) -> None:
    body = f'<image href="{name}" x="10" y="10" width="20" height="10"/>'
    page = judged(body, "image-absent", "image-coarse", folder=tmp_path)
    assert [one.rule for one in page.findings] == ["image-absent"]
    assert page.not_checked == ()
    without = judged(body, "image-coarse", folder=tmp_path)
    assert without.findings == ()
    assert [one.what for one in without.not_checked] == ["image"]


def test_an_image_that_nobody_looked_at_is_listed_as_not_checked() -> None:
    body = '<image href="boat.png" x="10" y="10" width="20" height="10"/>'
    page = judged(body, "image-absent", "image-coarse")
    assert page.findings == ()
    assert [one.what for one in page.not_checked] == ["image"]
