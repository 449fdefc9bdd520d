"""Layers of PDF: worked by hand from ISO 32000-1, 8.11, and held against what PDFium draws."""

from __future__ import annotations

import io
from typing import Any

import pikepdf
import pypdfium2
import pytest
from small_pdfs import one_page

from preflight.artwork.model import Layer, NoteKind, ProcessingStep
from preflight.engine import check_bytes
from preflight.readers.limits import Deadline, Limits
from preflight.readers.pdf.document.context import Context
from preflight.readers.pdf.document.streams import Streams
from preflight.readers.pdf.layers.content_layers import HIDDEN, Content, Layers
from preflight.readers.pdf.layers.optional_content import OptionalContent

GROUPS = {
    10: "<< /Type /OCG /Name (On) >>",
    11: "<< /Type /OCG /Name (Also on) >>",
    12: "<< /Type /OCG /Name (Off) >>",
    13: "<< /Type /OCG /Name (Also off) >>",
}
ALL = "[10 0 R 11 0 R 12 0 R 13 0 R]"
CATALOG = f"/OCProperties << /OCGs {ALL} /D << /OFF [12 0 R 13 0 R] %s >> %s >>"


def document(
    properties: str, default: str = "", more: str = "", groups: dict[int, str] | None = None
) -> bytes:
    return one_page(
        "/OC /Mark BDC 50 25 100 50 re f EMC",
        resources="/Properties << /Mark 20 0 R >>",
        catalog=CATALOG % (default, more),
        others={**GROUPS, **(groups or {}), 20: properties},
    )


def layers_of(data: bytes) -> tuple[Layers, Any, Context]:
    """The layers, the properties of the mark, and the context with its notes."""
    limits = Limits()
    pdf = pikepdf.open(io.BytesIO(data), inherit_page_attributes=False)
    deadline = Deadline(10)
    context = Context(pdf, 1, limits, deadline, Streams(limits, deadline))
    mark = pdf.pages[0].obj.Resources.Properties.get("/Mark")
    return Layers(OptionalContent(context), context), mark, context


def drawn_by_pdfium(data: bytes) -> bool:
    document = pypdfium2.PdfDocument(data)
    pixel = document[0].render(scale=1).to_numpy()[50, 100, 0]
    document.close()
    return bool(pixel < 128)


def group(entries: str) -> dict[int, str]:
    return {10: f"<< /Type /OCG /Name (On) {entries} >>"}


STATES = {
    # Table 101: ON is the base state; ON and OFF change it for the groups they name.
    "on": ("10 0 R", "", True),
    "off": ("12 0 R", "", False),
    "base off": ("10 0 R", "/BaseState /OFF", False),
    "base off, on again": ("11 0 R", "/BaseState /OFF /ON [11 0 R]", True),
    "in both lists": ("12 0 R", "/ON [12 0 R]", False),
}


@pytest.mark.parametrize("case", STATES)
def test_state_of_a_group(case: str) -> None:
    reference, default, shows = STATES[case]
    data = document("null", default).replace(b"/Mark 20 0 R", f"/Mark {reference}".ljust(12).encode())
    layers, mark, context = layers_of(data)
    entered = layers.entered(mark)
    assert entered.hidden == (None if shows else HIDDEN)
    assert layers.layers[entered.layer or 0].visible is shows
    assert drawn_by_pdfium(data) is shows
    assert context.notes == []


MEMBERSHIPS = {
    # Table 99: the policy, AnyOn by default.
    "one on": ("/OCGs 10 0 R", True),
    "one off": ("/OCGs 12 0 R", False),
    "any on, mixed": ("/OCGs [10 0 R 12 0 R]", True),
    "any on, none": ("/OCGs [12 0 R 13 0 R] /P /AnyOn", False),
    "all on, mixed": ("/OCGs [10 0 R 12 0 R] /P /AllOn", False),
    "all on, all": ("/OCGs [10 0 R 11 0 R] /P /AllOn", True),
    "any off, mixed": ("/OCGs [10 0 R 12 0 R] /P /AnyOff", True),
    "any off, none": ("/OCGs [10 0 R 11 0 R] /P /AnyOff", False),
    "all off, mixed": ("/OCGs [10 0 R 12 0 R] /P /AllOff", False),
    "all off, all": ("/OCGs [12 0 R 13 0 R] /P /AllOff", True),
    # Table 99: no members, no effect; null members are left out.
    "no members": ("/OCGs []", True),
    "members that are not there": ("/OCGs [null 99 0 R]", True),
    "nothing": ("", True),
    "a member beside nothing": ("/OCGs [null 12 0 R]", False),
    # 8.11.2.2: expressions of And, Or and Not, nested; they win over the policy.
    "and": ("/VE [/And 10 0 R 12 0 R]", False),
    "or": ("/VE [/Or 10 0 R 12 0 R]", True),
    "not": ("/VE [/Not 12 0 R]", True),
    "not on": ("/VE [/Not 10 0 R]", False),
    "nested": ("/VE [/And 10 0 R [/Or 12 0 R [/Not [/And 10 0 R 13 0 R]]]]", True),
    "expression over policy": ("/OCGs 10 0 R /VE [/Not 10 0 R]", False),
    "policy beside expression": ("/OCGs [10 0 R 12 0 R] /P /AllOn /VE [/Or 10 0 R 12 0 R]", True),
}


@pytest.mark.parametrize("case", MEMBERSHIPS)
def test_state_of_a_membership(case: str) -> None:
    entries, shows = MEMBERSHIPS[case]
    data = document(f"<< /Type /OCMD {entries} >>")
    layers, mark, context = layers_of(data)
    assert layers.entered(mark).hidden == (None if shows else HIDDEN)
    assert drawn_by_pdfium(data) is shows
    assert [note for note in context.notes if note.kind is NoteKind.FAULT] == []


@pytest.mark.parametrize(
    ("entries", "layer"),
    [
        ("/OCGs 11 0 R", "Also on"),
        ("/OCGs [10 0 R 12 0 R]", "On"),
        ("/OCGs [12 0 R 13 0 R] /P /AllOff", None),  # what shows while a layer is off does not lie on it
        ("/VE [/And [/Not 10 0 R] 11 0 R]", "Also on"),
        ("/VE [/Not [/Not 11 0 R]]", "Also on"),
        ("/OCGs []", None),
    ],
)
def test_the_layer_that_content_of_several_counts_to(entries: str, layer: str | None) -> None:
    layers, mark, _ = layers_of(document(f"<< /Type /OCMD {entries} >>"))
    index = layers.entered(mark).layer
    assert (None if index is None else layers.layers[index].name) == layer


def test_of_several_layers_the_processing_step_counts_and_it_is_said() -> None:
    step = {
        11: "<< /Type /OCG /Name (Knife) /GTS_Metadata << /GTS_ProcStepsGroup /Structural /GTS_ProcStepsType /Cutting >> >>"
    }
    layers, mark, context = layers_of(document("<< /Type /OCMD /OCGs [10 0 R 11 0 R] >>", groups=step))
    index = layers.entered(mark).layer
    assert index is not None
    assert layers.layers[index].name == "Knife"
    assert [note.kind for note in context.notes] == [NoteKind.ASSUMED]


BROKEN = {
    "no term": "/VE [/And]",
    "unknown word": "/VE [/Xor 10 0 R 11 0 R]",
    "not of two": "/VE [/Not 10 0 R 11 0 R]",
    "a number": "/VE [/And 10 0 R 3]",
    "too deep": "/VE " + "[/Not " * 60 + "10 0 R" + "]" * 60,
    "unknown policy": "/P /MostOn",
}


@pytest.mark.parametrize("case", BROKEN)
def test_a_broken_membership_falls_back_on_its_groups_and_says_so(case: str) -> None:
    layers, mark, context = layers_of(document(f"<< /Type /OCMD /OCGs 12 0 R {BROKEN[case]} >>"))
    assert layers.entered(mark).hidden == HIDDEN
    assert [note.kind for note in context.notes] == [NoteKind.FAULT]


def test_an_expression_that_holds_itself_ends() -> None:
    data = document("<< /Type /OCMD /OCGs 12 0 R /VE 21 0 R >>", groups={21: "[/And 10 0 R 21 0 R]"})
    layers, mark, context = layers_of(data)
    assert layers.entered(mark).hidden == HIDDEN
    assert [note.what for note in context.notes] == ["visibility expression"]


PRINT_ONLY = "/Usage << /Print << /PrintState /%s >> /View << /ViewState /%s >> >>"
BOTH = "/AS [<< /Event /Print /OCGs [10 0 R] /Category [/Print] >> << /Event /View /OCGs [10 0 R] /Category [/View] >>]"


@pytest.mark.parametrize(
    ("prints", "shows", "rules", "expected"),
    [
        ("OFF", "ON", BOTH, (True, False)),
        ("ON", "OFF", BOTH, (False, True)),
        ("OFF", "OFF", BOTH, (False, False)),
        ("OFF", "OFF", "", (True, True)),  # 8.11.4.4: usage means nothing where AS does not ask for it
        ("OFF", "OFF", BOTH.replace("10 0 R", "11 0 R"), (True, True)),
        ("OFF", "ON", "/AS [<< /Event /Print /OCGs [10 0 R] /Category [/View /Print] >>]", (True, False)),
        ("ON", "OFF", "/AS [<< /Event /Print /OCGs [10 0 R] /Category [/Print] >>]", (True, True)),
    ],
)
def test_what_usage_makes_of_printing_and_viewing(
    prints: str, shows: str, rules: str, expected: tuple[bool, bool]
) -> None:
    data = document("<< /Type /OCMD /OCGs 10 0 R >>", rules, groups=group(PRINT_ONLY % (prints, shows)))
    layers, mark, context = layers_of(data)
    layer = layers.layers[layers.entered(mark).layer or 0]
    assert (layer.visible, layer.printing) == expected
    assert layers.entered(mark).hidden == (None if any(expected) else HIDDEN)
    if rules == BOTH:
        assert drawn_by_pdfium(data) is expected[0]
    assert [note.kind for note in context.notes] == ([NoteKind.ASSUMED] if expected == (False, True) else [])


def test_groups_of_another_intent_are_on() -> None:
    # 8.11.2.3: a group whose intent the configuration does not look at has no effect.
    data = document(
        "<< /Type /OCMD /OCGs 12 0 R >>", groups={12: "<< /Type /OCG /Name (Plan) /Intent /Design >>"}
    )
    layers, mark, _ = layers_of(data)
    assert layers.entered(mark).hidden is None
    assert drawn_by_pdfium(data)
    data = document(
        "<< /Type /OCMD /OCGs 12 0 R >>",
        "/Intent /All",
        groups={12: "<< /Type /OCG /Name (Plan) /Intent [/Design] >>"},
    )
    layers, mark, _ = layers_of(data)
    assert layers.entered(mark).hidden == HIDDEN


def names(layers: tuple[Layer, ...]) -> list[tuple[str, str | None]]:
    return [(one.name, None if one.parent is None else layers[one.parent].name) for one in layers]


def test_the_order_nests_layers_and_headings() -> None:
    order = "/Order [12 0 R [10 0 R] [(Kiss cut) 11 0 R [13 0 R]]] /Locked [11 0 R]"
    layers, _, context = layers_of(document("null", order))
    assert names(layers.layers) == [
        ("Off", None),
        ("On", "Off"),
        ("Kiss cut", None),
        ("Also on", "Kiss cut"),
        ("Also off", "Also on"),
    ]
    assert [one.locked for one in layers.layers] == [False, False, False, True, False]
    assert [one.explicit for one in layers.layers] == [True, True, False, True, True]
    # The order is for show only (Table 101): what lies under a layer that is off shows all the same.
    assert [one.visible for one in layers.layers] == [False, True, True, True, False]
    assert context.notes == []


def test_layers_that_the_order_leaves_out_are_kept_and_an_order_that_holds_itself_ends() -> None:
    layers, _, context = layers_of(document("null", "/Order 21 0 R", groups={21: "[11 0 R 21 0 R]"}))
    assert [one.name for one in layers.layers] == ["Also on", "On", "Off", "Also off"]
    assert [note.what for note in context.notes] == ["layer order"]


def test_metadata_of_processing_steps() -> None:
    # ISO 19593-1 by way of the Arlington PDF model (OptContentGroup.tsv, GTS_ProcStepsGroup.tsv): keys, groups and types; custom names are allowed.
    metadata = "<< /Type /OCG /Name (%s) /GTS_Metadata << /Type /GTS_Metadata %s >> >>"
    steps = {
        10: metadata % ("A", "/GTS_ProcStepsGroup /Structural /GTS_ProcStepsType /PartialCutting"),
        11: metadata % ("B", "/GTS_ProcStepsGroup /White"),
        12: metadata % ("C", "/GTS_ProcStepsGroup /Tea#20Room /GTS_ProcStepsType /Stamp"),
        13: metadata % ("D", ""),
    }
    layers, _, context = layers_of(document("null", groups=steps))
    assert [one.step for one in layers.layers] == [
        ProcessingStep("Structural", "PartialCutting"),
        ProcessingStep("White", None),
        ProcessingStep("Tea Room", "Stamp"),
        None,
    ]
    assert context.notes == []


@pytest.mark.parametrize("entries", ["/GTS_ProcStepsGroup /Structural", "/GTS_ProcStepsType /Cutting"])
def test_half_a_processing_step_is_said(entries: str) -> None:
    # Arlington PDF model, GTS_ProcStepsGroup.tsv: the group is required, the type is where the group is Structural.
    half = {10: f"<< /Type /OCG /Name (A) /GTS_Metadata << {entries} >> >>"}
    _, _, context = layers_of(document("null", groups=half))
    assert [(note.kind, note.what) for note in context.notes] == [(NoteKind.FAULT, "processing step")]


def test_a_layer_drawn_inside_another_has_it_above_on_this_page() -> None:
    layers, _, context = layers_of(document("null", "/Order [10 0 R [11 0 R] 12 0 R]"))
    on, under_it, off = (context.pdf.get_object(number, 0) for number in (10, 11, 12))
    outer = layers.entered(off).layer
    inner = layers.entered(on, outer)
    assert inner == Content(4, HIDDEN)  # for the outer one is off
    assert names(layers.layers)[4] == ("On", "Off")
    assert not layers.layers[4].visible
    assert layers.entered(on, outer) == inner
    # Below its own parent of the list, again in itself, and back in the outer one: nothing new.
    known = len(layers.layers)
    assert layers.entered(under_it, layers.entered(on).layer).layer == layers.entered(under_it).layer
    assert layers.entered(on, inner.layer).layer == inner.layer
    assert layers.entered(off, inner.layer).layer == inner.layer
    assert len(layers.layers) == known


def printed_or_shown() -> dict[int, str]:
    """Group 10 prints and does not show, group 11 shows and does not print."""
    usage = "/Usage << /Print << /PrintState /%s >> /View << /ViewState /%s >> >>"
    return {
        10: f"<< /Type /OCG /Name (Printed) {usage % ('ON', 'OFF')} >>",
        11: f"<< /Type /OCG /Name (Shown) {usage % ('OFF', 'ON')} >>",
    }


ASKED = (
    "/AS [<< /Event /Print /OCGs [10 0 R 11 0 R] /Category [/Print] >>"
    " << /Event /View /OCGs [10 0 R 11 0 R] /Category [/View] >>]"
)


@pytest.mark.parametrize(
    ("policy", "expected"),
    [("AllOn", (False, False)), ("AnyOn", (True, True))],
)
def test_content_of_several_layers_prints_and_shows_as_their_policy_says(
    policy: str, expected: tuple[bool, bool]
) -> None:
    mark = f"<< /Type /OCMD /OCGs [10 0 R 11 0 R] /P /{policy} >>"
    layers, properties, _ = layers_of(document(mark, ASKED, groups=printed_or_shown()))
    found = layers.entered(properties)
    assert found.layer is not None
    layer = layers.layers[found.layer]
    assert (layer.visible, layer.printing) == expected
    assert found.hidden == (None if any(expected) else HIDDEN)


def test_content_of_a_layer_that_must_be_off_is_of_no_layer_and_half_shown_is_noted() -> None:
    # 8.11.2.2: with AllOff, content shows where its group is off. 10 shows where it does not print.
    layers, mark, context = layers_of(document("<< /Type /OCMD /OCGs 12 0 R /P /AllOff >>"))
    assert (layers.entered(mark), context.notes) == (Content(None, None), [])
    half = document("<< /Type /OCMD /OCGs 10 0 R /P /AllOff >>", ASKED, groups=printed_or_shown())
    layers, mark, context = layers_of(half)
    assert layers.entered(mark) == Content(None, None)
    assert "layer membership" in [note.what for note in context.notes]


def test_what_prints_within_what_only_shows_is_hidden() -> None:
    layers, _, context = layers_of(document("null", ASKED, groups=printed_or_shown()))
    printed, shown = (context.pdf.get_object(number, 0) for number in (10, 11))
    assert layers.entered(printed, layers.entered(shown).layer).hidden == HIDDEN


def test_a_lock_holds_what_lies_within() -> None:
    layers, _, context = layers_of(document("null", "/Order [10 0 R [11 0 R]] /Locked [10 0 R]"))
    outer, inner = (context.pdf.get_object(number, 0) for number in (10, 11))
    assert not layers.layers[layers.entered(inner).layer or 0].locked
    within = layers.entered(inner, layers.entered(outer).layer).layer
    assert within is not None
    assert layers.layers[within].locked
    assert names(layers.layers)[within] == ("Also on", "On")


def test_content_marked_for_what_is_no_layer_shows_and_is_said() -> None:
    for properties in ("(text)", "<< /Type /Layer >>", "null"):
        layers, _, context = layers_of(document("null"))
        mark = pikepdf.Object.parse(properties.encode())
        assert layers.entered(mark, 2) == Content(2, None)
        assert [note.what for note in context.notes] == ["layer"]


def test_a_group_that_the_document_does_not_list_is_a_layer_and_is_said() -> None:
    data = document("20 0 R", groups={21: "<< /Type /OCG >>"}).replace(b"/Mark 20", b"/Mark 21")
    layers, mark, context = layers_of(data)
    assert layers.entered(mark) == Content(4, None)
    assert layers.layers[4].name == "Layer 5"
    assert [note.what for note in context.notes] == ["layer", "layer"]


def test_without_any_list_of_layers_content_shows() -> None:
    data = one_page(
        "/OC /Mark BDC 50 25 100 50 re f EMC",
        resources="/Properties << /Mark 10 0 R >>",
        others={10: "<< /Type /OCG /Name (Kiss cut) >>"},
    )
    layers, mark, context = layers_of(data)
    assert layers.entered(mark) == Content(0, None)
    assert [one.name for one in layers.layers] == ["Kiss cut"]
    assert context.notes == []
    assert drawn_by_pdfium(data)


def test_names_in_every_encoding_of_texts() -> None:
    # ISO 32000-1, 7.9.2.2: PDFDocEncoding or UTF-16BE with its mark; ISO 32000-2 adds UTF-8 with its mark.
    groups = {
        10: "<< /Type /OCG /Name (Stanzl\\374cke) >>",
        11: "<< /Type /OCG /Name <FEFF005300740061006E007A> >>",
        12: "<< /Type /OCG /Name <EFBBBFC3BC> >>",
    }
    layers, _, _ = layers_of(document("null", groups=groups))
    assert [one.name for one in layers.layers][:3] == ["Stanzlücke", "Stanz", "ü"]


@pytest.mark.parametrize(("prints", "rules"), [("ON", ["step-printed"]), ("OFF", ["step-hidden"])])
def test_a_cut_line_on_a_layer_that_does_not_print_is_not_printed(prints: str, rules: list[str]) -> None:
    usage = f"/Usage << /Print << /PrintState /{prints} >> >>"
    catalog = """/OCProperties << /OCGs [10 0 R]
    /D << /AS [<< /Event /Print /OCGs [10 0 R] /Category [/Print] >>] >> >>"""
    data = one_page(
        "/OC /Mark BDC 0 1 0 0 K 0.1 w 50 25 100 50 re S EMC /Harbour cs 1 scn 60 30 80 40 re f",
        resources="/Properties << /Mark 10 0 R >> /ColorSpace << /Harbour [/Separation /Harbour#20blue /DeviceCMYK 11 0 R] >>",
        catalog=catalog,
        others={
            10: f"<< /Type /OCG /Name (Kiss cut) {usage} >>",
            11: "<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [1 0.6 0 0.1] /N 1 >>",
        },
    )
    found = {finding.rule for page in check_bytes(data, "sheet.pdf").pages for finding in page.findings}
    assert sorted(found & {"step-printed", "step-hidden"}) == rules
