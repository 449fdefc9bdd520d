"""What the command imports: start-up is a feature, so the list is written down."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import preflight
from preflight.formats import preflight_renderers
from preflight.reports.on_demand import OnDemand

SQUARE = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">
<g id="kiss_cut"><path d="M10 10H40V40H10Z" fill="none" stroke="#000"/></g></svg>"""

PDF_SQUARE = b"""%PDF-1.7
1 0 obj << /Type /Catalog /Pages 2 0 R >> endobj
2 0 obj << /Type /Pages /Kids [3 0 R] /Count 1 >> endobj
3 0 obj << /Type /Page /Parent 2 0 R /MediaBox [0 0 99 99] /Contents 4 0 R /Resources << /Properties << /L 5 0 R >> >> >> endobj
4 0 obj << /Length 39 >> stream
/OC /L BDC 9 9 50 50 re S EMC
endstream endobj
5 0 obj << /Type /OCG /Name (Kiss cut) >> endobj
trailer << /Root 1 0 R >>
"""

VERSION_MAY_IMPORT = {
    *("click", "pluggy", "msgspec", "numpy", "shapely", "lxml", "preflight", "preflight_rules"),
    "typing_extensions",  # by msgspec, where it is installed
}
CHECK_MAY_IMPORT = VERSION_MAY_IMPORT | {"tinycss2", "cssselect2", "webencodings"}
PDF_MAY_IMPORT = {"pikepdf"}
"""What an SVG never brings in; pypdfium2 and Pillow wait for a font, an image or a picture."""
PIKEPDF_BRINGS = {"traceback"}

COSTLY = {"numpy.ma", "importlib.metadata", "email", "difflib", "tomllib", "traceback", "calendar"}
"""Parts of numpy and of the standard library that cost milliseconds and that a clean small file does not need."""

CHECK_LEAVES = {
    *("job.art_clearances", "job.art_edges", "job.near_lettering", "job.printing.printed", "job.marks.marks"),
    *("job.printing.painted_regions", "geometry.beside", "geometry.layering", "geometry.shapes"),
    *("colour.css_functions", "colour.spaces", "colour.lightness", "colour.gamut", "job.making.sheet"),
    *(
        "readers.svg.markers",
        "readers.svg.images",
        "readers.svg.text",
        "readers.pdf.read",
        "geometry.vertices",
    ),
    *(
        "reports.terminal",
        "reports.words",
        "reports.columns",
        "reports.sarif",
        "reports.junit",
        "reports.html.page",
        "profile.lines",
    ),
}
"""Our own modules that only art, marks, lettering, images, markers, functions of colour, other reports and profiles need."""

CHECK_COMPILES = {
    "readers.svg.beginning._DECLARED",
    "readers.svg.beginning._ROOT",
    "readers.svg.units._LENGTH",
}
"""Regular expressions that every SVG needs; the others are compiled by what first needs them."""

PROBE = """
import json, re, sys
before = set(sys.modules)
sys.argv = ["preflight", *{words}]
from preflight.cli import main
try:
    main()
except SystemExit as end:
    code = end.code
compiled = [
    f"{{name}}.{{key}}"
    for name, module in sys.modules.items()
    if name.startswith("preflight")
    for key, value in vars(module).items()
    if isinstance(value, re.Pattern)
]
print("\\n" + json.dumps({{"code": code, "modules": sorted(set(sys.modules) - before), "compiled": compiled}}))
"""


def brought(words: list[str], folder: Path) -> tuple[set[str], set[str]]:
    """Every module that the command brought in, and the regular expressions that our modules hold compiled."""
    (folder / "one.svg").write_text(SQUARE)
    (folder / "one.pdf").write_bytes(PDF_SQUARE)
    probe = subprocess.run(
        [sys.executable, "-c", PROBE.format(words=words)],
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert probe.returncode == 0, probe.stderr
    answer = json.loads(probe.stdout.splitlines()[-1])
    assert answer["code"] in (0, 1, None), (answer, probe.stderr)
    return set(answer["modules"]), set(answer["compiled"])


def packages(modules: set[str]) -> set[str]:
    """The top-level packages from outside the standard library among modules."""
    # setuptools' stand-ins for an editable install are no import
    # of ours, nor are the pieces of Cython inside lxml and shapely.
    own = ("__editable__", "_cython_", "cython_runtime")
    top = {name.partition(".")[0] for name in modules if not name.startswith(own)}
    return top - set(sys.stdlib_module_names)


@pytest.mark.parametrize(
    ("words", "allowed"),
    [
        (["--version"], VERSION_MAY_IMPORT),
        (["check", "one.svg", "--format", "json"], CHECK_MAY_IMPORT),
        (["check", "one.pdf", "--format", "json"], VERSION_MAY_IMPORT - {"lxml"} | PDF_MAY_IMPORT),
    ],
)
def test_the_command_imports_only_what_it_needs(words: list[str], allowed: set[str], tmp_path: Path) -> None:
    modules, _ = brought(words, tmp_path)
    assert packages(modules) - allowed == set()
    own = {
        name.removeprefix("preflight.commands.") for name in modules if name.startswith("preflight.commands.")
    }
    assert own == {words[0]} - {"--version"}
    # Baselines and git are asked for; a hook that asks for neither starts as fast as ever.
    assert {name for name in modules if name.startswith("preflight.known")} == set()
    assert modules & COSTLY - (PIKEPDF_BRINGS if "pikepdf" in modules else set()) == set()


def test_a_small_clean_file_leaves_the_rest_on_the_disk(tmp_path: Path) -> None:
    modules, compiled = brought(["check", "one.svg", "--format", "json"], tmp_path)
    assert modules & {f"preflight.{name}" for name in CHECK_LEAVES} == set()
    assert compiled == {f"preflight.{name}" for name in CHECK_COMPILES}


def test_what_is_left_on_the_disk_is_there() -> None:
    package = Path(preflight.__file__).parent
    for name in CHECK_LEAVES:
        assert package.joinpath(*name.split(".")).with_suffix(".py").is_file(), name


@pytest.mark.parametrize(("own", "told"), [({}, "1"), ({"OPENBLAS_NUM_THREADS": "3"}, "3")])
def test_threads_of_linear_algebra_are_told_before_numpy_comes(own: dict[str, str], told: str) -> None:
    # OpenBLAS asks for the variable once, when it is loaded (its user manual, "Setting the number of threads").
    code = """
import os, sys
from preflight.__main__ import run
assert "numpy" not in sys.modules
sys.argv = ["preflight", "--version"]
try:
    run()
finally:
    print(os.environ["OPENBLAS_NUM_THREADS"])
"""
    kept = {key: value for key, value in os.environ.items() if key != "OPENBLAS_NUM_THREADS"}
    answer = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
        env={**kept, **own},
    )
    assert answer.stdout.splitlines()[-1] == told


def test_what_stands_for_a_renderer_has_its_format_and_suffix() -> None:
    waiting = [one for one in preflight_renderers() if issubclass(one, OnDemand)]
    assert waiting
    for one in waiting:
        assert (one.format, one.suffix) == (one.real().format, one.real().suffix)
