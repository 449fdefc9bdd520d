"""Fingerprints: the same after a move, a re-save by another program, an edit elsewhere; not after a fault of its own."""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
import resaved
from hypothesis import given
from hypothesis import strategies as st

from preflight.engine import Engine
from preflight.fingerprints import CELL, EDGE, fingerprinted
from preflight.plugins import Plugins
from preflight.profile import load
from preflight.rule import Finding, Level, ObjectReference

DEMO = Path(__file__).parents[2] / "fixtures" / "demo"
SHEETS = (
    "faulty.svg",
    "faulty.pdf",
    "roll/window-films-faulty.svg",
    "roll/window-films-faulty.pdf",
    "colours/colours-faulty.svg",
    "colours/colours-faulty.pdf",
)
SVG: dict[str, Callable[[bytes], bytes]] = {
    "px, 3 decimals": lambda data: resaved.svg_in_px(data, 3),
    "px, 2 decimals": lambda data: resaved.svg_in_px(data, 2),
    "mm, 3 decimals": lambda data: resaved.svg_rounded(data, 3),
    "mm, 2 decimals": lambda data: resaved.svg_rounded(data, 2),
    "relative steps": resaved.svg_relative,
    "ids renamed": resaved.svg_renamed,
    "attributes reordered": resaved.svg_attributes_reordered,
    "art added before": lambda data: resaved.svg_with_more(data, before=True),
    "art added after": lambda data: resaved.svg_with_more(data, before=False),
    "layers reordered": resaved.svg_layers_turned,
}
PDF: dict[str, Callable[[bytes], bytes]] = {
    "by qpdf": resaved.pdf_resaved,
    "pt, 3 decimals": lambda data: resaved.pdf_rounded(data, 3),
    "pt, 2 decimals": lambda data: resaved.pdf_rounded(data, 2),
}
PLUGINS = Plugins()


def prints(data: bytes, name: str, folder: Path) -> dict[str, str]:
    """The rules that find something by the findings' fingerprints."""
    report = Engine(load(folder), PLUGINS).check_bytes(data, name, folder).report
    assert report.status == "checked"
    return {one.fingerprint: one.rule for one in report.findings()}


@cache
def as_drawn(sheet: str) -> dict[str, str]:
    path = DEMO / sheet
    return prints(path.read_bytes(), path.name, path.parent)


@pytest.mark.parametrize(
    ("sheet", "saved"),
    [(sheet, saved) for sheet in SHEETS for saved in (SVG if sheet.endswith(".svg") else PDF)],
)
def test_every_finding_of_the_demo_keeps_its_fingerprint(sheet: str, saved: str) -> None:
    path = DEMO / sheet
    before, data = as_drawn(sheet), path.read_bytes()
    changed = (SVG | PDF)[saved](data)
    assert changed != data
    after = prints(changed, f"elsewhere/{path.name}", path.parent)
    assert len(before) >= 3
    assert {rule for fingerprint, rule in before.items() if fingerprint not in after} == set()


def test_a_fault_of_its_own_has_a_fingerprint_of_its_own() -> None:
    before = as_drawn("faulty.svg")
    mended = (DEMO / "faulty.svg").read_bytes().replace(b"M32 211.3", b"M32 210.5")
    assert len(before) == len(set(before))
    after = prints(mended, "faulty.svg", DEMO)
    assert {before[one] for one in before.keys() - after.keys()} <= {"contour-open"}


def finding(**changes: object) -> Finding:
    values: dict[str, object] = {
        "rule": "contour-open",
        "level": Level.ERROR,
        "message": "open",
        "hint": "close it",
        "bounds_mm": (10.0, 10.0, 12.0, 12.0),
        "objects": (ObjectReference("a", "Kiss cut", "path", 3),),
    }
    return Finding(**(values | changes))  # type: ignore[arg-type]


def printed(*findings: Finding) -> list[str]:
    return [one.fingerprint for one in fingerprinted(findings)]


@pytest.mark.parametrize(
    "changes",
    [
        {"message": "wide open", "hint": "", "level": Level.NOTE},
        {"objects": (ObjectReference("b", "Kiss cut", "path", 8),)},
        {"objects": (ObjectReference("a", "Edge", "path", 3),)},
        {"bounds_mm": (9.6, 9.6, 12.4, 12.4)},
        {"waived": "a slit"},
        {"known": "baseline"},
    ],
)
def test_what_the_fault_is_not(changes: dict[str, object]) -> None:
    assert printed(finding(**changes)) == printed(finding())


@pytest.mark.parametrize(
    "changes",
    [
        {"rule": "corner-tight"},
        {"page": 2},
        {"bounds_mm": (11.0, 10.0, 13.0, 12.0)},
        {"bounds_mm": None},
        {"subject": "Jam Red"},
    ],
)
def test_what_the_fault_is(changes: dict[str, object]) -> None:
    assert printed(finding(**changes)) != printed(finding())


def test_a_subject_goes_before_the_place_and_layers_stand_in_for_one() -> None:
    moved = {"bounds_mm": (90.0, 90.0, 91.0, 91.0)}
    assert printed(finding(subject="Jam Red", **moved)) == printed(finding(subject="Jam Red"))
    assert printed(finding(subject="Jam Red")) != printed(finding(subject="Sea Blue"))
    other = (ObjectReference("a", "Edge", "path", 3),)
    assert printed(finding(bounds_mm=None, objects=other)) != printed(finding(bounds_mm=None))
    endless = (float("nan"), 0.0, float("inf"), 1.0)
    assert printed(finding(bounds_mm=endless)) == printed(finding(bounds_mm=None))


def test_of_several_alike_only_their_number_matters() -> None:
    three = printed(finding(message="1"), finding(message="2"), finding(message="3"))
    assert len(set(three)) == 3
    assert printed(finding(message="1"), finding(message="3")) == three[:2]


INCH = 25.4


@pytest.mark.parametrize("step", [0.05, 0.1, 0.125, 0.25, 1.0, INCH / 16, INCH / 8])
def test_no_edge_of_a_cell_lies_where_people_draw(step: float) -> None:
    # Common practice, no source: sizes are round in mm or in sixteenths of an inch.
    apart = [abs((index * step - EDGE + CELL / 2) % CELL - CELL / 2) for index in range(20_000)]
    assert min(apart) > 0.004


@given(st.integers(0, 2**32))
def test_places_drawn_on_a_grid_bear_five_thousandths_of_a_millimetre(seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 -- no secret
    box = [chance.randrange(4000) / 20 for _ in range(2)]
    jittered = [value + chance.uniform(-0.003, 0.003) for value in (*box, *box)]
    before, after = finding(bounds_mm=(*box, *box)), finding(bounds_mm=tuple(jittered))
    assert printed(before) == printed(after)
