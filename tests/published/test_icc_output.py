"""A CMYK output profile as LittleCMS has it, and what is in its reach.

Values: `transicc` of LittleCMS 2.14 on default_cmyk.icc of Debian's libgs-common. The profile is not ours to hand
on; CI installs it.
"""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from preflight.colour.difference import between, rough
from preflight.colour.errors import ColourFileError
from preflight.colour.gamut import Output, Reach
from preflight.colour.icc import IccOutput
from preflight.colour.spaces import srgb_to_lab

Floats = NDArray[np.float64]

FOLDER = Path("/usr/share/color/icc/ghostscript")
LIMIT = 3.0

RELATIVE = {
    (1, 0, 0, 0): (63.61, -41.39, -48.34), (0, 1, 0, 0): (53.95, 76.14, -6.56), (0, 0, 1, 0): (95.08, -6.30, 90.35),
    (0, 0, 0, 1): (22.35, 1.07, 0.06), (0, 1, 1, 0): (53.60, 69.81, 45.20), (1, 0, 1, 0): (58.88, -67.54, 27.13),
    (1, 1, 0, 0): (30.92, 19.99, -48.36), (0.4, 0.3, 0.3, 0.1): (63.08, -1.39, -1.85), (0, 0, 0, 0): (100, 0, 0),
}  # fmt: skip
ABSOLUTE = {
    (0, 0, 0, 0): (88.73, -0.25, 3.65), (1, 0, 0, 0): (55.88, -37.53, -40.26), (0, 1, 0, 0): (47.16, 68.55, -3.61),
    (0, 0, 1, 0): (84.29, -5.92, 83.42), (0, 0, 0, 1): (18.63, 0.88, 1.26), (0, 1, 1, 0): (46.84, 62.84, 42.17),
    (1, 0, 1, 0): (51.61, -61.11, 26.35), (1, 1, 0, 0): (26.36, 17.93, -41.31), (0.4, 0.3, 0.3, 0.1): (55.39, -1.43, 0.85),
}  # fmt: skip


@pytest.fixture(scope="module")
def file() -> Path:
    file = FOLDER / "default_cmyk.icc"
    if not file.is_file():
        told = f"{file} is absent: apt install libgs-common"
        if os.environ.get("CI"):
            pytest.fail(told)
        pytest.skip(told)
    return file


@pytest.fixture(scope="module")
def press(file: Path) -> IccOutput:
    return IccOutput(file)


@pytest.fixture(scope="module")
def reach(press: IccOutput) -> Reach:
    return Reach(press)


def test_relative_colorimetric(file: Path) -> None:
    found = IccOutput(file, "relative").lab(list(RELATIVE))
    assert found == pytest.approx(np.array(list(RELATIVE.values())), abs=0.02)


def test_absolute_colorimetric(press: IccOutput) -> None:
    found = press.lab(list(ABSOLUTE))
    assert found == pytest.approx(np.array(list(ABSOLUTE.values())), abs=0.02)


def test_it_is_an_output(press: IccOutput) -> None:
    output: Output = press
    assert output.channels == ("C", "M", "Y", "K")
    assert output.name == "default_cmyk.icc, absolute colorimetric"
    assert output.lab(np.empty((0, 4))).shape == (0, 3)
    assert output.lab([[-1, 0, 0, 2]]) == pytest.approx(output.lab([[0, 0, 0, 1]]))


def test_between_codes_of_eight_bits_colours_go_over_into_each_other(press: IccOutput) -> None:
    line = np.linspace(0.4, 0.41, 200)[:, None] * [1, 0.5, 0.7, 0.2]
    steps = np.abs(np.diff(press.lab(line), axis=0))
    assert steps.max() < 0.02


def test_the_likeness_is_alike(press: IccOutput) -> None:
    devices = np.random.default_rng(4).random((5000, 4))
    off = between(press.lab(devices), press.sketch.lab(devices))
    assert np.percentile(off, 95) < 0.4
    assert off.max() < 1.5


def test_random_devices_are_in_reach(press: IccOutput, reach: Reach) -> None:
    """Lab of their own colours, darks among them: ΔE00 < 0.1, issue 5."""
    random = np.random.default_rng(6)
    devices = np.vstack(
        (random.random((150, 4)), random.random((40, 4)) * 0.3 + 0.7, np.array(list(ABSOLUTE)))
    )
    assert reach.nearest(press.lab(devices)).difference.max() < 0.1


def test_points_pushed_outward_are_not(press: IccOutput, reach: Reach) -> None:
    """Solids and overprints of two inks, half as far out again from the grey in the middle."""
    solids = press.lab([(1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 1, 1, 0), (1, 0, 1, 0), (1, 1, 0, 0)])
    pushed = reach.nearest(solids + (solids - [50, 0, 0]) * [0, 0.5, 0.5])
    assert pushed.difference.min() > LIMIT + press.error


def test_verdicts_agree_with_brute_force(press: IccOutput, reach: Reach) -> None:
    """1,000 random colours against all devices of a grid of 18 nodes an axis, as the embedded condition is tested."""
    random = np.random.default_rng(2027)
    printed = press.lab(random.random((300, 4)) * (random.random((300, 4)) < 0.6))
    outward = printed + (printed - [50, 0, 0]) * random.uniform(0, 0.5, (300, 1))
    anywhere = np.column_stack((random.uniform(0, 100, 700), random.uniform(-110, 110, (700, 2))))
    wanted = np.vstack((anywhere, outward))
    axis = np.arange(0, 256, 15) / 255
    labs = press.lab(np.stack(np.meshgrid(axis, axis, axis, axis), axis=-1).reshape(-1, 4))
    brute = between(wanted, labs[np.argmin(rough(wanted, labs), axis=1)])
    found = reach.nearest(wanted).difference
    sure = np.abs(brute - LIMIT) > press.error
    assert sure.sum() > 700
    assert ((found > LIMIT) == (brute > LIMIT))[sure].all()
    assert (found - brute)[brute < 13].max() < 0.05


def test_an_rgb_output(tmp_path: Path) -> None:
    """The profile of a screen that Pillow makes (IEC 61966-2-1), called a printer's: its colours are known in closed form."""
    from PIL.ImageCms import ImageCmsProfile, createProfile

    content = bytearray(ImageCmsProfile(createProfile("sRGB")).tobytes())
    content[12:16] = b"prtr"
    file = tmp_path / "rgb.icc"
    file.write_bytes(content)
    output = IccOutput(file, "relative")
    assert output.channels == ("R", "G", "B")
    devices = [(1, 1, 1), (1, 0, 0), (0, 1, 0), (0, 0, 1), (0.2, 0.4, 0.6), (0, 0.5019608, 0)]
    expected = np.array([srgb_to_lab(device) for device in devices])
    assert between(output.lab(devices), expected).max() < 0.1
    reach = Reach(output)
    assert reach.nearest(expected).difference.max() < 0.1
    assert reach.nearest([[50, -80, -60], [90, 60, 0]]).difference.min() > LIMIT


def test_another_connection_space(file: Path) -> None:
    """ps_cmyk.icc of the same package goes by XYZ: no ink is white, all inks are dark."""
    labs = IccOutput(file.with_name("ps_cmyk.icc"), "relative").lab([(0, 0, 0, 0), (1, 1, 1, 1)])
    assert labs[0] == pytest.approx([100, 0, 0], abs=0.5)
    assert labs[1, 0] < 10


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("srgb.icc", "class is mntr"),
        ("lab.icc", "class is spac"),
        ("absent.icc", "cannot be read: No such file"),
    ],
)
def test_wrong_and_missing_profiles(file: Path, name: str, told: str) -> None:
    with pytest.raises(ColourFileError, match=told) as raised:
        IccOutput(file.with_name(name))
    assert str(raised.value).startswith(str(file.with_name(name)))


@pytest.mark.parametrize("share", [0.0, 0.0005, 0.001, 0.5, 0.999])
def test_profiles_cut_short(file: Path, tmp_path: Path, share: float) -> None:
    content = file.read_bytes()
    short = tmp_path / "short.icc"
    short.write_bytes(content[: int(len(content) * share)])
    with pytest.raises(
        ColourFileError, match=r"short\.icc: (this is no ICC profile|the profile is cut short)"
    ):
        IccOutput(short)


def test_a_profile_of_grey_is_refused(file: Path, tmp_path: Path) -> None:
    content = bytearray(file.read_bytes())
    content[16:20] = b"GRAY"
    grey = tmp_path / "grey.icc"
    grey.write_bytes(content)
    with pytest.raises(ColourFileError, match="this one is GRAY"):
        IccOutput(grey)


def test_a_broken_table_of_colours(file: Path, tmp_path: Path) -> None:
    """The type of each table from devices to colours is overwritten."""
    content = bytearray(file.read_bytes())
    for at in range(132, 132 + 12 * int.from_bytes(content[128:132], "big"), 12):
        if content[at : at + 3] == b"A2B":
            place = int.from_bytes(content[at + 4 : at + 8], "big")
            content[place : place + 4] = b"oops"
    damaged = tmp_path / "damaged.icc"
    damaged.write_bytes(content)
    with pytest.raises(ColourFileError, match=r"damaged\.icc: LittleCMS cannot use the profile"):
        IccOutput(damaged)
