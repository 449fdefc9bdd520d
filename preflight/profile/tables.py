"""The tables of a shop profile: every value with its unit, default, basis and reason. Knows no file and no rule."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Self

from .errors import SettingError
from .settings import Basis, Setting, SettingsTable, choice, count, flag, mm, names

__all__ = [
    "LEVELS",
    "TABLES",
    "Colours",
    "Cutter",
    "Files",
    "JobTable",
    "Limits",
    "Marks",
    "Media",
    "Names",
    "Output",
    "Override",
    "Plugins",
    "Step",
    "default_steps",
    "setting_of_level",
]

LEVELS = ("error", "warning", "note")
"""SARIF 2.1.0's words."""


def _optional(unit: str, example: Any, reason: str, basis: Basis = Basis.ASSUMPTION, **more: Any) -> Any:
    return Setting(unit, None, reason, basis, example=example, **more)


class JobTable(SettingsTable):
    """How the artwork is to be made: final size, number, what is expected of it."""

    scale = _optional(
        "scale",
        10,
        'how many times the size drawn it is made at, also "1:10" or "200 %"; none takes the size the file says, '
        "which is then confirmed by nobody",
        least=1e-4,
    )
    width = _optional(
        "mm", 600.0, "final width of the page, instead of scale; none keeps the size the file says", least=0.1
    )
    rotate: Any = Setting(
        "degrees",
        0.0,
        "quarter turns or any angle, clockwise, as the copies lie on the roll",
        Basis.ASSUMPTION,
        -360.0,
    )
    copies = count(1, "one copy unless more are asked for", least=1)
    spacing = mm(3.0, "0.125 in between pieces is customary on rolls and sheets", Basis.COMMON_PRACTICE)
    expects_cut = flag(True, "print-and-cut work has a cut line; false for jobs that are only printed")

    @classmethod
    def parsed(cls, raw: Mapping[str, object]) -> Self:
        """As any table; ``scale`` and ``width`` say the same thing, so only one of them is taken."""
        table = super().parsed(raw)
        if table.scale is not None and table.width is not None:
            raise SettingError("scale and width both state the final size; take one of them out", "width")
        return table


class Media(SettingsTable):
    """The roll or sheet that is printed on."""

    width = _optional("mm", 1370.0, "no international standard of roll widths exists, so none is assumed")
    side_margin = mm(
        25.0, "at least 25 mm left and right, from a university workshop's cutter page", Basis.EDUCATION
    )
    lead_margin = mm(50.0, "a margin is left for feeding and laminating; the figure has no source")
    tail_margin = mm(50.0, "a margin is left for feeding and laminating; the figure has no source")


class Cutter(SettingsTable):
    """The machine that cuts."""

    width = _optional(
        "mm", 1244.6, "working width; 49 in is an example of a mid-size cutter, none is assumed"
    )
    speed: Any = Setting(
        "speeds", {}, "cutting speed by step; no time is estimated for a step without", Basis.ASSUMPTION
    )
    lift_time: Any = Setting(
        "s", 0.2, "time to lift, move on and set down the knife once; no source", Basis.ASSUMPTION
    )
    knife_offset = mm(0.25, "the tip trails the swivel axis by 0.2 to 0.5 mm as a rule; from memory")


class Step(SettingsTable):
    """One processing step: how it is recognised and how bad its faults are."""

    names = names(
        (),
        "the step's ISO 19593-1 name always counts; beside it, by default, plain trade words",
        Basis.COMMON_PRACTICE,
    )
    strokes = Setting(
        "colours", (), "exact stroke colours that mean the step; none by default", Basis.ASSUMPTION
    )
    level = _optional(
        "choice", "warning", "level of all findings on this step; none keeps each rule's", choices=LEVELS
    )


class Marks(SettingsTable):
    """Registration marks that the cutter reads."""

    names = names(
        ("registration mark", "registration marks", "register mark", "register marks"),
        "plain trade words; a shop adds its own",
    )
    count = Setting(
        "count or auto", "auto", "none or four, one near each corner; no single source", Basis.COMMON_PRACTICE
    )
    size = _optional("mm", 5.0, "size of one mark; not judged unless set")
    quiet_zone = mm(5.0, "nothing printed or cut this near a mark that is read optically")
    contrast: Any = Setting(
        "ratio",
        50.0,
        "least difference in lightness L* to the film: black has 79, half black 34; what a reader needs has no source",
        Basis.ASSUMPTION,
    )


class Output(SettingsTable):
    """What the printer can print."""

    icc_profile = _optional("text", "printer.icc", "path of the output profile, from this file's folder")
    rendering_intent = choice(
        "relative colorimetric",
        ("relative colorimetric", "absolute colorimetric"),
        "named colours are judged against the film's own white",
    )
    tolerance: Any = Setting(
        "ΔE00", 3.0, "a named colour farther than this is called out of reach", Basis.ASSUMPTION
    )
    ink_limit: Any = Setting(
        "%",
        300.0,
        "total area coverage stated for a premium coated offset condition (PSO Coated v3)",
        Basis.STANDARD,
    )


class Colours(SettingsTable):
    """Named colours of the shop."""

    libraries = names((), "paths of colour libraries, from this file's folder; none by default")


class Names(SettingsTable):
    """Names of layers and colours that are neither artwork nor cut."""

    white = names(("White",), "ISO 19593-1 group name", Basis.STANDARD)
    varnish = names(("Varnish", "Primer"), "ISO 19593-1 group names", Basis.STANDARD)
    information = names(
        ("Dimensions", "Legend", "Braille", "Positions"), "ISO 19593-1 group names", Basis.STANDARD
    )
    ignored = names((), "nothing is left out of judgement unless the shop says so")


class Plugins(SettingsTable):
    """Plug-ins without which no file is judged, and rules of the house."""

    required = names((), "no plug-in beside the built-in rules is required unless named")
    rule_files = names((), "Python files with the shop's own rules, from this file's folder")


class Files(SettingsTable):
    """Which files are checked."""

    exclude = names(
        (),
        "globs of files that check leaves out though they are named, from this file's folder; archive/** is a folder and all in it",
    )


class Limits(SettingsTable):
    """What one file may cost before it is given up as unreadable; all well above real jobs."""

    file_size = Setting("bytes", 128 * 2**20, "size of the file as stored", Basis.ASSUMPTION)
    decompressed_size = Setting("bytes", 128 * 2**20, "size after unpacking", Basis.ASSUMPTION)
    entity_text = count(1_000_000, "characters that internal entities may add")
    elements = count(1_000_000, "elements in the document")
    nesting = count(500, "elements inside one another")
    use_expansion = count(200_000, "elements visited through references")
    path_segments = count(5_000_000, "segments on the page")
    objects = count(500_000, "objects on the page")
    operators = count(
        1_500_000,
        "operators, names, texts and every second letter of a PDF's content, each time it is drawn; "
        "twice what a million segments or a catalogue of 200 pages take",
    )
    pages = count(2_000, "pages of one file")
    image_pixels = count(500_000_000, "pixels of one image")
    coordinate = mm(100_000.0, "a coordinate farther from the origin is taken for a fault")
    seconds = Setting("s", 60.0, "time for reading one file", Basis.ASSUMPTION)


class Override(SettingsTable):
    """Rules that are silenced or set to another level for some files."""

    files = names(
        (), "globs from this file's folder; ** crosses folders, a glob without / matches the file's name"
    )
    rules = names((), "ids of the rules")
    level = choice("off", (*LEVELS, "off"), "off silences them")
    reason = Setting("text", "", "why; required", Basis.ASSUMPTION)


TABLES: dict[str, type[SettingsTable]] = {
    "files": Files,
    "job": JobTable,
    "media": Media,
    "cutter": Cutter,
    "marks": Marks,
    "names": Names,
    "output": Output,
    "colours": Colours,
    "plugins": Plugins,
    "limits": Limits,
}
"""The plain tables. Beside them: [steps.NAME], [rules.ID], [[overrides]]."""

_STEP_NAMES: dict[str, tuple[str, ...]] = {
    # Keys: those ISO 19593-1 Structural types that a tool follows along a line (Arlington PDF model).
    # Its types for areas (Gluing, Embossing, Bleed, VarnishFree …) are no cuts: a layer called "Bleed" holds art.
    "Cutting": ("through cut", "die cut", "die line"),
    "PartialCutting": ("kiss cut", "half cut"),
    "ReversePartialCutting": (),
    "Perforating": ("perforation",),
    "Creasing": ("crease", "score"),
    "ReverseCreasing": (),
    "Folding": ("fold",),
    "CuttingCreasing": (),
    "ReverseCuttingCreasing": (),
    "PartialCuttingCreasing": (),
    "ReversePartialCuttingCreasing": (),
    "Drilling": (),
    "Punching": (),
}


def default_steps() -> dict[str, tuple[str, ...]]:
    """Step to its default trade names; the step's own ISO name always counts beside them."""
    return dict(_STEP_NAMES)


def setting_of_level(default: str) -> Setting:
    """The ``level`` of [rules.ID]."""
    return Setting("choice", default, "the rule's own level", Basis.ASSUMPTION, choices=(*LEVELS, "off"))
