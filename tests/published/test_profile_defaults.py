"""Defaults of the profile against trade figures; each row names its source or says that it has none."""

from __future__ import annotations

import pytest
from msgspec.structs import fields

from preflight.profile import Profile
from preflight.profile.names import normalised
from preflight.profile.settings import Basis
from preflight.profile.tables import TABLES, default_steps
from preflight.profile.units import parse_length
from preflight.readers.limits import Limits

FIGURES = [
    # 0.125 in between pieces on rolls and sheets: common practice, no single source
    ("job", "spacing", 3.0, Basis.COMMON_PRACTICE),
    # "at least 25mm margin on the left and right edges": a university makerspace's cutter page
    ("media", "side_margin", 25.0, Basis.EDUCATION),
    # that a margin is left is common practice, no source; the figure is the project's
    ("media", "lead_margin", 50.0, Basis.ASSUMPTION),
    ("media", "tail_margin", 50.0, Basis.ASSUMPTION),
    # no international standard of roll widths (FESPA, "Why size matters in media"): none assumed
    ("media", "width", None, Basis.ASSUMPTION),
    # none or four, one near each corner: common practice, no source
    ("marks", "count", "auto", Basis.COMMON_PRACTICE),
    ("marks", "quiet_zone", 5.0, Basis.ASSUMPTION),
    ("output", "tolerance", 3.0, Basis.ASSUMPTION),
    # "TAC: 300%": w3c csswg-drafts css-color-4/workings/Macbeth.txt on the PSO Coated v3 condition
    ("output", "ink_limit", 300.0, Basis.STANDARD),
    # typical 0.2 to 0.5 mm: from memory
    ("cutter", "knife_offset", 0.25, Basis.ASSUMPTION),
]


@pytest.mark.parametrize(("table", "key", "value", "basis"), FIGURES)
def test_defaults_and_what_they_rest_on(table: str, key: str, value: object, basis: Basis) -> None:
    assert getattr(getattr(Profile.default(), table), key) == value
    assert TABLES[table].fields()[key].basis is basis
    assert TABLES[table].fields()[key].reason


def test_the_customary_working_width_is_49_inches() -> None:
    # 49 in of a mid-size cutter: common practice, no source; 1 in = 25.4 mm exactly (ISO 31-1, from memory)
    assert TABLES["cutter"].fields()["width"].example == pytest.approx(parse_length("49 in")) == 1244.6


def test_steps_are_types_of_iso_19593_1() -> None:
    # Structural types: pdf-association/arlington-pdf-model, tsv/latest/GTS_ProcStepsGroup.tsv ("ISO 19593-1")
    structural = {
        "Cutting",
        "PartialCutting",
        "ReversePartialCutting",
        "Creasing",
        "ReverseCreasing",
        "CuttingCreasing",
        "ReverseCuttingCreasing",
        "PartialCuttingCreasing",
        "ReversePartialCuttingCreasing",
        "Drilling",
        "Gluing",
        "FoilStamping",
        "ColdFoilStamping",
        "Embossing",
        "Debossing",
        "Perforating",
        "Bleed",
        "VarnishFree",
        "InkFree",
        "InkVarnishFree",
        "Folding",
        "Punching",
        "Stapling",
    }
    assert set(default_steps()) <= structural
    assert {"Cutting", "PartialCutting", "Perforating", "Creasing", "Folding"} <= set(default_steps())


def test_groups_of_iso_19593_1_are_known_by_name() -> None:
    # Group names: the same table
    profile = Profile.default()
    assert "White" in profile.white_names
    assert "Varnish" in profile.varnish_names
    assert {"Dimensions", "Legend", "Braille"} <= set(profile.information_names)


def test_no_name_means_two_things() -> None:
    profile = Profile.default()
    every = [name for step in profile.steps.values() for name in step.names]
    every += [*profile.steps, *profile.marks.names, *profile.white_names, *profile.varnish_names]
    every += [*profile.information_names, *profile.ignored_names]
    plain = [normalised(name) for name in every]
    assert len(plain) == len(set(plain))


def test_the_reading_limits_are_those_of_the_readers() -> None:
    own = {field.name: field.default for field in fields(Limits)}
    assert Profile.default().limits.values() == own
