"""Tiny sheets about naming, showing and painting cut lines in PDF: layers, separations, All and None."""

from __future__ import annotations

from rule_sheets.case import ART, CUT, CUT_BOX, INSIDE, KISS, SEA, TEA, Case, cut, found, kiss_layer
from rule_sheets.tiny_pdf import Layer, Process, Separation, Shape, rectangle

PAINTED, HIDDEN, UNNAMED, MISSPELT, MISSING = (
    "step-painted",
    "step-hidden",
    "step-unnamed",
    "step-misspelt",
    "step-missing",
)
HARBOUR = Separation("Harbour Edge", (0.6, 0, 0.9, 0))
OTHER = rectangle(45, 10, 10, 10)
OTHER_BOX = (45, 10, 55, 20)
KISS_BY_NAME = Layer("Knife", (cut(),))
"""Nothing but the separation names it."""


def painted_cases() -> tuple[Case, ...]:
    """How a cut line is painted."""
    return (
        Case(
            PAINTED,
            "fail-separation",
            "Filled, dashed and see-through, in the separation of the kiss cut",
            (
                ART,
                kiss_layer(cut(), Shape(OTHER, fill=KISS, stroke=KISS, opacity=0.5, dash=(2, 1), over=True)),
            ),
            (found(PAINTED, OTHER_BOX, 0.5, "opacity"),),
        ),
        Case(
            PAINTED,
            "fail-tint",
            "A kiss cut at a tint of 40 % of its separation",
            (ART, kiss_layer(cut(ink=Separation(KISS.name, KISS.looks, 0.4)))),
            (found(PAINTED, CUT_BOX),),
        ),
        Case(
            PAINTED,
            "pass-separation",
            "A plain hairline in the separation of the kiss cut",
            (ART, KISS_BY_NAME),
        ),
        Case(
            PAINTED,
            "near-fail-separation",
            "A stroke of 1.03 mm",
            (ART, kiss_layer(cut(width=1.03))),
            (found(PAINTED, CUT_BOX, 1.03),),
        ),
        Case(PAINTED, "near-pass-separation", "A stroke of 1 mm", (ART, kiss_layer(cut(width=1)))),
        Case(
            PAINTED,
            "degenerate-fill-only",
            "A kiss cut that is filled with its separation and not stroked",
            (ART, kiss_layer(Shape(CUT, fill=KISS, over=True))),
            (found(PAINTED, CUT_BOX),),
        ),
    )


def hidden_cases() -> tuple[Case, ...]:
    """Whether a cut line shows, and prints."""
    spare = cut(OTHER)
    return (
        Case(
            HIDDEN,
            "fail-off",
            "A second kiss cut on a layer that is off in the default configuration",
            (ART, kiss_layer(), kiss_layer(spare, off=True)),
            (found(HIDDEN, OTHER_BOX),),
        ),
        Case(
            HIDDEN,
            "fail-lock",
            "A kiss cut on a locked layer of optional content",
            (ART, kiss_layer(locked=True)),
            (found(HIDDEN, CUT_BOX),),
        ),
        Case(
            HIDDEN,
            "fail-none",
            "A second kiss cut in the separation None, which never shows",
            (ART, kiss_layer(cut(), cut(OTHER, ink=Separation("None", (0, 0, 0, 1))))),
            (found(HIDDEN, OTHER_BOX),),
        ),
        Case(HIDDEN, "pass-on", "A kiss cut on a layer that is on and prints", (ART, kiss_layer())),
        Case(
            HIDDEN,
            "near-fail-unprinted",
            "A kiss cut on a layer that shows and by its usage is not printed",
            (ART, kiss_layer(printed=False)),
            (found(HIDDEN, CUT_BOX),),
        ),
        Case(
            HIDDEN,
            "near-pass-art-off",
            "A layer of art that is off hides no cut",
            (ART, kiss_layer(), Layer("Draft", (Shape(OTHER, fill=SEA),), off=True)),
        ),
        Case(
            HIDDEN,
            "degenerate-all-off",
            "The only kiss cut is on a layer that is off: it is hidden, not missing",
            (ART, kiss_layer(off=True)),
            (found(HIDDEN, CUT_BOX),),
        ),
    )


def unnamed_cases() -> tuple[Case, ...]:
    """Lines that look like cut lines."""
    edge = Layer("Print", (Shape(INSIDE, fill=SEA), cut(ink=HARBOUR)))

    def wide(width: float) -> tuple[Shape | Layer, ...]:
        return (
            Layer("Print", (Shape(INSIDE, fill=SEA), cut(ink=HARBOUR, width=width))),
            kiss_layer(cut(OTHER)),
        )

    return (
        Case(
            UNNAMED,
            "fail-separation",
            "A thin line round the art in a separation nobody knows",
            (edge, kiss_layer(cut(OTHER))),
            (found(UNNAMED, CUT_BOX, 0.1, level="warning"),),
        ),
        Case(
            UNNAMED,
            "fail-separation-alone",
            "The same where the page has no cut at all: an error, and no step-missing beside it",
            (edge,),
            (found(UNNAMED, CUT_BOX, 0.1, level="error"),),
        ),
        Case(
            UNNAMED,
            "fail-unprinted",
            "A thin line round the art on a layer of its own that is not printed, as cut lines often are kept",
            (
                ART,
                Layer("Contours", (cut(ink=Process((0, 1, 0, 0))),), printed=False),
                kiss_layer(cut(OTHER)),
            ),
            (found(UNNAMED, CUT_BOX, 0.1),),
        ),
        Case(
            UNNAMED,
            "near-pass-round-unprinted",
            "A thin line round a drawing that is on a layer that is not printed",
            (
                Layer("Notes", (Shape(INSIDE, fill=SEA),), printed=False),
                Layer("Print", (cut(ink=HARBOUR),)),
                kiss_layer(cut(OTHER)),
            ),
        ),
        Case(UNNAMED, "pass-separation", "The separation bears the name of the step", (ART, KISS_BY_NAME)),
        Case(
            UNNAMED,
            "pass-every-plate",
            "A thin frame in the separation All is there for the printer",
            (
                Layer(
                    "Print",
                    (Shape(INSIDE, fill=SEA), Shape(CUT, stroke=Separation("All", (0, 0, 0, 1)))),
                ),
                kiss_layer(cut(OTHER)),
            ),
        ),
        Case(
            UNNAMED,
            "near-fail-separation",
            "A line 0.29 mm wide in a separation of its own",
            wide(0.29),
            (found(UNNAMED, CUT_BOX, 0.29),),
        ),
        Case(UNNAMED, "near-pass-separation", "A line 0.31 mm wide in a separation of its own", wide(0.31)),
        Case(
            UNNAMED,
            "degenerate-separation",
            "A thin line in a separation of its own round nothing",
            (Layer("Print", (Shape(INSIDE, fill=SEA), cut(OTHER, ink=HARBOUR))), kiss_layer()),
        ),
    )


def misspelt_cases() -> tuple[Case, ...]:
    """Names that are nearly known."""

    def named(name: str, layer: str = "Knife") -> tuple[Shape | Layer, ...]:
        return ART, kiss_layer(cut(OTHER)), Layer(layer, (cut(ink=Separation(name, HARBOUR.looks)),))

    return (
        Case(
            MISSPELT,
            "fail-separation",
            "A separation whose name lacks a letter",
            named("Kis Cut"),
            (found(MISSPELT, CUT_BOX, 1, "slips"),),
        ),
        Case(
            MISSPELT,
            "near-fail-separation",
            "Two letters swapped in the name of a separation",
            named("Kiss Ctu"),
            (found(MISSPELT, CUT_BOX, 1, "slips"),),
        ),
        Case(
            MISSPELT,
            "near-pass-separation",
            "A separation two slips away from a known name: a line nobody named",
            named("Kisz Cot"),
            (found(UNNAMED, CUT_BOX, 0.1),),
        ),
        Case(MISSPELT, "pass-separation", "A separation in capitals with a hyphen", named("KISS-CUT")),
        Case(
            MISSPELT,
            "degenerate-metadata",
            "A misspelt layer that its metadata names is no matter",
            (ART, Layer("Kis cut", (cut(ink=HARBOUR),), step=("Structural", "PartialCutting"))),
        ),
    )


def missing_cases() -> tuple[Case, ...]:
    """Pages with and without a cut."""
    thick = Shape(CUT, stroke=TEA, width=0.5)
    return (
        Case(
            MISSING,
            "fail-art-only",
            "Art in a separation and no cut",
            (Layer("Print", (Shape(INSIDE, fill=TEA),)),),
            (found(MISSING, None, level="error"),),
        ),
        Case(MISSING, "pass-separation", "Nothing but the separation names the cut", (ART, KISS_BY_NAME)),
        Case(
            MISSING,
            "pass-metadata",
            "Nothing but the layer's metadata names the cut",
            (ART, Layer("Wavy", (Shape(CUT, stroke=Process((0, 1, 0, 0))),), step=("Structural", "Cutting"))),
        ),
        Case(
            MISSING,
            "near-fail-position",
            "Metadata of another group is no cut",
            (ART, Layer("Barcode", (Shape(OTHER, stroke=SEA, width=0.5),), step=("Positions", "Barcode"))),
            (found(MISSING, None),),
        ),
        Case(
            MISSING,
            "near-pass-off",
            "A kiss cut on a layer that is off is not missing, it is hidden",
            (ART, kiss_layer(off=True)),
            (found(HIDDEN, CUT_BOX),),
        ),
        Case(MISSING, "degenerate-blank", "A page with nothing on it", (), (found(MISSING, None),)),
        Case(
            MISSING,
            "fail-frame",
            "A frame 0.5 mm wide in a separation is no cut",
            (ART, Layer("Frame", (thick,))),
            (found(MISSING, None),),
        ),
    )
