"""Where inline images end: what stands behind one is drawn, whatever the bytes of the picture look like."""

from __future__ import annotations

import pytest
from drawn_pages import drawn

from preflight.artwork.model import Kind

SQUARE = b" 0 0 9 9 re f "
GREY = b"BI /W 2 /H 1 /BPC 8 /CS /G "
NAMED = b"BI /W 9 /H 1 /BPC 8 /CS /C "
RESOURCES = "/ColorSpace << /C /DeviceGray >>"

WHOLE = {
    "no white space before EI": GREY + b"ID abEI",
    "bytes that look like the end": b"BI /W 4 /H 1 /BPC 8 /CS /G ID  EI \nEI",
    "an unknown space, bytes that look like the end": NAMED + b"ID ab EI \xff\x01d \nEI",
    "words that are no content after what looks like the end": NAMED + b"ID a EI cd ef\nEI",
    "its length stated": NAMED + b"/L 9 ID ab EI q Q\nEI",
    "an indexed space": b"BI /W 6 /H 1 /BPC 8 /CS [/I /RGB 1 <000000ffffff>] ID a EI q\nEI",
    "run lengths": GREY + b"/F /RL ID \x01ab\x80\nEI",
    "hexadecimal": GREY + b"/F /AHx ID 6162>EI",
    "base 85": GREY + b"/F /A85 ID @:B~>EI",
    "a comment among its keys": b"BI % ID no picture\n/W 2 /H 1 /BPC 8 /CS /G ID ab\nEI",
}
BEHIND = {
    "a path": SQUARE,
    "text in a font of two bytes": b" q 1 0 0 1 5 5 cm BT (\xff\xfe\x01\x02) Tj ET Q" + SQUARE,
    "another image": b" " + GREY + b"ID \xff\xfe EI" + SQUARE,
}


@pytest.mark.parametrize("behind", BEHIND)
@pytest.mark.parametrize("image", WHOLE)
def test_what_stands_between_two_images_is_drawn(image: str, behind: str) -> None:
    content = WHOLE[image] + BEHIND[behind] + WHOLE[image] + SQUARE
    found = drawn(content, resources=RESOURCES)
    kinds = [one.kind for one in found.objects if one.kind is not Kind.TEXT]
    between = [Kind.IMAGE, Kind.PATH] if behind == "another image" else [Kind.PATH]
    assert kinds == [Kind.IMAGE, *between, Kind.IMAGE, Kind.PATH]
    assert not [note for note in found.notes if note.what in ("content", "operator", "image")]


def test_a_picture_shorter_than_stated_takes_nothing_with_it() -> None:
    short = b"BI /W 20 /H 20 /BPC 8 /CS /G ID abcd EI"
    found = drawn(short + SQUARE * 40 + short + SQUARE)
    assert sum(one.kind is Kind.PATH for one in found.objects) == 41
    assert [note for note in found.notes if note.what == "image"]


def test_an_image_that_never_gets_to_its_picture_is_noted_and_read_past() -> None:
    found = drawn(b"BI /W 2 /H 1 EI" + SQUARE)
    assert [one.kind for one in found.objects][-1] is Kind.PATH
    assert [note for note in found.notes if note.what == "content"]


def test_an_end_that_cannot_be_told_is_noted() -> None:
    found = drawn(b"BI /W 9 /H 1 /BPC 8 /CS /C ID ab EI \xff\xfe\xfd EI \xff\xfe\xfd", resources=RESOURCES)
    assert [note for note in found.notes if note.what == "content"]
