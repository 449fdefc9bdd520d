"""What the profile's table [marks] asks for is what the rules about marks judge by."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from preflight.engine import Engine
from preflight.plugins import Plugins
from preflight.profile import Profile
from preflight.profile.tables import Marks
from preflight.rule import Finding

PLUGINS = Plugins()
CORNERS = [(10, 10), (190, 10), (190, 90), (10, 90)]
SEA = '<rect x="40" y="30" width="120" height="40" fill="#2a7593"/>'


def dots(places: list[tuple[int, int]], radius: float = 2.5, fill: str = "#000") -> str:
    return "".join(f'<circle cx="{x}" cy="{y}" r="{radius}" fill="{fill}"/>' for x, y in places)


def found(body: str, **marks: object) -> list[Finding]:
    page = f'<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">{body}</svg>'
    profile = replace(Profile.default(), marks=Marks(**marks))
    report = Engine(profile, PLUGINS, select=["marks"]).check_bytes(page.encode(), "a.svg").report
    return list(report.findings())


def named(body: str) -> str:
    return f'{SEA}<g id="Registration_marks">{body}</g>'


@pytest.mark.parametrize(
    ("count", "marks", "told"),
    [
        ("auto", 0, None), ("auto", 4, None), ("auto", 3, (3, 4)), ("auto", 6, (6, 4)),
        (4, 0, (0, 4)), (4, 4, None), (6, 6, None), (6, 4, (4, 6)), (0, 0, None), (0, 4, (4, 0)), (2, 2, None), (3, 3, None), (3, 2, (2, 3)),
    ],
)  # fmt: skip
def test_the_number_asked_for_is_judged_by(count: object, marks: int, told: tuple[int, int] | None) -> None:
    places = [*CORNERS, (100, 10), (100, 90)][:marks]
    findings = found(named(dots(places)), count=count)
    assert [one.rule for one in findings] == ([] if told is None else ["marks-missing"])
    for one in findings:
        assert one.measured is not None
        assert (one.measured.value, one.measured.limit) == told


def test_the_quiet_zone_asked_for_is_judged_by() -> None:
    body = named(dots(CORNERS)) + '<rect x="15.5" y="8" width="4" height="4" fill="#e2603f"/>'
    assert [one.rule for one in found(body, quiet_zone=3.1)] == ["mark-crowded"]
    assert found(body, quiet_zone=2.9) == []


def test_the_quiet_zone_is_drawn_round_the_mark() -> None:
    (one,) = found(named(dots(CORNERS)) + '<rect x="15.5" y="8" width="4" height="4" fill="#e2603f"/>')
    assert one.area_shows == "quiet zone of the mark"
    # The mark itself, a dot of 5 mm, is no part of it.
    for ring, radius in zip(one.area_mm, (7.5, 2.5), strict=True):
        assert len(ring) > 40
        for x, y in ring:
            assert ((x - 10) ** 2 + (y - 10) ** 2) ** 0.5 == pytest.approx(radius, abs=0.02)


def test_the_contrast_asked_for_is_judged_by() -> None:
    body = named(dots(CORNERS, fill="#777"))
    assert [one.rule for one in found(body)] == ["marks-faint"]
    assert found(body, contrast=47.0) == []
    assert found(body, contrast=None) == []


def test_without_a_size_marks_are_held_against_each_other() -> None:
    unequal = named(dots(CORNERS[:3]) + dots(CORNERS[3:], 3))
    (one,) = found(unequal)
    assert one.rule == "mark-size"
    assert one.measured is not None
    assert (one.measured.value, one.measured.limit) == (6.0, 5.0)
    assert [one.measured.value for one in found(unequal, size=6.0) if one.measured] == [5.0, 5.0, 5.0]
    assert found(named(dots(CORNERS, 3))) == []


def test_marks_between_corners_are_held_to_the_line_between_them() -> None:
    """Of six, the one half way along the top stands 0.6 mm too high."""
    places = [*CORNERS, (100, 90)]
    high = named(dots(places) + '<circle cx="100" cy="9.4" r="2.5"/>')
    (one,) = found(high, count=6)
    assert one.rule == "marks-skewed"
    assert one.measured is not None
    assert one.measured.value == pytest.approx(0.6, abs=0.02)
    assert one.points_mm[0] == pytest.approx((100, 9.4), abs=0.01)
