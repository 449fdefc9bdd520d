"""The commented profile and the JSON Schema: both say what the loader takes."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from preflight.profile import Profile, load
from preflight.profile.proposals import Observed, propose
from preflight.profile.schema import json_schema
from preflight.profile.settings import SettingsTable, mm
from preflight.profile.tables import TABLES
from preflight.profile.template import init_text


class Open:
    class Settings(SettingsTable):
        closed_within = mm(0.01, "finer than any cutter's step")


RULES = {"contour-open": Open}


def valid(document: dict[str, Any]) -> bool:
    return jsonschema.Draft202012Validator(json_schema(RULES)).is_valid(document)


def uncommented(text: str) -> str:
    """Every default that is shown, in force."""
    return re.sub(
        r"^# (\w+ = )", r"\1", re.sub(r"^# \w+ = .*\(an example.*$", "", text, flags=re.M), flags=re.M
    )


def test_the_commented_profile_changes_nothing_and_fits_the_schema(tmp_path: Path) -> None:
    path = tmp_path / "preflight.toml"
    path.write_text(init_text(RULES), encoding="utf-8")
    assert load(tmp_path).digest == Profile.default().digest
    assert valid(tomllib.loads(path.read_text(encoding="utf-8")))


def test_every_default_shown_is_the_default(tmp_path: Path) -> None:
    text = uncommented(init_text(RULES))
    (tmp_path / "preflight.toml").write_text(text, encoding="utf-8")
    profile = load(tmp_path)
    profile.validate_rules(RULES)
    assert valid(tomllib.loads(text))
    for table in TABLES.keys() - {"plugins"}:
        assert getattr(profile, table).values() == getattr(Profile.default(), table).values(), table
    assert profile.steps == Profile.default().steps
    assert profile.rule("contour-open", "a.svg").raw == {"closed_within": "0.01 mm"}


def test_every_setting_stands_there_with_unit_basis_and_reason() -> None:
    text = init_text(RULES)
    for table, kind in TABLES.items():
        for key, setting in kind.fields().items():
            assert f"# {setting.reason} ({setting.basis})" in text
            assert re.search(rf"^# {key} = ", text, re.M), f"{table}.{key}"


@pytest.mark.parametrize(
    "document",
    [
        {"jbo": {}},
        {"job": {"spacing": 3}},
        {"job": {"spacing": "3"}},
        {"job": {"copies": 0}},
        {"marks": {"count": "some"}},
        {"steps": {"Cutting": {"strokes": ["red"]}}},
        {"steps": {"Cutting": {"level": "off"}}},
        {"rules": {"contour-opne": {}}},
        {"rules": {"contour-open": {"closed_within": 1}}},
        {"overrides": [{"files": ["*"], "rules": ["contour-open"]}]},
    ],
)
def test_the_schema_refuses_what_the_loader_refuses(document: dict[str, Any]) -> None:
    assert not valid(document)


@pytest.mark.parametrize(
    "document",
    [
        {},
        {"extends": "shop.toml", "job": {"spacing": "1 1/2 in"}},
        {"marks": {"count": 4}, "cutter": {"speed": {"Cutting": "8 in/s"}}},
        {"limits": {"file_size": "200 MB"}},
        {"rules": {"contour-open": {"level": "off", "closed_within": "1/64 in"}}},
    ],
)
def test_the_schema_takes_what_the_loader_takes(document: dict[str, Any]) -> None:
    assert valid(document)


SEEN = (
    Observed('Harbour "line"', "layer name", 12, "cut"),
    Observed("#00aaff", "stroke colour", 3, "cut"),
    Observed("kiss cut", "layer name", 4, "cut", "PartialCutting"),
    Observed("corner dots", "layer name", 4, "mark"),
)


def test_proposals_name_what_was_seen_and_not_known(tmp_path: Path) -> None:
    text = init_text(RULES, propose(SEEN))
    (tmp_path / "preflight.toml").write_text(text, encoding="utf-8")
    profile = load(tmp_path)
    assert profile.steps["PartialCutting"].names == ("kiss cut", "half cut", 'Harbour "line"')
    assert profile.steps["PartialCutting"].strokes == ("#00aaff",)
    assert "corner dots" in profile.marks.names
    assert "registration mark" in profile.marks.names
    assert "layer name, 12 objects" in text
    assert "Confirm" in text


def test_nothing_new_is_said_rather_than_left_out() -> None:
    assert propose(SEEN[2:3]) == ()
    assert "know already" in init_text(RULES, ())


def test_the_rest_of_a_table_with_proposals_is_shown_as_well() -> None:
    text = init_text(RULES, propose(SEEN))
    assert text.count("[marks]") == 1
    assert "# quiet_zone = " in text


def test_a_name_seen_twice_is_proposed_once(tmp_path: Path) -> None:
    seen = (Observed("Backing", "layer name", 4, "white"), Observed("BACKING", "spot colour", 4, "cut"))
    (tmp_path / "preflight.toml").write_text(init_text(RULES, propose(seen)), encoding="utf-8")
    profile = load(tmp_path)
    assert profile.white_names == ("White", "Backing")
    assert profile.steps["PartialCutting"].names == ("kiss cut", "half cut")
