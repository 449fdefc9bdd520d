"""``init --from``: what the names in a good job are proposed as."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from preflight.cli import main
from preflight.engine import Engine
from preflight.job.naming.observed import observed_names
from preflight.profile import Profile, load

CORNERS = [(5, 5), (195, 5), (5, 95), (195, 95)]


def seen(tmp_path: Path, body: str) -> dict[str, tuple[str, str | None]]:
    path = tmp_path / "good.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape" '
        f'width="200mm" height="100mm" viewBox="0 0 200 100">{body}</svg>',
        encoding="utf-8",
    )
    _, jobs = Engine(Profile.default()).read(path)
    return {one.name: (one.looks_like, one.known_as) for one in observed_names(jobs)}


def layer(name: str, body: str) -> str:
    return f'<g inkscape:groupmode="layer" inkscape:label="{name}">{body}</g>'


def dots(places: list[tuple[int, int]], sizes: list[float]) -> str:
    return "".join(
        f'<circle cx="{x}" cy="{y}" r="{r}" fill="#000"/>' for (x, y), r in zip(places, sizes, strict=True)
    )


LINE = '<circle cx="60" cy="50" r="20" fill="none" stroke="#f0f" stroke-width="0.1"/>'


def test_thin_unfilled_lines_look_like_cuts_and_known_ones_say_so(tmp_path: Path) -> None:
    found = seen(tmp_path, layer("Harbour line", LINE) + layer("Kiss Cut", LINE))
    assert found == {"Harbour line": ("cut", None), "Kiss Cut": ("cut", "PartialCutting")}


@pytest.mark.parametrize(
    "body",
    [LINE.replace("0.1", "0.5"), LINE.replace('fill="none"', 'fill="#ff0"'), LINE.replace("#f0f", "none")],
    ids=["wide", "filled", "unpainted"],
)
def test_what_is_wide_filled_or_unpainted_is_no_cut(tmp_path: Path, body: str) -> None:
    assert seen(tmp_path, layer("Sea", body)) == {}


def test_four_small_equal_dots_in_the_corners_look_like_marks(tmp_path: Path) -> None:
    assert seen(tmp_path, layer("Eyes", dots(CORNERS, [2.5] * 4))) == {"Eyes": ("mark", None)}


@pytest.mark.parametrize(
    ("places", "sizes"),
    [
        (CORNERS[:3], [2.5] * 3),
        (CORNERS, [2.5, 2.5, 2.5, 3.5]),
        (CORNERS, [8.0] * 4),
        ([(60, 40), (80, 40), (60, 60), (80, 60)], [2.5] * 4),
        ([(5, 5), (195, 5), (50, 5), (195, 95)], [2.5] * 4),
    ],
    ids=["three", "unlike", "large", "together", "not in the corners"],
)
def test_other_dots_are_no_marks(tmp_path: Path, places: list[tuple[int, int]], sizes: list[float]) -> None:
    assert seen(tmp_path, layer("Eyes", dots(places, sizes))) == {}


def test_a_layer_of_pure_white_fills_looks_like_white(tmp_path: Path) -> None:
    area = '<rect x="30" y="30" width="60" height="40" fill="{}"/>'
    assert seen(tmp_path, layer("Backing", area.format("#fff"))) == {"Backing": ("white", None)}
    assert seen(tmp_path, layer("Backing", area.format("#fefefe"))) == {}


RULES = Path(__file__).parents[1] / "fixtures" / "rules"


def seen_in_pdf(name: str) -> dict[str, tuple[str, str | None, str | None]]:
    _, jobs = Engine(Profile.default()).read(RULES / name)
    return {one.name: (one.looks_like, one.known_as, one.stated) for one in observed_names(jobs)}


def test_separations_and_layers_of_a_pdf_are_seen() -> None:
    assert seen_in_pdf("step-unnamed/fail-separation.pdf") == {
        "Harbour Edge": ("cut", None, None),
        "Kiss Cut": ("cut", "PartialCutting", None),
    }
    assert seen_in_pdf("step-printed/pass-layer-alone.pdf") == {"Kiss cut": ("cut", "PartialCutting", None)}


def test_a_step_that_the_file_states_is_proposed_as_that_step() -> None:
    assert seen_in_pdf("step-missing/pass-metadata.pdf") == {"Wavy": ("cut", None, "Cutting")}


def test_what_prints_on_every_plate_or_never_shows_is_no_name() -> None:
    assert seen_in_pdf("step-unnamed/pass-every-plate.pdf") == {"Kiss Cut": ("cut", "PartialCutting", None)}
    assert "None" not in seen_in_pdf("step-hidden/fail-none.pdf")


def test_the_profile_proposed_from_pdfs_is_one_that_knows_their_cuts(tmp_path: Path) -> None:
    jobs = [RULES / "step-unnamed/fail-separation.pdf", RULES / "step-missing/pass-metadata.pdf"]
    path = tmp_path / "preflight.toml"
    told = CliRunner().invoke(main, ["init", "-o", str(path), *(f"--from={job}" for job in jobs)])
    assert told.exit_code == 0, told.output
    profile = load(tmp_path)
    assert profile.steps["PartialCutting"].names == ("kiss cut", "half cut", "Harbour Edge")
    assert "Wavy" in profile.steps["Cutting"].names
    assert "spot colour, 1 object\n" in path.read_text("utf-8")
    assert [one.rule for one in Engine(profile).check_file(jobs[0]).report.findings()] == []


def test_a_colour_whose_lines_are_known_by_name_is_not_proposed(tmp_path: Path) -> None:
    named = layer("Kiss Cut", LINE)
    assert seen(tmp_path, LINE) == {"#ff00ff": ("cut", None)}
    assert seen(tmp_path, named + LINE)["#ff00ff"] == ("cut", "PartialCutting")
    assert seen(tmp_path, named + LINE.replace("#f0f", "#0ff"))["#00ffff"] == ("cut", None)
    by_class = LINE.replace("<circle", '<circle class="kiss-cut"')
    assert seen(tmp_path, by_class + LINE)["#ff00ff"] == ("cut", "PartialCutting")


def test_a_name_that_only_some_objects_need_is_proposed(tmp_path: Path) -> None:
    inside = layer("Cutting", layer("Edge", LINE))
    assert seen(tmp_path, inside) == {"Edge": ("cut", "Cutting")}
    assert seen(tmp_path, layer("Edge", LINE) + inside) == {"Edge": ("cut", None)}


@pytest.mark.parametrize(
    ("name", "step", "near"),
    [
        ("Kis Cut", "PartialCutting", "kiss cut"),
        ("Trough-Cut", "Cutting", "through cut"),
        ("Quay", "PartialCutting", None),
    ],
)
def test_a_name_that_may_be_a_slip_is_proposed_with_the_suspicion(
    tmp_path: Path, name: str, step: str, near: str | None
) -> None:
    text, profile = written(tmp_path, layer(name, LINE))
    assert name in profile.steps[step].names
    (line,) = [line for line in text.splitlines() if line.startswith(f'    "{name}",')]
    assert ("perhaps a slip" in line) == (near is not None)
    if near:
        assert f'"{near}"' in line


def test_a_slip_of_a_name_seen_more_often_is_told_too(tmp_path: Path) -> None:
    text, _ = written(tmp_path, layer("Harbour line", LINE * 2) + layer("Harbor line", LINE))
    slips = [line for line in text.splitlines() if "perhaps a slip" in line]
    assert len(slips) == 1
    assert slips[0].startswith('    "Harbor line",')
    assert '"Harbour line"' in slips[0]


def test_a_name_with_a_line_break_does_not_leave_its_comment(tmp_path: Path) -> None:
    text, profile = written(tmp_path, layer("Har&#10;bour", LINE * 2) + layer("Har&#10;bur", LINE))
    assert {"Har\nbour", "Har\nbur"} <= set(profile.steps["PartialCutting"].names)
    assert "perhaps a slip" in text


def written(tmp_path: Path, body: str) -> tuple[str, Profile]:
    """The profile proposed from a job, as text and loaded; a check by it finds every line a cut."""
    seen(tmp_path, body)
    path = tmp_path / "preflight.toml"
    told = CliRunner().invoke(main, ["init", "-o", str(path), f"--from={tmp_path / 'good.svg'}"])
    assert told.exit_code == 0, told.output
    profile = load(tmp_path)
    _, (job,) = Engine(profile).read(tmp_path / "good.svg")
    assert all(one.role == "cut" for one in job.assignments)
    found = Engine(profile).check_file(tmp_path / "good.svg").report.findings()
    assert not {one.rule for one in found} & {"step-missing", "step-unnamed", "step-misspelt"}
    return path.read_text("utf-8"), profile
