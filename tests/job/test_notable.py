"""What few pages have, held against the plain question asked of each object."""

from __future__ import annotations

import msgspec

from preflight.artwork import Color, Kind, Object, Origin, Paint, PaintKind, Stroke
from preflight.job.looks import Looks
from preflight.job.notable import Notable

INKED = Paint(PaintKind.COLOR, Color((1.0, 0.0, 1.0)), spot="Kiss cut", inks=(("Kiss cut", 1.0),))


def test_each_kind_is_found_in_paint_order() -> None:
    plain = Object(Kind.PATH, Origin("a"))
    objects = [
        plain,
        msgspec.structs.replace(plain, kind=Kind.TEXT, fill=INKED),
        msgspec.structs.replace(plain, kind=Kind.IMAGE, absent="It is not there."),
        msgspec.structs.replace(plain, kind=Kind.SHADING, overprint=True),
        msgspec.structs.replace(plain, stroke=Stroke(INKED, overprint=True), waive=("line-thin: meant",)),
        msgspec.structs.replace(plain, kind=Kind.TEXT, absent="Nor is this."),
        plain,
    ]
    assert Notable.of(Looks.among(objects)) == Notable(
        texts=(1, 5), images=(2,), absent=(2, 5), waiving=(4,), overprinting=(3, 4), inked=(1, 4)
    )
    assert Notable.of(Looks.among([plain])) == Notable((), (), (), (), (), ())
