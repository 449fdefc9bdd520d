"""The commands as a person runs them: exit codes, what goes where, clear answers to bad input."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

CLEAN = """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">
<circle cx="20" cy="20" r="18" fill="#f4a261"/>
<g id="Kiss_Cut"><circle cx="20" cy="20" r="15" fill="none" stroke="#000" stroke-width="0.1"/></g></svg>"""
OPEN = CLEAN.replace(
    '<circle cx="20" cy="20" r="15" fill="none" stroke="#000" stroke-width="0.1"/>',
    '<path d="M10 10H30V30H10V11" fill="none" stroke="#000" stroke-width="0.1"/>',
)


def run(
    *words: str | Path, stdin: bytes = b"", folder: Path | None = None, columns: str = "80"
) -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "COLUMNS": columns, "NO_COLOR": "1"}
    command = [sys.executable, "-m", "preflight", *map(str, words)]
    return subprocess.run(
        command, input=stdin, capture_output=True, cwd=folder, env=environment, timeout=60, check=False
    )


@pytest.fixture
def clean(tmp_path: Path) -> Path:
    path = tmp_path / "tea-room.svg"
    path.write_text(CLEAN)
    return path


@pytest.fixture
def faulty(tmp_path: Path) -> Path:
    path = tmp_path / "open.svg"
    path.write_text(OPEN)
    return path


def test_a_clean_file_exits_0_and_says_so(clean: Path) -> None:
    done = run("check", clean)
    assert (done.returncode, done.stderr) == (0, b"")
    assert clean.name in done.stdout.decode()


def test_the_level_that_fails_the_run_fails_a_test_of_junit(faulty: Path, tmp_path: Path) -> None:
    (tmp_path / "preflight.toml").write_text('[rules.contour-open]\nlevel = "warning"\n')
    for level, failures in (("error", 0), ("warning", 1)):
        done = run("check", faulty, "--fail-on", level, "--report", tmp_path / "r.xml")
        assert done.returncode == failures
        assert f'failures="{failures}"' in (tmp_path / "r.xml").read_text()


def test_a_fault_exits_1_and_tells_rule_place_and_measure(faulty: Path) -> None:
    done = run("check", faulty, "--format", "json")
    (finding,) = json.loads(done.stdout)["files"][0]["pages"][0]["findings"]
    assert done.returncode == 1
    assert finding["rule"] == "contour-open"
    assert finding["measured"]["value"] == pytest.approx(1.0, abs=1e-6)
    assert sorted(finding["points_mm"]) == [[10.0, 10.0], [10.0, 11.0]]
    assert finding["bounds_mm"] == [10.0, 10.0, 10.0, 11.0]


def test_the_same_input_gives_the_same_bytes(faulty: Path, clean: Path) -> None:
    first, second = (run("check", faulty, clean, "--format", "json").stdout for _ in range(2))
    assert first == second
    assert first


def test_no_line_of_the_text_is_wider_than_80_columns(faulty: Path) -> None:
    done = run("check", faulty.name, folder=faulty.parent)
    assert max(len(line) for line in done.stdout.decode().splitlines()) <= 80


@pytest.mark.parametrize(
    "words", [("check", "open.svg"), ("inspect", "open.svg"), ("explain", "contour-open")]
)
def test_every_command_keeps_to_the_columns_that_the_environment_says(
    words: tuple[str, ...], faulty: Path
) -> None:
    faulty.write_text(OPEN.replace("Kiss_Cut", "Kiss_Cut " + "of the tea room's summer sheet " * 20))
    widest = {
        wide: max(map(len, run(*words, folder=faulty.parent, columns=wide).stdout.decode().splitlines()))
        for wide in ("60", "120", "160")
    }
    assert widest["60"] <= 60
    assert 80 < widest["120"] <= 120
    assert 120 < widest["160"] <= 160


def test_ignoring_the_rule_or_failing_on_nothing_exits_0(faulty: Path) -> None:
    assert run("check", faulty, "--ignore", "contour-open").returncode == 0
    assert run("check", faulty, "--select", "contour-duplicate,corner-tight").returncode == 0


def test_fail_on_decides_from_which_level_up(clean: Path, tmp_path: Path) -> None:
    profile = tmp_path / "preflight.toml"
    clean.write_text(OPEN)
    profile.write_text('[rules.contour-open]\nlevel = "note"\n')
    assert run("check", clean).returncode == 0
    assert run("check", clean, "--fail-on", "note").returncode == 1


def test_an_unknown_rule_names_the_nearest(clean: Path) -> None:
    done = run("check", clean, "--select", "contour-opne")
    assert done.returncode == 2
    assert b"contour-open" in done.stderr
    assert done.stdout == b""


def test_stdin_is_read_and_named() -> None:
    done = run("check", "-", "--stdin-name", "from-a-pipe.svg", "--format", "json", stdin=OPEN.encode())
    assert done.returncode == 1
    assert json.loads(done.stdout)["files"][0]["path"] == "from-a-pipe.svg"


def test_reports_are_told_by_suffix(faulty: Path, tmp_path: Path) -> None:
    done = run("check", faulty, "--report", tmp_path / "a.json", "--report", tmp_path / "b.HTML")
    assert done.returncode == 1
    assert json.loads((tmp_path / "a.json").read_text())["counts"]["error"] == 1
    assert (tmp_path / "b.HTML").read_text().lower().startswith("<!doctype html>")


@pytest.mark.parametrize("name", ["report.docx", "nowhere/report.json"])
def test_a_report_that_cannot_be_written_stops_before_the_work(
    faulty: Path, tmp_path: Path, name: str
) -> None:
    done = run("check", faulty, "--report", tmp_path / name)
    assert done.returncode == 2
    assert done.stdout == b""
    assert Path(name).name.encode() in done.stderr


BAD: dict[str, tuple[bytes, str]] = {
    "empty.svg": (b"", "empty"),
    "not-xml.svg": (b"\x89PNG\r\n\x1a\n not xml at all", ""),
    "other.svg": (b"<html><body/></html>", ""),
    "cut-off.svg": (CLEAN.encode()[:150], ""),
}


@pytest.mark.parametrize("name", BAD)
def test_what_cannot_be_read_is_unreadable_with_reason_and_mend(tmp_path: Path, name: str) -> None:
    data, word = BAD[name]
    (tmp_path / name).write_bytes(data)
    done = run("check", tmp_path / name, "--format", "json")
    (file,) = json.loads(done.stdout)["files"]
    assert done.returncode == 2
    assert file["status"] == "unreadable"
    assert word in file["reason"].lower()
    assert file["reason"]
    assert file["hint"]
    assert b"Traceback" not in done.stderr


def test_a_missing_file_and_a_folder_do_not_hide_the_others(faulty: Path, tmp_path: Path) -> None:
    done = run("check", tmp_path / "missing.svg", tmp_path, faulty, "--format", "json")
    report = json.loads(done.stdout)
    assert done.returncode == 2
    assert [file["status"] for file in report["files"]] == ["unreadable", "unreadable", "checked"]
    assert report["counts"] == {
        "files": 3,
        "unreadable": 2,
        "error": 1,
        "warning": 0,
        "note": 0,
        "not_checked": 0,
        "waived": 0,
        "known": 0,
    }


def test_inspect_tells_role_step_and_reason(clean: Path) -> None:
    done = run("inspect", clean, "--format", "json")
    (page,) = json.loads(done.stdout)["files"][0]["pages"]
    art, cut = page["objects"]
    assert done.returncode == 0
    assert page["size_mm"] == [40.0, 40.0]
    assert (art["role"], art["step"]) == ("print", None)
    assert (cut["role"], cut["step"]) == ("cut", "PartialCutting")
    assert "Kiss_Cut" in cut["why"]
    assert cut["bounds_mm"] == pytest.approx([5, 5, 35, 35], abs=1e-6)
    assert (cut["contours"], cut["closed"]) == (1, 1)


def test_inspect_as_text_and_of_an_unreadable_file(clean: Path, tmp_path: Path) -> None:
    assert "Kiss_Cut" in run("inspect", clean).stdout.decode()
    done = run("inspect", tmp_path / "missing.svg")
    assert done.returncode == 2
    assert b"missing.svg" in done.stderr


def test_inspect_keeps_to_80_columns_and_lets_no_name_steer_the_terminal(clean: Path) -> None:
    hostile = "Kiss\x9b31m Cut \u202e " + "long " * 30
    clean.write_text(
        CLEAN.replace('id="Kiss_Cut"', f'id="{hostile}"').replace("<circle", '<circle filter="url(#f)"', 1)
    )
    done = run("inspect", clean.name, folder=clean.parent)
    text = done.stdout.decode()
    assert max(map(len, text.splitlines())) <= 80
    assert not set(text) & set("\x9b\u202e")
    assert "\\u009b31m" in text


def test_explain_lists_rules_and_shows_a_page() -> None:
    assert "contour-open" in run("explain").stdout.decode()
    page = run("explain", "contour-open").stdout.decode()
    assert "How to mend it" in page
    assert "0.01 mm" in page
    assert json.loads(run("explain", "--format", "json").stdout)[0]["page"]
    assert run("explain", "contour-oepn").returncode == 2


def test_explain_lists_the_rules_of_a_group() -> None:
    told = json.loads(run("explain", "clearances", "--format", "json").stdout)
    assert {one["group"] for one in told} == {"clearances"}
    every = json.loads(run("explain", "--format", "json").stdout)
    assert len(told) == sum(one["group"] == "clearances" for one in every)
    assert len(run("explain", "clearances").stdout) < len(run("explain").stdout)
    assert "'clearances'" in run("explain", "clearance").stderr.decode()


def test_explain_shows_the_values_in_force_and_where_they_came_from(tmp_path: Path) -> None:
    profile = tmp_path / "shop.toml"
    profile.write_text('[rules.contour-open]\nclosed_within = "0.02 mm"\nlevel = "note"\n')
    page = run("explain", "contour-open", "--profile", profile).stdout.decode()
    assert "more than 0.02 mm apart" in " ".join(page.split())
    assert "closed_within = 0.02 mm" in page
    assert f"{profile}:2; by default 0.01 mm" in " ".join(page.split())
    assert "(contours, note)" in page
    (data,) = json.loads(run("explain", "contour-open", "--profile", profile, "--format", "json").stdout)
    assert data["level"] == "note"
    assert data["settings"]["closed_within"]["value"] == "0.02 mm"
    assert data["settings"]["closed_within"]["default"] == "0.01 mm"
    assert data["settings"]["closed_within"]["origin"] == f"from {profile}:2"
    assert data["settings"]["steps"]["origin"].startswith("default")
    table = run("explain", "contour-open", "--profile", profile, "--format", "markdown").stdout.decode()
    assert "| `closed_within` | 0.02 mm | 0.01 mm |" in table


def test_init_writes_a_profile_that_is_accepted_and_never_overwrites(clean: Path) -> None:
    folder = clean.parent
    assert run("init", folder=folder).returncode == 0
    assert (folder / "preflight.toml").is_file()
    assert run("check", clean, folder=folder).returncode == 0
    assert run("init", folder=folder).returncode == 2


def test_init_from_a_good_job_proposes_its_names(clean: Path) -> None:
    clean.write_text(CLEAN.replace("Kiss_Cut", "Harbour_line"))
    done = run("init", "--from", clean.name, "-o", "-", folder=clean.parent)
    assert done.returncode == 0
    assert "Harbour_line" in done.stdout.decode()


def test_profile_show_tells_where_each_value_came_from(tmp_path: Path) -> None:
    (tmp_path / "preflight.toml").write_text('[rules.contour-open]\nclosed_within = "0.02 mm"\n')
    shown = run("profile", "show", folder=tmp_path).stdout.decode()
    assert "0.02 mm" in shown
    assert "preflight.toml" in shown


def test_profile_show_starts_from_the_folder_named(tmp_path: Path) -> None:
    (tmp_path / "inner").mkdir()
    (tmp_path / "inner" / "preflight.toml").write_text('[job]\nspacing = "4 mm"\n')
    shown = run("profile", "show", "inner", folder=tmp_path).stdout.decode()
    assert "job.spacing = 4 mm" in shown


def test_a_wrong_key_in_the_profile_names_file_key_and_nearest(clean: Path) -> None:
    (clean.parent / "preflight.toml").write_text("[rules.contour-open]\nclosed_withn = '1 mm'\n")
    done = run("check", clean)
    assert done.returncode == 2
    for word in (b"preflight.toml", b"closed_withn", b"closed_within"):
        assert word in done.stderr


@pytest.mark.parametrize(
    ("key", "value", "told"),
    [
        ("required", "['preflight_rulez']", "did you mean 'preflight_rules'?"),
        ("required", "['harbour-office']", "install it, or take it out"),
        ("rule_files", "['house.py']", "the rule file holds no class"),
        ("rule_files", "['broken.py']", "NameError"),
    ],
)
def test_a_plugin_that_the_profile_asks_for_in_vain_is_told_with_file_line_and_key(
    clean: Path, key: str, value: str, told: str
) -> None:
    profile = clean.with_name("preflight.toml")
    profile.write_text(f"[plugins]\n{key} = {value}\n")
    clean.with_name("house.py").write_text("class Nothing: pass\n")
    clean.with_name("broken.py").write_text("absent\n")
    done = run("check", clean)
    assert (done.returncode, done.stdout) == (2, b"")
    assert f"{profile}:2: plugins.{key}: " in done.stderr.decode()
    assert told in done.stderr.decode()
    assert b"Traceback" not in done.stderr


@pytest.mark.parametrize("what", ["report", "profile"])
def test_schema_prints_a_json_schema(what: str) -> None:
    import jsonschema

    document = json.loads(run("schema", what).stdout)
    jsonschema.Draft202012Validator.check_schema(document)
    assert document.get("properties") or document["$defs"]


def test_the_report_is_valid_against_its_schema(faulty: Path) -> None:
    import jsonschema

    document = json.loads(run("schema", "report").stdout)
    jsonschema.validate(json.loads(run("check", faulty, "--format", "json").stdout), document)


def test_version_names_the_plugins() -> None:
    shown = run("--version").stdout.decode()
    assert "artwork-preflight" in shown
    assert "preflight_rules" in shown


def test_a_file_named_twice_is_checked_once_and_told(clean: Path) -> None:
    done = run("check", clean.name, f"./{clean.name}", "--format", "json", folder=clean.parent)
    assert [file["path"] for file in json.loads(done.stdout)["files"]] == [clean.name]
    assert b"more than once" in done.stderr
    assert done.returncode == 0


@pytest.mark.parametrize("name", ["with space.svg", "Tee “Ä” 茶.svg", "a'b&c.svg", "%20.svg"])
def test_names_as_people_write_them(clean: Path, name: str) -> None:
    path = clean.rename(clean.with_name(name))
    done = run("check", path.name, "--report", "r.html", "--report", "r.json", folder=path.parent)
    assert (done.returncode, done.stderr) == (0, b"")
    assert name in done.stdout.decode()
    assert json.loads((path.parent / "r.json").read_text("utf-8"))["files"][0]["path"] == name


def test_a_name_that_looks_like_an_option_is_told_how_to_be_written(clean: Path) -> None:
    path = clean.rename(clean.with_name("-tea.svg"))
    done = run("check", path.name, folder=path.parent)
    assert done.returncode == 2
    assert b"write ./-tea.svg" in done.stderr
    assert run("check", "./-tea.svg", folder=path.parent).returncode == 0
    assert run("check", "--", "-tea.svg", folder=path.parent).returncode == 0
    assert b"-x" in run("check", "-x", folder=path.parent).stderr


@pytest.mark.parametrize("option", ["--select", "--ignore"])
@pytest.mark.parametrize("value", ["", " ", "contour-open,"])
def test_an_empty_choice_of_rules_is_no_choice(clean: Path, option: str, value: str) -> None:
    done = run("check", clean, option, value)
    assert done.returncode == 2
    assert option.encode() in done.stderr


@pytest.mark.parametrize("rule", ["unreadable", "not-checked", "rule-failed", "reading", "contours,reading"])
def test_what_is_always_reported_cannot_be_ignored(clean: Path, rule: str) -> None:
    done = run("check", clean, "--ignore", rule)
    assert done.returncode == 2
    assert b"always reported" in done.stderr


def test_a_group_is_selected_or_ignored_whole(faulty: Path) -> None:
    assert run("check", faulty, "--ignore", "contours").returncode == 0
    assert run("check", faulty, "--select", "steps,colours").returncode == 0
    done = run("check", faulty, "--select", "contours", "--ignore", "corner-tight", "--format", "json")
    report = json.loads(done.stdout)
    (file,) = report["files"]
    off = {one["rule"]: one["because"] for one in file["rules_off"]}
    kept = {rule["id"] for rule in report["rules"]} - set(off)
    assert done.returncode == 1
    assert kept == {rule["id"] for rule in report["rules"] if rule["group"] == "contours"} - {"corner-tight"}
    assert (off["corner-tight"], off["step-missing"]) == ("ignored", "not selected")


@pytest.mark.parametrize("option", ["--select", "--ignore"])
@pytest.mark.parametrize(
    ("name", "near"), [("contour", "contours"), ("colors", "colours"), ("steps-open", None)]
)
def test_a_name_that_is_neither_rule_nor_group_names_the_nearest(
    clean: Path, option: str, name: str, near: str | None
) -> None:
    done = run("check", clean, option, name)
    assert (done.returncode, done.stdout) == (2, b"")
    assert f"there is no rule or group {name!r}" in done.stderr.decode()
    assert near is None or f"did you mean {near!r}?" in done.stderr.decode()


@pytest.mark.parametrize("name", ["house"])
def test_a_group_without_rules_selects_nothing_rather_than_all(clean: Path, name: str) -> None:
    done = run("check", clean, "--select", name)
    assert done.returncode == 2
    assert f"there is no rule or group {name!r}".encode() in done.stderr


def test_the_help_lists_formats_suffixes_and_groups_from_those_there_are() -> None:
    told = " ".join(run("check", "--help").stdout.decode().split())
    assert "What goes to stdout: github, gitlab, html, json, junit, sarif, text." in told
    assert "(.html, .json, .sarif, .xml)" in told
    groups = {one["group"] for one in json.loads(run("explain", "--format", "json").stdout)} - {"reading"}
    assert f"all of a group ({', '.join(sorted(groups))})" in told
    assert "{known}" not in told


@pytest.mark.parametrize(
    "words",
    [
        ("check", "tea-room.svg", "--profile", "a.toml", "--profile", "a.toml"),
        ("check", "tea-room.svg", "--format", "json", "--format", "text"),
        ("check", "tea-room.svg", "--fail-on", "note", "--fail-on", "error"),
        ("check", "-", "--stdin-name", "a.svg", "--stdin-name", "b.svg"),
        ("inspect", "tea-room.svg", "--format", "text", "--format", "text"),
        ("explain", "--format", "json", "--format", "text"),
        ("profile", "show", "--profile", "a.toml", "--profile", "b.toml"),
        ("init", "-o", "x.toml", "--output", "y.toml"),
    ],
)
def test_an_option_with_one_value_given_twice_is_refused(words: tuple[str, ...], clean: Path) -> None:
    (clean.parent / "a.toml").write_text("")
    done = run(*words, folder=clean.parent)
    assert (done.returncode, done.stdout) == (2, b"")
    assert b"is given 2 times" in done.stderr
    assert f"Error: {words[-2]} is given".encode() in done.stderr
    assert not list(clean.parent.glob("[xy].toml"))


def test_files_under_different_profiles_are_told_with_their_folders(clean: Path) -> None:
    folders = [clean.parent / name for name in ("one", "two")]
    for number, folder in enumerate(folders):
        folder.mkdir()
        (folder / "a.svg").write_text(CLEAN)
        (folder / "preflight.toml").write_text(f"[job]\ncopies = {number + 2}\n")
    done = run("check", *(folder / "a.svg" for folder in folders))
    assert done.returncode == 2
    assert all(str(folder).encode() in done.stderr for folder in folders)
    assert b"--profile" in done.stderr
    same = run("check", *(folder / "a.svg" for folder in folders), "--profile", folders[0] / "preflight.toml")
    assert same.returncode == 0


@pytest.mark.parametrize(
    "words", [("check", "a.svg", "--profile"), ("explain", "--profile"), ("profile", "show")]
)
def test_what_is_not_there_is_told(tmp_path: Path, words: tuple[str, ...]) -> None:
    done = run(*words, tmp_path / "absent")
    assert done.returncode == 2
    assert b"absent" in done.stderr
    assert b"there is no such" in done.stderr


def test_a_rule_like_no_other_is_not_guessed_at(clean: Path) -> None:
    done = run("check", clean, "--select", "xyz")
    assert b"there is no rule or group 'xyz'" in done.stderr
    assert b"did you mean" not in done.stderr


def test_left_out_rules_are_said_on_the_terminal(faulty: Path) -> None:
    told = run("check", faulty, "--ignore", "contour-open").stdout.decode()
    assert "left out     contour-open (--ignore)" in told
    assert "Nothing found." not in told
    assert "left out" not in run("check", faulty).stdout.decode()


FULL = Path("/dev/full")


@pytest.mark.skipif(not FULL.exists(), reason="this system has no device that is always full")
@pytest.mark.parametrize(
    "words",
    [
        ("check", "tea-room.svg"),
        ("check", "tea-room.svg", "--format", "json"),
        ("inspect", "tea-room.svg"),
        ("explain",),
        ("init", "-o", "-"),
        ("profile", "show"),
        ("schema", "report"),
        ("--help",),
        ("--version",),
    ],
)
def test_stdout_that_takes_no_more_is_one_line_and_exit_2(words: tuple[str, ...], clean: Path) -> None:
    with FULL.open("wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "preflight", *words],
            stdout=full,
            stderr=subprocess.PIPE,
            cwd=clean.parent,
            timeout=60,
            check=False,
        )
    assert done.returncode == 2
    assert done.stderr == b"preflight: the output cannot be written: No space left on device\n"


def test_a_report_at_a_link_is_written_to_what_it_points_to(clean: Path) -> None:
    target, link = clean.with_name("kept.json"), clean.with_name("out.json")
    target.write_text("old")
    link.symlink_to(target.name)
    assert run("check", clean, "--report", link).returncode == 0
    assert link.is_symlink()
    assert json.loads(target.read_bytes())["files"]
    assert not list(clean.parent.glob("*.partial"))


def test_a_report_at_a_link_to_nothing_makes_the_file(clean: Path) -> None:
    link = clean.with_name("out.json")
    link.symlink_to("later.json")
    assert run("check", clean, "--report", link).returncode == 0
    assert json.loads(clean.with_name("later.json").read_bytes())["files"]


@pytest.mark.parametrize(
    ("target", "told"),
    [
        ("/dev/null", b"it is no regular file"),
        ("folder", b"a folder"),
        ("out.json", b"links run in a circle"),
        ("gone/later.json", b"No such file"),
    ],
)
def test_a_report_that_is_no_file_is_refused(clean: Path, target: str, told: bytes) -> None:
    clean.with_name("folder").mkdir()
    link = clean.with_name("out.json")
    link.symlink_to(target)
    done = run("check", clean, "--report", link)
    assert done.returncode == 2
    # A folder is refused by the option itself, in its words.
    assert told in done.stderr or (target == "folder" and b"is a directory" in done.stderr)
    assert b"Traceback" not in done.stderr
    assert link.is_symlink()


def test_what_a_use_draws_is_told_by_both_lines(tmp_path: Path) -> None:
    sheet = tmp_path / "sheet.svg"
    sheet.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">\n'
        '<defs><g id="kiss cut">\n<path d="M1 1H9V9" fill="none" stroke="#f0f" stroke-width=".1"/>\n</g></defs>\n'
        '<use id="a" href="#kiss cut" x="5"/>\n<use href="#kiss cut" x="25"/></svg>',
        encoding="utf-8",
    )
    seen = json.loads(run("inspect", sheet, "--format", "json").stdout)
    objects = seen["files"][0]["pages"][0]["objects"]
    assert [(one["line"], one["drawn_at"]) for one in objects] == [(3, 5), (3, 6)]
    told = run("check", sheet, "--format", "json").stdout
    found = [
        one for one in json.loads(told)["files"][0]["pages"][0]["findings"] if one["rule"] == "contour-open"
    ]
    assert [(one["objects"][0]["line"], one["objects"][0]["drawn_at"]) for one in found] == [(3, 5), (3, 6)]
    text = run("check", sheet).stdout.decode()
    assert "line 3, drawn by line 6" in " ".join(text.split())


def test_a_slip_in_a_command_gets_the_nearest_command() -> None:
    done = run("chek")
    assert done.returncode == 2
    assert b"'check'" in done.stderr


@pytest.mark.skipif(os.name == "nt", reason="names on Windows are always text")
@pytest.mark.parametrize("command", ["inspect", "colours"])
def test_json_tells_files_whose_names_are_no_text(command: str, tmp_path: Path) -> None:
    path = tmp_path / os.fsdecode(b"gull\xff.svg")
    try:
        path.write_text(CLEAN)
    except OSError:
        pytest.skip("this file system takes no such name")
    done = run(command, path, "--format", "json")
    assert json.loads(done.stdout)["files"][0]["path"].endswith("gull\\udcff.svg")
