"""Pictures, cut lines and pins of PDF pages lie over each other: turned, scaled, cropped, several to a file."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from photographs import photographed

from preflight.engine import Checked, Engine
from preflight.profile import Profile
from preflight.reports.html import HtmlRenderer

pytestmark = pytest.mark.browser

POINTS = 72 / 25.4
# A magenta flag, no two of whose corners are alike, with a kiss cut along its very edge, left open by 2 mm.
FLAG = "20 15 m 50 15 l 50 20 l 26 20 l 26 35 l 20 35 l 20 17 l"
CONTENT = f"{POINTS} 0 0 {POINTS} 0 0 cm 1 0 1 rg {FLAG} f /OC /Kiss BDC 0.1 w /Ink CS {FLAG} S EMC"
PAGES: list[dict[str, Any]] = [
    {},
    {"/Rotate": 90},
    {"/Rotate": 180, "/UserUnit": 2},
    {"/Rotate": 270, "/CropBox": [10 * POINTS, 5 * POINTS, 60 * POINTS, 45 * POINTS]},
    {"/MediaBox": [-20, -30, 80 * POINTS, 50 * POINTS], "/Rotate": 450},
]


@pytest.fixture(scope="module")
def checked() -> Checked:
    pdf = pikepdf.new()
    group = pdf.make_indirect(pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name="Kiss cut"))
    pdf.Root.OCProperties = pikepdf.Dictionary(OCGs=[group], D=pikepdf.Dictionary(Order=[group]))
    tint = pikepdf.Dictionary(FunctionType=2, Domain=[0, 1], C0=[1, 1, 1], C1=[0, 0.6, 0], N=1)
    ink = pikepdf.Array([pikepdf.Name.Separation, pikepdf.Name("/Kiss#20Cut"), pikepdf.Name.DeviceRGB, tint])
    for boxes in PAGES:
        page = pdf.add_blank_page(page_size=(80 * POINTS, 50 * POINTS))
        for key, value in boxes.items():
            page.obj[key] = pikepdf.Array(value) if isinstance(value, list) else value
        page.Resources = pikepdf.Dictionary(
            Properties=pikepdf.Dictionary(Kiss=group), ColorSpace=pikepdf.Dictionary(Ink=ink)
        )
        page.Contents = pdf.make_stream(CONTENT.encode())
    data = io.BytesIO()
    pdf.save(data)
    return Engine(Profile.default()).check_bytes(data.getvalue(), "flags.pdf", Path())


@pytest.fixture
def page(checked: Checked, opened: Callable[..., Any]) -> Any:
    engine = Engine(Profile.default())
    html = HtmlRenderer(engine.plugins.rules).render(
        engine.report([checked]), lambda path: checked.drawings()
    )
    return opened(html).page


MAGENTA = """async (image) => {
  const canvas = document.createElement("canvas");
  canvas.width = image.naturalWidth; canvas.height = image.naturalHeight;
  const context = canvas.getContext("2d");
  context.drawImage(image, 0, 0);
  const { data, width, height } = context.getImageData(0, 0, canvas.width, canvas.height);
  let box = [width, height, 0, 0], count = 0;
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) {
    const at = 4 * (y * width + x);
    if (data[at] > 200 && data[at + 1] < 60 && data[at + 2] > 200) {
      box = [Math.min(box[0], x), Math.min(box[1], y), Math.max(box[2], x + 1), Math.max(box[3], y + 1)];
      count++;
    }
  }
  return { box: [box[0] / width, box[1] / height, box[2] / width, box[3] / height], share: count / width / height };
}"""


def test_each_page_of_the_file_has_a_sheet_of_its_own_size(page: Any) -> None:
    sizes = page.locator(".sheet .size").all_text_contents()
    assert [size.replace(" mm", "").split(" × ") for size in sizes] == [
        ["80", "50"],
        ["50", "80"],
        ["160", "100"],
        ["40", "50"],
        ["60.5833", "87.0556"],
    ]
    names = page.locator("nav a .name").all_text_contents()
    assert names == [f"flags.pdf, page {number}" for number in range(1, 6)]


@pytest.mark.parametrize("number", range(1, len(PAGES) + 1))
def test_the_cut_line_lies_on_the_art_it_was_drawn_round(page: Any, checked: Checked, number: int) -> None:
    width, height = checked.report.pages[number - 1].size_mm
    page.locator(f"nav a[href='#s{number}']").click()
    seen = page.locator(f"#s{number} .paper img").evaluate(MAGENTA)
    left, top, right, bottom = seen["box"]
    line = page.locator(f"#s{number} .line path").first.evaluate(
        "path => { const box = path.getBBox(); return [box.x, box.y, box.x + box.width, box.y + box.height]; }"
    )
    # A pixel of the picture is some 0.04 mm; the line itself hides half its own width of the art.
    assert line == pytest.approx([left * width, top * height, right * width, bottom * height], abs=0.2)
    area = (30 * 5 + 6 * 15) * (4 if number == 3 else 1)
    assert seen["share"] * width * height == pytest.approx(area, rel=0.05)


# Both boxes at one moment: the pins are made anew whenever the page settles to another size.
PIN_ON_PAPER = """(sheet) => {
  const pin = [...sheet.querySelectorAll(".pins .pin")].find((one) => one.textContent.includes("1"));
  const [at, paper] = [pin.getBoundingClientRect(), sheet.querySelector(".paper").getBoundingClientRect()];
  return [(at.x + at.width / 2 - paper.x) / paper.width, (at.y + at.height / 2 - paper.y) / paper.height];
}"""


@pytest.mark.parametrize("number", range(1, len(PAGES) + 1))
def test_the_pin_of_the_gap_stands_at_the_gap(page: Any, checked: Checked, number: int) -> None:
    report = checked.report.pages[number - 1]
    (gap,) = [one for one in report.findings if one.rule == "contour-open"]
    page.locator(f"nav a[href='#s{number}']").click()
    page.locator(f"#s{number} .pins .pin").first.wait_for()
    across, down = page.locator(f"#s{number}").evaluate(PIN_ON_PAPER)
    x, y = across * report.size_mm[0], down * report.size_mm[1]
    assert gap.bounds_mm is not None
    x0, y0, x1, y1 = gap.bounds_mm
    within = 0.06 * max(report.size_mm)  # pins that would cover each other are drawn as one, near by
    assert x0 - within <= x <= x1 + within
    assert y0 - within <= y <= y1 + within


def test_the_open_ends_are_where_turning_the_page_puts_them(checked: Checked) -> None:
    """The ends lie at (20, 15) and (20, 17) mm from the lower left of the page as drawn."""
    margin_x, margin_y = 20 / POINTS, 30 / POINTS
    expected = [
        (20, 33, 20, 35),
        (15, 20, 17, 20),
        (120, 30, 120, 34),
        (28, 40, 30, 40),
        (15 + margin_y, 20 + margin_x, 17 + margin_y, 20 + margin_x),
    ]
    for page, ends in zip(checked.report.pages, expected, strict=True):
        (gap,) = [one for one in page.findings if one.rule == "contour-open"]
        assert gap.bounds_mm == pytest.approx(ends, abs=0.01), page.number


def test_the_pale_edge_beside_a_line_is_as_thin_at_any_zoom(page: Any, checked: Checked) -> None:
    """A millimetre beside the cut the art has its own colour: many screen pixels from the line."""
    paper = page.locator("#s1 .paper").bounding_box()
    shot = photographed(page)
    scale = paper["width"] / checked.report.pages[0].size_mm[0]
    assert scale > 8
    x, y = paper["x"] + 21 * scale, paper["y"] + (50 - 25) * scale
    assert shot[round(y), round(x)].tolist() == [255, 0, 255]
