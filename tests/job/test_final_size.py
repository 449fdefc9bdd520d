"""A page brought to the size it is made at: every length of the model, and nothing else."""

from __future__ import annotations

from typing import Any

import msgspec
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from preflight.artwork import Artwork, Object, Page, Raster, Stroke
from preflight.artwork.model import Alpha
from preflight.engine import Engine
from preflight.geometry.outlines import Outlines
from preflight.job.making.final_size import FinalSizeError, at_final_size, final_factor
from preflight.profile import Profile
from preflight.profile.tables import JobTable

SHEET = b"""<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"
 width="120mm" height="80mm" viewBox="0 0 120 80">
<clipPath id="c"><circle cx="30" cy="30" r="20"/></clipPath>
<path d="M10 10L50 12C60 20 60 40 50 50Z" clip-path="url(#c)" stroke="#123" stroke-width="2" stroke-dasharray="3 1" stroke-dashoffset="1.5"/>
<image x="60" y="10" width="50" height="25" href="data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAIAAAABCAYAAAD0In+KAAAAEUlEQVR4nGM4ISf3n4GBgQEADMoCBF8KghYAAAAASUVORK5CYII="/>
<text x="10" y="70" font-size="6">Quillsay</text>
<g id="Kiss-cut"><path d="M10 60H40V75" fill="none" stroke="#000" stroke-width=".1"/></g>
</svg>"""

LENGTHS = {
    # What at_final_size multiplies. A field that is added to the model belongs here, or below.
    Page: {"width", "height", "boxes", "scale"},
    Stroke: {"width", "dash", "dash_offset"},
    Object: {"stroke", "placed_size", "font_size"},
    Artwork: {"page", "objects", "outlines", "clips", "alphas", "inks"},
    Outlines: {"segments", "starts", "gaps"},
}
OTHERS = {
    Page: {"number", "unit", "certain", "pixels_per_inch", "stated_boxes"},
    Stroke: {"paint", "cap", "join", "miter_limit", "opacity", "uneven", "overprint", "pen", "hairline"},
    Object: {
        *(
            "kind",
            "origin",
            "layer",
            "name",
            "classes",
            "fill",
            "fill_rule",
            "fill_opacity",
            "opacity",
            "blend",
        ),
        *("overprint", "overprint_mode", "clip", "clipped_away", "hidden", "broken", "pixel_size", "linked"),
        *("raster", "text", "waive", "absent", "font", "font_held"),
        *("effect", "boxed", "groups"),
    },
    Artwork: {"layers", "spots", "clip_rules", "notes"},
    Outlines: {"straight", "contour_offsets", "object_offsets", "closed"},
}


def artwork(**job: Any) -> Artwork:
    profile = msgspec.structs.replace(Profile.default(), job=JobTable(**job))
    return Engine(profile).read_bytes(SHEET, "sheet.svg")[1][0].artwork


@pytest.mark.parametrize("kind", list(LENGTHS), ids=lambda kind: kind.__name__)
def test_every_field_of_the_model_is_a_length_or_is_none(kind: type[Any]) -> None:
    assert not {field.name for field in msgspec.structs.fields(kind)} - LENGTHS[kind] - OTHERS[kind]
    assert not {field.name for field in msgspec.structs.fields(Raster)} - {"space", "bits", "mask"}


@given(st.floats(0.01, 200))
def test_every_length_is_multiplied_once(factor: float) -> None:
    drawn, made = artwork(), artwork(scale=factor)
    assert (made.page.width, made.page.height) == pytest.approx((120 * factor, 80 * factor))
    assert made.page.scale == factor
    for name, box in drawn.page.boxes.items():
        assert made.page.boxes[name] == pytest.approx([side * factor for side in box])
    for before, after in zip((drawn.outlines, *drawn.clips), (made.outlines, *made.clips), strict=True):
        np.testing.assert_allclose(after.segments, before.segments * factor)
        np.testing.assert_allclose(after.starts, before.starts * factor)
        np.testing.assert_allclose(after.gaps, before.gaps * factor)
    for one, other in zip(drawn.objects, made.objects, strict=True):
        assert other.stroke.width == pytest.approx(one.stroke.width * factor)
        assert other.stroke.dash == pytest.approx([length * factor for length in one.stroke.dash])
        assert other.stroke.dash_offset == pytest.approx(one.stroke.dash_offset * factor)
    path, image, text, _ = made.objects
    assert path.stroke.dash == pytest.approx((3 * factor, factor))
    assert path.stroke.dash_offset == pytest.approx(1.5 * factor)
    assert image.placed_size == pytest.approx((50 * factor, 25 * factor))
    # Two pixels across 50 mm, and one down 25 mm.
    assert image.pixels_per_inch == pytest.approx((2 * 25.4 / (50 * factor), 25.4 / (25 * factor)))
    assert text.font_size == pytest.approx(6 * factor)


def test_what_holds_no_length_stays_the_same_object() -> None:
    drawn = artwork()
    assert at_final_size(drawn, 1.0) is drawn
    made = at_final_size(drawn, 3.0)
    for kind in (Artwork, Page):
        for name in OTHERS[kind]:
            one, other = (getattr(whole if kind is Artwork else whole.page, name) for whole in (drawn, made))
            assert one == other
    for one, other in zip(drawn.objects, made.objects, strict=True):
        assert all(getattr(one, name, None) == getattr(other, name, None) for name in OTHERS[Object])
        assert all(getattr(one.stroke, name) == getattr(other.stroke, name) for name in OTHERS[Stroke])


def test_an_image_and_its_alpha_stay_together() -> None:
    alpha = Alpha((50.0, 0.0, 0.0, 25.0, 60.0, 10.0), lambda: None)
    drawn = msgspec.structs.replace(artwork(), alphas={1: alpha})
    made = at_final_size(drawn, 3.0).alphas
    assert list(made) == [1]
    assert made[1].matrix == (150, 0, 0, 75, 180, 30)
    assert made[1].decode is alpha.decode


@pytest.mark.parametrize(
    ("scale", "width", "factor"),
    [(None, None, 1.0), (10.0, None, 10.0), (None, 600.0, 5.0), (1.0, None, 1.0), (None, 60.0, 0.5)],
)
def test_the_factor_is_the_scale_or_follows_from_the_width(
    scale: float | None, width: float | None, factor: float
) -> None:
    assert final_factor(artwork().page, scale, width, 100_000.0) == pytest.approx(factor)


@pytest.mark.parametrize(
    ("page", "scale", "width"),
    [
        ((120, 80), 1000.0, None),
        ((0, 80), None, 100.0),
        ((1e-300, 80), None, 600.0),
        ((1, 200), None, 1000.0),
    ],
)
def test_a_size_out_of_all_proportion_is_refused(
    page: tuple[float, float], scale: float | None, width: float | None
) -> None:
    drawn = Page(1, float(page[0]), float(page[1]), "mm", True)
    with pytest.raises(FinalSizeError, match="drawn"):
        final_factor(drawn, scale, width, 100_000.0)


def test_a_file_that_cannot_be_brought_to_the_size_says_so() -> None:
    profile = msgspec.structs.replace(Profile.default(), job=JobTable(scale=5000.0))
    report = Engine(profile).check_bytes(SHEET, "sheet.svg").report
    assert report.status == "unreadable"
    assert "120 × 80 mm" in (report.reason or "")
    assert "scale" in (report.hint or "")


def test_the_report_tells_size_and_places_at_final_size() -> None:
    profile = msgspec.structs.replace(Profile.default(), job=JobTable(width=1200.0))
    (page,) = Engine(profile).check_bytes(SHEET, "sheet.svg").report.pages
    assert (page.size_mm, page.scale) == ((1200.0, 800.0), 10.0)
    (open_,) = (one for one in page.findings if one.rule == "contour-open")
    assert open_.measured is not None
    assert open_.measured.value == pytest.approx(10 * np.hypot(30, 15), abs=1e-3)
    assert open_.bounds_mm == pytest.approx((100, 600, 400, 750))
