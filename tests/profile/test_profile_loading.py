"""Loading: found, extended, laid over the defaults; each error names file, key and mend."""

from __future__ import annotations

from pathlib import Path

import pytest

from preflight.profile import Profile, ProfileError, load, show
from preflight.profile.settings import SettingsTable, mm


class Open:
    """A rule as far as a profile sees it."""

    class Settings(SettingsTable):
        closed_within = mm(0.01, "finer than any cutter's step")


RULES = {"contour-open": Open, "corner-tight": Open}


def written(folder: Path, text: str, name: str = "preflight.toml") -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_without_a_file_the_defaults_hold(tmp_path: Path) -> None:
    assert load(tmp_path).digest == Profile.default().digest


def test_the_nearest_file_upwards_counts(tmp_path: Path) -> None:
    written(tmp_path, '[job]\nspacing = "4 mm"\n')
    written(tmp_path / "inner", '[job]\nspacing = "1/4 in"\n')
    deep = tmp_path / "inner" / "deep"
    deep.mkdir()
    assert load(deep).job.spacing == pytest.approx(6.35)
    assert load(tmp_path).job.spacing == 4.0


def test_a_table_in_pyproject_counts_and_one_without_is_passed_over(tmp_path: Path) -> None:
    written(tmp_path, "[tool.preflight.media]\nwidth = '1370 mm'\n", "pyproject.toml")
    inner = written(tmp_path / "inner", "[tool.other]\nx = 1\n", "pyproject.toml").parent
    profile = load(inner)
    assert profile.media.width == 1370.0
    assert profile.origins["media.width"].endswith("pyproject.toml:2")


@pytest.mark.parametrize("text", ["tool = 1\n", "this is [not TOML\n"])
def test_a_project_file_that_is_none_of_our_business_is_left_alone(tmp_path: Path, text: str) -> None:
    written(tmp_path, text, "pyproject.toml")
    assert load(tmp_path).name == "default"


def test_extends_lays_the_nearer_over_the_farther(tmp_path: Path) -> None:
    written(tmp_path, '[job]\nspacing = "5 mm"\ncopies = 7\n', "shop.toml")
    written(tmp_path / "a", 'extends = "../shop.toml"\n[job]\ncopies = 2\n')
    profile = load(tmp_path / "a")
    assert (profile.job.spacing, profile.job.copies) == (5.0, 2)
    origins = {key: origin for key, _, origin in show(profile, RULES)}
    assert "shop.toml:2" in origins["job.spacing"]
    assert "preflight.toml:3" in origins["job.copies"]
    assert "project assumption" in origins["media.lead_margin"]
    assert "default" in origins["steps.Cutting.names"]
    assert "finer than any cutter's step" in origins["rules.contour-open.closed_within"]


def test_a_circle_of_profiles_is_refused(tmp_path: Path) -> None:
    written(tmp_path, 'extends = "b.toml"\n', "a.toml")
    written(tmp_path, 'extends = "a.toml"\n', "b.toml")
    with pytest.raises(ProfileError, match=r"b\.toml:1: extends: .*circle"):
        load(None, tmp_path / "a.toml")


ERRORS = [
    ("[jbo]\n", 1, "jbo", ["did you mean job?"]),
    ("[job]\nspacng = '3 mm'\n", 2, "job.spacng", ["job.spacing"]),
    ("[job]\nspacing = 3\n", 2, "job.spacing", ["unit"]),
    ("[job]\nspacing = '3 furlongs'\n", 2, "job.spacing", ["unknown unit"]),
    ("[job]\n\nspacing = '-3 mm'\n", 3, "job.spacing", ["below", "or more"]),
    ("[job]\ncopies = 0\n", 2, "job.copies", ["1"]),
    ("[job]\ncopies = true\n", 2, "job.copies", ["whole number"]),
    ("[job]\nscale = nan\n", 2, "job.scale", ["finite"]),
    ("[job]\nexpects_cut = 'yes'\n", 2, "job.expects_cut", ["true or false"]),
    ("job = 3\n", 1, "job", ["not a table"]),
    ("[cutter]\nspeed = { Cuting = '200 mm/s' }\n", 2, "cutter.speed.Cuting", ["'Cutting'"]),
    ("[cutter.speed]\nCutting = '9 mm/s'\nCuting = '9 mm/s'\n", 3, "cutter.speed.Cuting", ["'Cutting'"]),
    ("[cutter]\nspeed = { Cutting = '200 mm' }\n", 2, "cutter.speed", ["mm/s"]),
    ("[limits]\nfile_size = 200\n", 2, "limits.file_size", ["MB"]),
    ("[marks]\ncount = 'some'\n", 2, "marks.count", ["auto"]),
    ("[output]\nrendering_intent = 'perceptual'\n", 2, "output.rendering_intent", ["relative colorimetric"]),
    ("[steps.PartialCuting]\nnames = ['x']\n", 1, "steps.PartialCuting", ["'PartialCutting'"]),
    ("[steps]\nCutting = 3\n", 2, "steps.Cutting", ["[steps.Cutting]"]),
    ("[steps.Cutting]\nnames = 'kiss'\n", 2, "steps.Cutting.names", ["list"]),
    ("[steps.Cutting]\nstrokes = 'red'\n", 2, "steps.Cutting.strokes", ["#e69f00"]),
    ("[steps.Cutting]\nnames = ['x']\nstrokes = ['red']\n", 3, "steps.Cutting.strokes", ["red", "#e69f00"]),
    ("[steps.Cutting]\nlevel = 'off'\n", 2, "steps.Cutting.level", ["[rules.ID]"]),
    (
        "[steps.Cutting]\nnames = ['x']\nlevel = 'bad'\n",
        3,
        "steps.Cutting.level",
        ["one of error, warning, note"],
    ),
    (
        "[rules.contour-open]\nlevel = 3\n",
        2,
        "rules.contour-open.level",
        ["one of error, warning, note, off"],
    ),
    ("steps = { Cutting = { level = 3 } }\n", 1, "steps.Cutting.level", ["error, warning, note"]),
    ("[steps.Cutting]\nname = ['x']\n", 2, "steps.Cutting.name", ["steps.Cutting.names"]),
    (
        "[steps.Cutting]\nnames = ['Harbour']\n[marks]\nnames = ['harbour']\n",
        4,
        "marks.names",
        ["steps.Cutting.names", "preflight.toml:2", "one place"],
    ),
    ("[marks]\nnames = ['Creasing']\n", 2, "marks.names", ["steps.Creasing", "one place"]),
    ("[rules.contour-open]\nlevel = 'fatal'\n", 2, "rules.contour-open.level", ["fatal", "write one of"]),
    ("rules = 1\n", 1, "rules", ["not a table"]),
    ("overrides = 1\n", 1, "overrides", ["[[overrides]]"]),
    ("[[overrides]]\nfiles = ['*']\nrules = ['contour-open']\n", 1, "overrides.reason", ["say why"]),
    (
        "[[overrides]]\nfiles=['*']\nrules=['x']\nreason='y'\n"
        "[[overrides]]\nfiles=['*']\nrules=['x']\nreason=' '\n",
        8,
        "overrides.reason",
        ["say why"],
    ),
    ("[[overrides]]\nfiles = []\nrules = ['x']\nreason = 'y'\n", 2, "overrides.files", ["at least one"]),
    ("[[overrides]]\nfiles = ['x']\nreason = 'y'\n", 1, "overrides.rules", ["at least one"]),
    ("[[overrides]]\nrulez = ['x']\n", 2, "overrides.rulez", ["overrides.rules"]),
    ("[[overrides]]\nfiles = 'x'\nrules = ['x']\nreason = 'y'\n", 2, "overrides.files", ["list of texts"]),
    ("\nextends = 'absent.toml'\n", 2, "extends", ["absent.toml", "correct the path"]),
    ("extends = 1\n", 1, "extends", ["path of another profile"]),
    ("[job\n", 1, None, ["not valid TOML", "mend"]),
    ("[job]\ncopies = \n", 2, None, ["not valid TOML", "mend"]),
]


@pytest.mark.parametrize(
    ("text", "line", "key", "told"), ERRORS, ids=[text.replace("\n", " ") for text, *_ in ERRORS]
)
def test_what_is_wrong_is_told_with_file_line_key_and_mend(
    tmp_path: Path, text: str, line: int, key: str | None, told: list[str]
) -> None:
    path = written(tmp_path, text)
    with pytest.raises(ProfileError) as error:
        load(tmp_path)
    assert (error.value.place, error.value.key) == (f"{path}:{line}", key)
    assert str(error.value).startswith(f"{path}:{line}: {key or ''}")
    for words in told:
        assert words in str(error.value)


def test_the_line_is_that_of_the_file_at_fault(tmp_path: Path) -> None:
    wide = written(tmp_path, "\n[steps.Cutting]\nlevel = 'loud'\n", "shop.toml")
    written(tmp_path, 'extends = "shop.toml"\n')
    with pytest.raises(ProfileError) as error:
        load(tmp_path)
    assert (error.value.place, error.value.key) == (f"{wide}:3", "steps.Cutting.level")


def test_a_table_in_pyproject_is_told_by_its_line_there(tmp_path: Path) -> None:
    path = written(tmp_path, "[project]\nname = 'x'\n[tool.preflight.job]\ncopies = 0\n", "pyproject.toml")
    with pytest.raises(ProfileError) as error:
        load(tmp_path)
    assert (error.value.place, error.value.key) == (f"{path}:4", "job.copies")


@pytest.mark.parametrize("quotes", ['"""', "'''"])
def test_a_text_of_several_lines_holds_no_keys(tmp_path: Path, quotes: str) -> None:
    text = f"[[overrides]]\nreason = {quotes}\nrules = of the house\n[job]\n{quotes}\nrules = 3\n"
    path = written(tmp_path, text)
    with pytest.raises(ProfileError) as error:
        load(tmp_path)
    assert (error.value.place, error.value.key) == (f"{path}:6", "overrides.rules")


def test_text_that_is_not_utf_8_and_a_missing_file_are_told(tmp_path: Path) -> None:
    (tmp_path / "preflight.toml").write_bytes(b"[job]\n# \xff\n")
    with pytest.raises(ProfileError, match=r"preflight\.toml:2: .*UTF-8"):
        load(tmp_path)
    with pytest.raises(ProfileError, match=r"absent\.toml"):
        load(None, tmp_path / "absent.toml")


@pytest.mark.parametrize(
    ("text", "line", "key", "told"),
    [
        ("[rules.contour-opne]\nlevel = 'note'\n", 1, "rules.contour-opne", "contour-open"),
        ("[rules.xyz]\nlevel = 'note'\n", 1, "rules.xyz", "preflight explain lists them"),
        (
            "[rules.contour-open]\nlevel = 'note'\nclosed_withn = '1 mm'\n",
            3,
            "rules.contour-open.closed_withn",
            "closed_within",
        ),
        ("[rules.contour-open]\nclosed_within = 1\n", 2, "rules.contour-open.closed_within", "unit"),
        (
            "[[overrides]]\nfiles=['*']\nrules=['corner-tight']\nreason='r'\n"
            "[[overrides]]\nfiles=['*']\nrules=['contour-opn']\nreason='r'\n",
            7,
            "overrides.rules",
            "'contour-open'",
        ),
        ("[rules.spoken]\nlevel='note'\n", 1, "rules.spoken", "take it out"),
        ("[[overrides]]\nfiles=['*']\nrules=['spoken']\nreason='r'\n", 3, "overrides.rules", "take it out"),
    ],
)
def test_rules_are_held_against_those_there_are(
    tmp_path: Path, text: str, line: int, key: str, told: str
) -> None:
    class Spoken(Open):
        by_engine = True

    path = written(tmp_path, text)
    with pytest.raises(ProfileError) as error:
        load(tmp_path).validate_rules({**RULES, "spoken": Spoken})
    assert (error.value.place, error.value.key) == (f"{path}:{line}", key)
    assert told in str(error.value)


def test_an_override_of_a_wider_profile_is_told_by_its_own_line(tmp_path: Path) -> None:
    table = "[[overrides]]\nfiles=['*']\nrules=['{}']\nreason='r'\n"
    written(tmp_path, table.format("corner-tight"), "shop.toml")
    path = written(tmp_path, "extends = 'shop.toml'\n" + table.format("contour-opn"))
    profile = load(tmp_path)
    with pytest.raises(ProfileError) as error:
        profile.validate_rules(RULES)
    assert error.value.place == f"{path}:4"
    origins = {key: origin for key, _, origin in show(profile, RULES)}
    assert origins["overrides.0"].endswith("shop.toml:1")
    assert origins["overrides.1"].endswith("preflight.toml:2")


def test_sound_rule_settings_are_accepted(tmp_path: Path) -> None:
    written(tmp_path, "[rules.contour-open]\nlevel = 'off'\nclosed_within = '0.02 mm'\n")
    profile = load(tmp_path)
    profile.validate_rules(RULES)
    assert profile.rule("contour-open", "a.svg").level == "off"
    shown = {key: value for key, value, _ in show(profile, RULES)}
    assert shown["rules.contour-open.closed_within"] == "0.02 mm"


@pytest.mark.parametrize(
    ("glob", "file", "silent"),
    [
        ("*.svg", "archive/old/a.svg", True),
        ("archive/**", "archive/old/a.svg", True),
        ("archive/*.svg", "archive/a.svg", True),
        ("archive/*.svg", "archive/old/a.svg", False),
        ("archive/**/*.svg", "archive/a.svg", True),
        ("archive/**", "archived/a.svg", False),
        ("*.pdf", "archive/a.svg", False),
    ],
)
def test_overrides_count_for_the_files_they_name(tmp_path: Path, glob: str, file: str, silent: bool) -> None:
    written(
        tmp_path, f"[[overrides]]\nfiles = ['{glob}']\nrules = ['contour-open']\nreason = 'kept as sent'\n"
    )
    profile = load(tmp_path)
    assert profile.rule("contour-open", str(tmp_path / file)).level == ("off" if silent else None)
    assert profile.rule("corner-tight", str(tmp_path / file)).level is None
    assert ("kept as sent" in {k: v for k, v, _ in show(profile, RULES)}["overrides.0"]) is True


def test_a_name_the_shop_gives_away_leaves_its_default_place(tmp_path: Path) -> None:
    written(
        tmp_path,
        "[steps.PartialCutting]\nnames = ['Die Line']\n[names]\nignored = ['legend', 'fold']\n[marks]\nsize='5 mm'\n",
    )
    profile = load(tmp_path)
    assert profile.steps["PartialCutting"].names == ("Die Line",)
    assert profile.steps["Cutting"].names == ("through cut", "die cut")
    assert profile.steps["Folding"].names == ()
    assert "Legend" not in profile.information_names
    assert profile.white_names == ("White",)


def test_a_step_of_the_shops_own_is_taken(tmp_path: Path) -> None:
    written(tmp_path, "[steps.Routing]\nnames = ['router']\nstrokes = ['#0af']\nlevel = 'warning'\n")
    step = load(tmp_path).steps["Routing"]
    assert (step.names, step.strokes, step.level) == (("router",), ("#0af",), "warning")


def test_the_digest_tells_profiles_apart_and_forgets_where_they_lie(tmp_path: Path) -> None:
    first = written(tmp_path / "a", "[limits]\nelements = 1000001\n")
    second = written(tmp_path / "b", "# moved\n[limits]\nelements = 1000001\n")
    third = written(tmp_path / "c", "[limits]\nelements = 1000002\n")
    digests = [load(None, path).digest for path in (first, second, third)]
    assert digests[0] == digests[1] != digests[2]
    assert digests[0] != Profile.default().digest


RULE_FILE = "class Nothing: pass\n"


def test_the_digest_covers_the_content_of_the_files_named(tmp_path: Path) -> None:
    text = "[plugins]\nrule_files = ['house.py']\n[colours]\nlibraries = ['inks.csv']\n"
    profiles = []
    for folder in ("a", "b", "c", "d"):
        profiles.append(written(tmp_path / folder, text))
        written(tmp_path / folder, RULE_FILE, "house.py")
        written(tmp_path / folder, "name\n", "inks.csv")
    written(tmp_path / "c", RULE_FILE + "# changed\n", "house.py")
    written(tmp_path / "d", "name\nred\n", "inks.csv")
    first, again, changed, other = (load(None, path).digest for path in profiles)
    assert first == again
    assert len({first, changed, other, Profile.default().digest}) == 4


def test_a_file_that_vanishes_after_loading_is_told_as_the_profiles_fault(tmp_path: Path) -> None:
    rules = written(tmp_path, RULE_FILE, "house.py")
    profile = load(None, written(tmp_path, "[plugins]\nrule_files = ['house.py']\n"))
    rules.unlink()
    with pytest.raises(ProfileError, match=r":2: plugins\.rule_files: .*house\.py"):
        _ = profile.digest


def test_files_are_looked_for_from_the_profile_that_names_them(tmp_path: Path) -> None:
    written(tmp_path / "shop", "x", "printer.icc")
    written(tmp_path / "shop", "x", "inks.csv")
    wide = "[output]\nicc_profile = 'printer.icc'\n[colours]\nlibraries = ['inks.csv']\n"
    written(tmp_path / "shop", wide, "shop.toml")
    near = written(tmp_path / "jobs" / "ferry", 'extends = "../../shop/shop.toml"\n')
    profile = load(None, near)
    assert Path(profile.output.icc_profile).resolve() == tmp_path / "shop" / "printer.icc"
    assert [Path(one).resolve() for one in profile.colours.libraries] == [tmp_path / "shop" / "inks.csv"]
    shown = {key: origin for key, _, origin in show(profile, RULES)}
    assert "shop.toml:2" in shown["output.icc_profile"]


@pytest.mark.parametrize(
    ("table", "key", "value"),
    [
        ("output", "icc_profile", "'absent.icc'"),
        ("colours", "libraries", "['absent.csv']"),
        ("plugins", "rule_files", "['absent.py']"),
        ("plugins", "rule_files", "['.']"),
    ],
)
def test_a_file_that_is_not_there_is_told_with_profile_key_and_mend(
    tmp_path: Path, table: str, key: str, value: str
) -> None:
    path = written(tmp_path, f"[{table}]\n{key} = {value}\n")
    with pytest.raises(ProfileError) as error:
        load(None, path)
    assert (error.value.place, error.value.key) == (f"{path}:2", f"{table}.{key}")
    for words in (value.strip("[]'"), "correct the path"):
        assert words in str(error.value)


def test_names_replace_the_defaults_and_show_says_which(tmp_path: Path) -> None:
    path = written(
        tmp_path,
        "[steps.PartialCutting]\nnames = ['sticker edge', 'Kiss-Cut']\n[steps.Routing]\nnames = ['router']\n"
        "[names]\nvarnish = ['gloss']\nwhite = ['White', 'Base']\n[colours]\nlibraries = []\n",
    )
    profile = load(tmp_path)
    assert profile.steps["PartialCutting"].names == ("sticker edge", "Kiss-Cut")
    origins = {key: origin for key, _, origin in show(profile, RULES)}
    assert origins["steps.PartialCutting.names"] == f"from {path}:2, in place of half cut"
    assert origins["steps.Routing.names"] == f"from {path}:4"
    assert origins["names.varnish"] == f"from {path}:6, in place of Varnish, Primer"
    assert origins["names.white"] == f"from {path}:7"
    assert origins["colours.libraries"] == f"from {path}:9"
    assert origins["steps.Cutting.names"].startswith("default")
