"""Separations and gradients as other programs write and paint them: reportlab's named inks, PDFium's gradients."""

from __future__ import annotations

import io
import itertools

import numpy as np
import pikepdf
import pypdfium2
import pytest

from preflight.artwork.model import PaintKind
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read


def test_separations_written_by_reportlab():
    from reportlab.lib.colors import CMYKColor, CMYKColorSep
    from reportlab.pdfgen.canvas import Canvas

    held = io.BytesIO()
    canvas = Canvas(held, pagesize=(200, 100))
    canvas.setStrokeColor(CMYKColorSep(0, 0.8, 0.6, 0, spotName="Kiss Cut", density=1))
    canvas.rect(10, 10, 50, 50)
    canvas.setFillColor(CMYKColorSep(0.2, 0, 0.4, 0.1, spotName="Tea Grün", density=0.5))
    canvas.rect(80, 10, 50, 50, stroke=0, fill=1)
    canvas.setFillColor(CMYKColor(0.1, 0.2, 0.3, 0.4))
    canvas.rect(140, 10, 50, 50, stroke=0, fill=1)
    canvas.save()
    (artwork,) = read(held.getvalue(), "reportlab.pdf", Limits())
    cut, tea, plain = artwork.objects
    assert (cut.stroke.paint.spot, cut.stroke.paint.inks) == ("Kiss Cut", (("Kiss Cut", 1),))
    assert (tea.fill.spot, tea.fill.tint) == ("Tea Grün", 0.5)
    assert tea.fill.color.components == pytest.approx((0.1, 0, 0.2, 0.05))
    assert (plain.fill.spot, plain.fill.color.components) == (None, (0.1, 0.2, 0.3, 0.4))
    looks = {spot.name: (spot.definition, spot.alternate.components) for spot in artwork.spots}
    assert looks == {
        "Kiss Cut": ("separation", pytest.approx((0, 0.8, 0.6, 0))),
        "Tea Grün": ("separation", pytest.approx((0.2, 0, 0.4, 0.1))),
    }


RAMP = "<< /FunctionType 2 /Domain [0 1] /C0 [0.9 0.1 0.2] /C1 [0.1 0.8 0.4] /N 1 >>"
BENT = RAMP.replace("/N 1", "/N 2.5")
JUMP = f"<< /FunctionType 3 /Domain [0 1] /Bounds [0.5] /Encode [0 1 1 0] /Functions [{RAMP} {BENT}] >>"
SPOT = "[/Separation /Ferry#20Red /DeviceRGB << /FunctionType 2 /Domain [0 1] /C0 [1 1 1] /C1 [0.8 0 0.2] /N 1 >>]"
TINTS = "<< /FunctionType 2 /Domain [0 1] /C0 [0.2] /C1 [0.9] /N 1 >>"


@pytest.mark.parametrize(
    ("space", "function"),
    [("/DeviceRGB", RAMP), ("/DeviceRGB", BENT), ("/DeviceRGB", JUMP), (SPOT, TINTS)],
    ids=["straight", "bent", "stitched", "named"],
)
def test_stops_are_colours_that_pdfium_paints(space, function):
    with pikepdf.new() as pdf:
        page = pdf.add_blank_page(page_size=(512, 8))
        shading = f"<< /ShadingType 2 /ColorSpace {space} /Coords [0 0 512 0] /Function {function} >>"
        page.Resources = pikepdf.Object.parse(f"<< /Shading << /Sh {shading} >> >>".encode())
        page.Contents = pdf.make_stream(b"/Sh sh")
        held = io.BytesIO()
        pdf.save(held)
    document = pypdfium2.PdfDocument(held.getvalue())
    try:
        pixels = document[0].render(scale=1).to_numpy()[4, :, ::-1].astype(float)
    finally:
        document.close()
    (artwork,) = read(held.getvalue(), "gradient.pdf", Limits())
    (item,) = artwork.objects
    assert item.fill.kind is PaintKind.GRADIENT
    stops = np.array([stop.rgb for stop in item.fill.stops]) * 255
    # PDFium paints in 256 steps of the axis, the last a step short of its end; the steepest changes by 2 of 255 a step.
    apart = np.abs(pixels[None] - stops[:, None]).max(axis=2)
    assert apart.min(axis=1).max() <= 4
    assert apart[0, 0] <= 4
    assert apart[-1, -1] <= 4
    # And between two stops nothing is painted that lies off the line between them by more than a bend's own height.
    spread = np.concatenate([np.linspace(one, two, 64) for one, two in itertools.pairwise(stops)])
    assert np.abs(pixels[:, None] - spread[None]).max(axis=2).min(axis=1).max() <= 4
