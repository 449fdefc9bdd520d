"""A report by the engine itself, with a rule that breaks down, for the tests of the formats that servers read."""

from __future__ import annotations

from pathlib import Path

from preflight.engine import Engine
from preflight.plugins import Plugins
from preflight.profile import load
from preflight.reports.report import Report

OPEN = """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">
<g id="kiss_cut">
<path id="slit" d="M10 10H40V40" fill="none" stroke="#000"/>
<path id="tea" data-preflight-waive="contour-open: slit for the string" d="M10 50H40V55" fill="none" stroke="#000"/>
</g></svg>"""

WAIVERS = """[[waivers]]
rule = "contour-open"
reason = "the ferry's gangway stays open"
at = ["25 mm", "25 mm"]
within = "40 mm"
"""

PROFILE = """[plugins]
rule_files = ["house.py"]
[rules.corner-tight]
level = "note"
least_radius = "0.7 mm"
[rules.node-excess]
level = "off"
"""

HOUSE = '''from preflight.rule import Rule

class Breaks(Rule):
    """A rule that breaks down.

    What it finds
    -------------
    Nothing {of} any kind.

    Why it matters
    --------------
    It does not.

    Known limits
    ------------
    It always breaks down.

    How to mend it
    --------------
    Take it out.
    """

    id = "house-breaks"

    def check(self, job):
        raise RuntimeError("the tea is [cold](x) {0}")
'''


def checked(folder: Path, waivers: bool = False) -> tuple[Report, Plugins]:
    """A report on an SVG with two open cuts, one waived in the artwork, and on a file that is not there.

    Parameters
    ----------
    waivers : whether a waiver file beside the artwork waives the other one.
    """
    (folder / "preflight.toml").write_text(PROFILE)
    (folder / "house.py").write_text(HOUSE)
    (folder / "open.svg").write_text(OPEN)
    if waivers:
        (folder / "open.waivers.toml").write_text(WAIVERS)
    engine = Engine(load(folder))
    files = [engine.check_file(folder / name, name) for name in ("open.svg", "gone.svg")]
    return engine.report(files), engine.plugins
