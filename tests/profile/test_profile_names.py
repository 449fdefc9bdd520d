"""Names: comparison, slips, and which slips are taken for misspelt step names."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from preflight.profile.names import nearest_name, normalised, slips


@pytest.mark.parametrize("name", ["Kiss Cut", "kiss_cut", "KISS-CUT", "kiss.cut", " kiss  cut ", "Ｋiss Cut"])
def test_case_space_punctuation_and_width_do_not_count(name: str) -> None:
    assert normalised(name) == "kisscut"


def test_letters_digits_and_accents_do_count() -> None:
    assert normalised("cut 1") != normalised("cut 2")
    assert normalised("Fähre") == "fähre"
    assert normalised("Straße") == normalised("STRASSE")


def test_names_of_punctuation_only_stay_apart() -> None:
    assert normalised("---") != normalised("***")
    assert normalised("") == ""


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ("", "", 0),
        ("kisscut", "kisscut", 0),
        ("kisscut", "kiscut", 1),
        ("kisscut", "kissscut", 1),
        ("kisscut", "kizscut", 1),
        ("kisscut", "kisctu", 2),
        ("kisscut", "ksiscut", 1),  # neighbours swapped
        ("ca", "abc", 3),  # the restricted distance: hand-worked; unrestricted it would be 2
        ("", "abc", 3),
    ],
)
def test_slips_by_hand(first: str, second: str, expected: int) -> None:
    assert slips(first, second) == expected
    assert slips(second, first) == expected


WORDS = st.text("abc", max_size=7)


@settings(max_examples=200, deadline=None)
@given(WORDS, WORDS, st.integers(0, 4))
def test_the_early_cut_changes_nothing_below_it(first: str, second: str, most: int) -> None:
    assert slips(first, second, most) == min(slips(first, second), most + 1)


def test_nearest_name_finds_one_slip_and_not_two() -> None:
    known = ["kiss cut", "perforation"]
    assert nearest_name("Kis Cut", known) == ("kiss cut", 1)
    assert nearest_name("perfroation", known) == ("perforation", 1)
    assert nearest_name("ks cut", known) is None


@pytest.mark.parametrize("name", ["kiss cut", "KISS_CUT", "cut", "", "fol", "art"])
def test_known_and_short_names_are_no_slips(name: str) -> None:
    assert nearest_name(name, ["kiss cut", "fold", "cat"]) is None


def test_numbered_names_are_no_slips_of_one_another() -> None:
    assert nearest_name("Layer 1", ["Layer 2"]) is None
