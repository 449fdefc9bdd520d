"""A card of stickers in the ferry company's named colours, and the palette itself: in order, and with a fault of each rule of names."""

from __future__ import annotations

from dataclasses import replace

from demo_sheet import ferry_stickers as ferry
from demo_sheet import palette as ink
from demo_sheet import tea_stickers as tea
from demo_sheet.draft import Fault
from demo_sheet.outline import bounds
from demo_sheet.sheet import Group, Ink, Layer, Shape, Sheet, Sticker, Swatch, cut_line, placed

PALETTE = {
    "Beacon Orange": (62.0, 68.0, 72.0),
    "Beacon Brick": (47.0, 44.0, 36.0),
    "Deep Water": (42.0, -15.0, -26.0),
    "Jam Red": (42.0, 48.0, 14.0),
    "Straw": (80.0, 8.0, 60.0),
}
"""Lab D50 of each colour, as if measured. Beacon Orange is brighter than process inks print."""

BEACON_OFF = 4.914
"""ΔE00 from Beacon Orange to the nearest that coated paper (FOGRA39L, relative to its white) reaches: by an exhaustive search over
grids of ever finer steps of the four inks."""

PROFILE = """\
# The ferry company's palette. palette.csv holds the same colours for programs that read no CxF.
[colours]
libraries = ["palette.cxf"]
"""

ORANGE, BRICK = (
    Swatch("beacon-orange", "Beacon Orange", "#ff5a1f"),
    Swatch("beacon-brick", "Beacon Brick", "#b8432f"),
)
WATER, JAM, STRAW = (
    Swatch("deep-water", "Deep Water", "#2a6f8f"),
    Swatch("jam-red", "Jam Red", "#a8385a"),
    Swatch("straw", "Straw", "#e8c35a"),
)
YELLOW, OTHER_JAM = (
    Swatch("lantern-yellow", "Lantern Yellow", "#f3b63f"),
    Swatch("jam-red-2", "JAM-RED", "#a8385a"),
)

WIDTH, HEIGHT = 196.0, 84.0
_WORDS = ("Badge words", "Badge words low")


def palette_csv() -> bytes:
    """The palette as a table."""
    rows = [f"{name},{lab[0]:g},{lab[1]:g},{lab[2]:g}" for name, lab in PALETTE.items()]
    return "\n".join(["name,L,a,b", *rows, ""]).encode()


def palette_cxf() -> bytes:
    """The palette as CxF3."""
    objects = "".join(
        f'   <cc:Object ObjectType="Standard" Name="{name}" Id="c{number}">\n'
        "    <cc:CreationDate>2026-01-01T00:00:00Z</cc:CreationDate>\n"
        f'    <cc:ColorValues><cc:ColorCIELab ColorSpecification="d50"><cc:L>{lab[0]:g}</cc:L><cc:A>{lab[1]:g}</cc:A>'
        f"<cc:B>{lab[2]:g}</cc:B></cc:ColorCIELab></cc:ColorValues>\n   </cc:Object>\n"
        for number, (name, lab) in enumerate(PALETTE.items(), 1)
    )
    return f"""<?xml version="1.0" encoding="UTF-8"?>
<cc:CxF xmlns:cc="http://colorexchangeformat.com/CxF3-core">
 <cc:FileInformation><cc:Creator>Quillsay Ferry</cc:Creator><cc:CreationDate>2026-01-01T00:00:00Z</cc:CreationDate></cc:FileInformation>
 <cc:Resources>
  <cc:ObjectCollection>
{objects}  </cc:ObjectCollection>
  <cc:ColorSpecificationCollection>
   <cc:ColorSpecification Id="d50">
    <cc:TristimulusSpec><cc:Illuminant>D50</cc:Illuminant><cc:Observer>2_Degree</cc:Observer><cc:Method>E308_Table5</cc:Method></cc:TristimulusSpec>
    <cc:MeasurementSpec><cc:MeasurementType>Colorimetric_Reflectance</cc:MeasurementType><cc:GeometryChoice><cc:SingleAngle><cc:SingleAngleConfiguration>Annular</cc:SingleAngleConfiguration><cc:IlluminationAngle>45</cc:IlluminationAngle><cc:MeasurementAngle>0</cc:MeasurementAngle></cc:SingleAngle></cc:GeometryChoice></cc:MeasurementSpec>
   </cc:ColorSpecification>
  </cc:ColorSpecificationCollection>
 </cc:Resources>
</cc:CxF>
""".encode()


def in_palette() -> Sheet:
    """Every colour known and within reach."""
    return _card(
        "Quillsay Ferry: stickers in the company's colours",
        "Every colour is in the palette and prints. Nothing is wrong with it.",
        _stickers({ink.CORAL: BRICK, ink.SEA: WATER, ink.BERRY: JAM, ink.SUN: STRAW}, {}),
        (BRICK, WATER, JAM, STRAW),
    )


def out_of_palette() -> tuple[Sheet, list[Fault]]:
    """One colour out of reach, one that nothing defines, one spelt in two ways."""
    stickers = _stickers(
        {ink.CORAL: ORANGE, ink.SEA: WATER, ink.BERRY: JAM, ink.SUN: YELLOW}, dict.fromkeys(_WORDS, OTHER_JAM)
    )
    sheet = _card(
        "Quillsay Ferry: stickers in colours that make trouble",
        "One fault is planted for each rule of named colours; colours-faulty.expected.json says where and how large it is.",
        stickers,
        (ORANGE, WATER, JAM, OTHER_JAM, YELLOW),
    )
    return sheet, [
        Fault(
            "colour-gamut",
            "Print Art",
            "Beacon Orange is brighter than process inks print",
            _largest(stickers, ORANGE),
            measured=BEACON_OFF,
            unit="ΔE00",
        ),
        Fault("colour-unknown", "Print Art", "Lantern Yellow is in no palette", _largest(stickers, YELLOW)),
        Fault(
            "colour-conflict",
            "Print Art",
            "Jam Red is spelt JAM-RED for the words",
            _largest(stickers, OTHER_JAM),
        ),
    ]


def _stickers(inks: dict[str, Ink], by_name: dict[str, Ink]) -> tuple[Sticker, ...]:
    places = ((ferry.life_ring(), 42.0), (tea.tea_badge(), 105.0), (ferry.compass(), 162.0))
    return tuple(placed(_painted(one, inks, by_name), x, HEIGHT / 2) for one, x in places)


def _painted(sticker: Sticker, inks: dict[str, Ink], by_name: dict[str, Ink]) -> Sticker:
    art = _repainted(sticker.art, inks, by_name)
    assert isinstance(art, Group)
    return replace(sticker, art=replace(art, name=""))  # a name would count for a layer in SVG


def _repainted(item: Shape | Group, inks: dict[str, Ink], by_name: dict[str, Ink]) -> Shape | Group:
    if isinstance(item, Group):
        return replace(item, items=tuple(_repainted(part, inks, by_name) for part in item.items))

    def changed(paint: Ink | None) -> Ink | None:
        if not isinstance(paint, str) or paint not in inks:
            return paint
        return by_name.get(item.name, inks[paint])

    return replace(item, fill=changed(item.fill), stroke=changed(item.stroke))


def _largest(stickers: tuple[Sticker, ...], swatch: Swatch) -> tuple[float, float, float, float]:
    """The box of the largest shape in a colour."""

    def shapes(item: Shape | Group) -> list[Shape]:
        return [item] if isinstance(item, Shape) else [one for part in item.items for one in shapes(part)]

    boxes = [
        bounds(one.path)
        for sticker in stickers
        for one in shapes(sticker.art)
        if swatch in (one.fill, one.stroke)
    ]
    return max(boxes, key=lambda box: (box[2] - box[0]) * (box[3] - box[1]))


def _card(title: str, about: str, stickers: tuple[Sticker, ...], swatches: tuple[Swatch, ...]) -> Sheet:
    return Sheet(
        title=title,
        about=about,
        width=WIDTH,
        height=HEIGHT,
        swatches=(*swatches, ink.KISS_CUT),
        layers=(
            Layer("Print Art", tuple(one.art for one in stickers)),
            Layer(
                "Kiss Cut", tuple(cut_line(f"{one.name} kiss cut", one.cut, ink.KISS_CUT) for one in stickers)
            ),
        ),
    )
