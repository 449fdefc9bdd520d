"""The final size and the number of copies: in the profile, and stated on the command line instead."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from preflight.profile import Profile, ProfileError, load, show
from preflight.profile.errors import SettingError
from preflight.profile.schema import json_schema

ORIGIN = "--{key} on the command line"


def written(folder: Path, text: str, name: str = "preflight.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "scale"),
    [("10", 10), ("0.5", 0.5), ('"1:10"', 10), ('"10:1"', 0.1), ('"200 %"', 2), ('"1 : 2.5"', 2.5)],
)
def test_a_scale_is_how_many_times_the_size_drawn(tmp_path: Path, text: str, scale: float) -> None:
    assert load(explicit=written(tmp_path, f"[job]\nscale = {text}\n")).job.scale == pytest.approx(scale)
    jsonschema.Draft202012Validator(json_schema({})).validate({"job": {"scale": json.loads(text)}})


@pytest.mark.parametrize(
    "text", ["0", "-1", "true", '"ten"', '"1:0"', '"0:1"', '"%"', '"10"', "inf", "nan", "1e-9"]
)
def test_what_is_no_scale_is_refused_with_file_line_and_key(tmp_path: Path, text: str) -> None:
    with pytest.raises(ProfileError, match=r"preflight\.toml:2: job\.scale: "):
        load(explicit=written(tmp_path, f"[job]\nscale = {text}\n"))


def test_scale_and_width_are_not_taken_together(tmp_path: Path) -> None:
    with pytest.raises(ProfileError, match=r"preflight\.toml:3: job\.width: .*final size"):
        load(explicit=written(tmp_path, '[job]\nscale = 10\nwidth = "600 mm"\n'))


def test_the_nearer_profile_states_the_size_in_its_own_words(tmp_path: Path) -> None:
    written(tmp_path, "[job]\nscale = 10\ncopies = 4\n", "shop.toml")
    profile = load(explicit=written(tmp_path, 'extends = "shop.toml"\n[job]\nwidth = "600 mm"\n'))
    assert (profile.job.scale, profile.job.width, profile.job.copies) == (None, 600.0, 4)
    assert "job.scale" not in profile.origins


def test_a_size_stated_at_no_change_is_another_profile_than_none_stated(tmp_path: Path) -> None:
    """What nobody has confirmed is told, so that a page judged with and without are told apart."""
    stated = load(explicit=written(tmp_path, "[job]\nscale = 1\n"))
    assert stated.digest != Profile.default().digest


def test_margins_that_leave_nothing_of_the_media_are_refused(tmp_path: Path) -> None:
    with pytest.raises(ProfileError, match=r"preflight\.toml:2: media\.side_margin: .*50 mm"):
        load(explicit=written(tmp_path, '[media]\nwidth = "50 mm"\n'))
    with pytest.raises(ProfileError, match=r"preflight\.toml:3: media\.side_margin"):
        load(explicit=written(tmp_path, '[media]\nwidth = "1370 mm"\nside_margin = "700 mm"\n'))
    load(explicit=written(tmp_path, '[media]\nwidth = "50 mm"\nside_margin = "24.9 mm"\n'))


def test_the_command_line_stands_instead_of_the_profile(tmp_path: Path) -> None:
    written(tmp_path, '[job]\nwidth = "600 mm"\ncopies = 4\nrotate = 90\n')
    profile = load(start=tmp_path)
    said = profile.with_job({"scale": "1:10", "copies": 500}, ORIGIN)
    assert (said.job.scale, said.job.width, said.job.copies, said.job.rotate) == (10.0, None, 500, 90.0)
    assert said.digest != profile.digest
    assert said.digest == profile.with_job({"copies": 500, "scale": 10}, "elsewhere").digest
    rows = {key: (value, origin) for key, value, origin in show(said, {})}
    assert rows["job.scale"] == ("10", "from --scale on the command line")
    assert rows["job.copies"] == ("500", "from --copies on the command line")
    assert rows["job.rotate"] == ("90°", f"from {tmp_path / 'preflight.toml'}:4")
    assert rows["job.width"][0] == "none"
    assert rows["job.width"][1].startswith("default")


@pytest.mark.parametrize(
    ("said", "setting"),
    [
        ({"scale": 2, "width": "600 mm"}, "width"),
        ({"width": "600"}, "width"),
        ({"width": "0 mm"}, "width"),
        ({"copies": 0}, "copies"),
        ({"copies": 1.5}, "copies"),
        ({"rotate": "left"}, "rotate"),
        ({"rotate": 1e9 * -1}, "rotate"),
    ],
)
def test_what_job_cannot_take_is_told_with_its_key(said: dict[str, object], setting: str) -> None:
    with pytest.raises(SettingError) as told:
        Profile.default().with_job(said, ORIGIN)
    assert told.value.setting == setting
