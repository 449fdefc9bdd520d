"""Cuts that come near each other beyond all reason are answered: what was not measured is noted with its place and count."""

import random

from preflight.engine import Engine
from preflight.profile import Profile

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="210mm" height="210mm" viewBox="0 0 210 210"><g id="kiss-cut">'


def checked(paths: list[str]) -> tuple[list[str], list[str]]:
    """Ids of what is found, and what is said not to be checked."""
    body = "".join(f'<path d="{path}" fill="none" stroke="#f0f" stroke-width="0.1"/>' for path in paths)
    report = Engine(Profile.default()).check_bytes(f"{HEAD}{body}</g></svg>".encode(), "crowded.svg").report
    (page,) = report.pages
    return [finding.rule for finding in page.findings], [note.message for note in page.not_checked]


def test_thousands_of_lines_that_cross_each_other_are_stopped_and_noted() -> None:
    chance = random.Random(3)  # noqa: S311 -- shapes, not secrets
    place = lambda: f"{chance.uniform(0, 200):.3f} {chance.uniform(0, 200):.3f}"  # noqa: E731 -- three words
    found, notes = checked([f"M{place()}L{place()}" for _ in range(2000)])
    # Told as tangles, not as thousands of pairs.
    assert 0 < found.count("contour-crossing") < 100
    assert found.count("cut-spacing") == 2000
    assert any("not all of it was checked for crossings" in note for note in notes)
    assert any("further pairs of cuts are too near each other" in note for note in notes)


def test_two_hatches_that_cross_millions_of_times_are_not_measured_for_being_copies() -> None:
    across = "".join(f"H{200 if row % 2 == 0 else 0}V{(row + 1) / 15:.4f}" for row in range(3000))
    down = "".join(f"V{200 if row % 2 == 0 else 0}H{(row + 1) / 15:.4f}" for row in range(3000))
    found, notes = checked([f"M0 0{across}", f"M0 0{down}"])
    assert "contour-duplicate" not in found
    assert sum("not checked whether it is a copy" in note for note in notes) == 2


def test_a_sheet_of_close_pieces_is_measured_in_full() -> None:
    found, notes = checked([f"M{5 + 8 * x} {5 + 8 * y}h6v6h-6z" for x in range(20) for y in range(20)])
    assert found.count("cut-spacing") == 2 * 20 * 19 + 2 * 19 * 19
    assert notes == []
