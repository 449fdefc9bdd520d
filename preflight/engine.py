"""One file in, one FileReport out: read, place, judge. Knows no format, no rule and no output."""

from __future__ import annotations

import hashlib
import time
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import msgspec

from preflight.artwork import Artwork
from preflight.drawings import drawing
from preflight.fingerprints import fingerprinted
from preflight.in_force import InForce
from preflight.job import Job
from preflight.page_reports import page_report
from preflight.plugins import Plugins
from preflight.profile import Profile, ProfileError
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.reader import Reader
from preflight.reports.report import (
    BaselineUse,
    Drawing,
    FileReport,
    ProfileUse,
    Report,
    Tool,
)
from preflight.rule import Finding, Level, ObjectReference, Rule
from preflight.waiver_file import WaiverFile, waiver_file
from preflight.waivers import waived

__all__ = ["Checked", "Engine", "check_bytes", "check_file", "too_large"]

RULE_FAILED = "rule-failed"

QUICK = 0.5
"""Seconds that the picture of a page may take without being counted: a file may have any number of pages, if they are drawn as
people draw. A project assumption."""


class Checked(msgspec.Struct, frozen=True):
    """One file's report and what it was made from, for renderers that draw.

    ``short_of_memory`` tells that this is why the file is unreadable.
    """

    report: FileReport
    data: bytes = b""
    reader: Reader | None = None
    jobs: tuple[Job, ...] = msgspec.field(default=())
    limits: Limits = msgspec.field(default_factory=Limits)
    short_of_memory: bool = False

    def drawings(self) -> tuple[Drawing, ...]:
        """A picture of each page with its cut contours.

        Once pictures that take long have taken ``limits.seconds`` together, the pages that are left have none.
        """
        if self.reader is None:
            return ()
        drawn: list[Drawing] = []
        late = 0.0
        for job in self.jobs:
            picture = None
            if late < self.limits.seconds:
                begun = time.monotonic()
                picture = self.reader.picture(self.data, job.artwork.page.number, self.limits)
                late += max(0.0, time.monotonic() - begun - QUICK)
            drawn.append(drawing(job, picture))
        return tuple(drawn)


class Engine:
    """Checks files by one profile with one set of plug-ins.

    Parameters
    ----------
    profile, plugins : what to judge by; the profile's rule settings are validated against the plug-ins' rules.
    select, ignore : names of rules and of groups; an empty ``select`` means all.

    Raises
    ------
    ProfileError
        The profile names a rule or setting that does not exist, or gives it a value it cannot take.
    ChoiceError
        ``select`` or ``ignore`` name what is always reported, or no rule and no group.
    """

    def __init__(
        self,
        profile: Profile,
        plugins: Plugins | None = None,
        select: Sequence[str] = (),
        ignore: Sequence[str] = (),
    ) -> None:
        self.profile = profile
        self.plugins = plugins or Plugins(profile.plugins.required, profile.plugins.rule_files)
        profile.validate_rules(self.plugins.rules)
        self._in_force = InForce(profile, self.plugins.rules, select, ignore)
        self._choosable = [id_ for id_, rule in self.plugins.rules.items() if not rule.by_engine]

    @property
    def limits(self) -> Limits:
        """What a stranger's file may cost."""
        return Limits.of(self.profile.limits.values())

    def report(self, checked: Sequence[Checked], baseline: BaselineUse | None = None) -> Report:
        """The report over several files, in the order given; with the baseline they were held against, if any."""
        tool = Tool("artwork-preflight", self.plugins.version, tuple(self.plugins.uses))
        profile = ProfileUse(self.profile.name, self.profile.digest)
        return Report.of(tool, profile, tuple(one.report for one in checked), self._in_force.uses(), baseline)

    def check_file(self, path: Path, shown: str | None = None) -> Checked:
        """Check a file on disk. ``shown`` is the path as the report prints it."""
        name = shown or path.as_posix()
        try:
            data = _read(path, self.limits)
        except Unreadable as problem:
            return Checked(_unreadable(name, None, None, problem))
        return self.check_bytes(data, name, path.parent)

    def check_bytes(
        self, data: bytes, name: str, folder: Path | None = None, waivers: WaiverFile | None = None
    ) -> Checked:
        """Check a file's content. ``folder`` is where its linked images and its waiver file are looked for.

        ``waivers`` stand instead of those of the waiver file.
        """
        digest = hashlib.sha256(data).hexdigest()
        try:
            return self._checked(data, digest, name, folder, waivers)
        except MemoryError:
            return Checked(_unreadable(name, digest, None, too_large()), short_of_memory=True)

    def _checked(
        self, data: bytes, digest: str, name: str, folder: Path | None, waivers: WaiverFile | None
    ) -> Checked:
        """The answer to a file's content.

        Raises
        ------
        MemoryError
            Reading or judging it takes more than there is.
        """
        reader: Reader | None = None
        try:
            reader = self._reader_of(data, name)
            artworks = self._at_final_size(reader.read(data, name, self.limits, folder))
        except Unreadable as problem:
            return Checked(_unreadable(name, digest, reader, problem))
        except MemoryError:
            raise
        except Exception as error:  # our bug on a stranger's file must not take the others down
            return Checked(_unreadable(name, digest, reader, _our_fault(error)))
        rules = tuple(self._in_force.judging(name))
        settings = {rule.id: rule.settings for rule in rules}
        jobs = tuple(Job(artwork, self.profile, settings) for artwork in artworks)
        found = {job.artwork.page.number: self._findings(job, rules) for job in jobs}
        beside = waivers or waiver_file(folder, name)
        if beside is not None:
            marked = beside.applied(found, list(settings), self._choosable)
            found = {number: _in_order(findings) for number, findings in marked.items()}
        report = FileReport(
            path=name,
            sha256=digest,
            format=reader.format,
            status="checked",
            rules_off=self._in_force.off(name),
            pages=tuple(page_report(job, found[job.artwork.page.number]) for job in jobs),
        )
        return Checked(report, data, reader, jobs, self.limits)

    def read(self, path: Path) -> tuple[str, tuple[Job, ...]]:
        """Format and jobs of a file, unjudged.

        Raises
        ------
        Unreadable
        """
        data = _read(path, self.limits)
        return self.read_bytes(data, path.as_posix(), path.parent)

    def read_bytes(self, data: bytes, name: str, folder: Path | None = None) -> tuple[str, tuple[Job, ...]]:
        """Format and jobs of a file's content, unjudged.

        Raises
        ------
        Unreadable
        """
        reader = self._reader_of(data, name)
        artworks = self._at_final_size(reader.read(data, name, self.limits, folder))
        return reader.format, tuple(Job(artwork, self.profile) for artwork in artworks)

    def _at_final_size(self, artworks: Sequence[Artwork]) -> Sequence[Artwork]:
        """The pages as large as the job makes them: before any distance is judged.

        Raises
        ------
        Unreadable
        """
        job = self.profile.job
        if job.scale is None and job.width is None:
            return artworks
        from preflight.job.making.final_size import FinalSizeError, at_final_size, final_factor

        made = []
        for one in artworks:
            try:
                factor = final_factor(one.page, job.scale, job.width, self.profile.limits.coordinate)
            except FinalSizeError as problem:
                mend = "State another scale or width: on the command line, or under [job] in the profile."
                raise Unreadable(str(problem), f"page {one.page.number}", mend) from None
            made.append(at_final_size(one, factor))
        return made

    def _reader_of(self, data: bytes, name: str) -> Reader:
        """The reader for the content; the suffix only decides whose words explain what cannot be read."""
        if not data.strip():
            raise Unreadable("The file is empty", mend="Export it again from the drawing program.")
        for reader in self.plugins.readers:
            if reader.sniff(data):
                return reader
        for reader in self.plugins.readers:
            if name.lower().endswith(reader.suffixes):
                return reader
        known = ", ".join(reader.format.upper() for reader in self.plugins.readers) or "none"
        raise Unreadable(
            f"The content is of no format that can be read ({known})", mend="Save it as SVG or PDF."
        )

    def _findings(self, job: Job, rules: Sequence[Rule]) -> list[Finding]:
        """What the rules find on a page, with fingerprints, the worst first; waivers in the artwork applied."""
        found = [finding for rule in rules for finding in _judged(rule, job)]
        judging = {rule.id for rule in rules}
        findings = list(waived(found, job, judging, self._choosable))
        findings = [msgspec.structs.replace(one, page=job.artwork.page.number) for one in findings]
        return _in_order(self._at_step_levels(findings, job))

    def _at_step_levels(self, findings: Sequence[Finding], job: Job) -> Iterator[Finding]:
        """The findings, each at the level its step asks for, where all its objects belong to steps that ask for one."""
        wanted = {
            name: Level(step.level) for name, step in self.profile.steps.items() if step.level is not None
        }
        asked = {
            item.reference.ref: wanted[item.assignment.step]
            for item in (job.items if wanted else ())
            if item.assignment.step in wanted
        }
        for finding in findings:
            levels = [asked.get(reference.ref) for reference in finding.objects]
            if levels and all(levels) and finding.rule in self._choosable:
                level = min((level for level in levels if level), key=lambda level: level.rank)
                yield msgspec.structs.replace(finding, level=level)
            else:
                yield finding


def check_file(
    path: Path | str, profile: Profile | None = None, plugins: Plugins | None = None
) -> FileReport:
    """Check one file; the profile is the default one unless given."""
    return Engine(profile or Profile.default(), plugins).check_file(Path(path)).report


def check_bytes(
    data: bytes,
    name: str,
    profile: Profile | None = None,
    plugins: Plugins | None = None,
    folder: Path | None = None,
) -> FileReport:
    """Check a file's content; the profile is the default one unless given."""
    return Engine(profile or Profile.default(), plugins).check_bytes(data, name, folder).report


def _read(path: Path, limits: Limits) -> bytes:
    try:
        if path.is_dir():
            raise Unreadable(
                "It is a folder, not a file",
                mend="Name the artwork files in it, or check all of them with preflight audit.",
            )
        size = path.stat().st_size
        if size > limits.file_size:
            raise Unreadable(
                f"The file is {size / 1e6:.0f} MB, above the limit of {limits.file_size / 1e6:.0f} MB",
                mend="Link images instead of embedding them, or raise [limits] file_size in the profile.",
            )
        return path.read_bytes()
    except FileNotFoundError:
        raise Unreadable("There is no such file", mend="Check the path for a slip of the pen.") from None
    except PermissionError:
        raise Unreadable(
            "It may not be opened: permission denied", mend="Ask its owner for leave to read it."
        ) from None
    except OSError as error:
        raise Unreadable(
            f"It cannot be opened: {error.strerror or error}", mend="Check the disk or share."
        ) from None


def too_large() -> Unreadable:
    """That a file needs more memory than there is."""
    return Unreadable(
        "Checking it takes more memory than this process may have",
        mend="Simplify the artwork, or check it on a machine, or under a limit, with more memory.",
    )


def _our_fault(error: Exception) -> Unreadable:
    where = _raised_at(error)
    return Unreadable(
        f"The reader failed on it, which is a fault of this program ({type(error).__name__}: {error}; {where})",
        mend="Report it with the file; until then export the artwork anew and try again.",
    )


def _raised_at(error: Exception) -> str:
    """File and line where an exception arose."""
    import traceback

    last = traceback.extract_tb(error.__traceback__)[-1]
    return f"{Path(last.filename).name}:{last.lineno}"


def _unreadable(name: str, digest: str | None, reader: Reader | None, problem: Unreadable) -> FileReport:
    return FileReport(
        path=name,
        sha256=digest,
        format=None if reader is None else reader.format,
        status="unreadable",
        reason=problem.what + (f" ({problem.place})" if problem.place else ""),
        hint=problem.mend or None,
    )


def _judged(rule: Rule, job: Job) -> list[Finding]:
    """The rule's findings, or one that says the rule failed."""
    if rule.needs is not None and not job.in_role(rule.needs).any():
        return []
    try:
        return list(rule.check(job))
    except (
        ProfileError,
        MemoryError,
    ):  # no rule's fault: a file that the profile names cannot be used; no room
        raise
    except Exception as error:  # a rule's bug must not hide what the other rules find
        return [
            Finding(
                rule=RULE_FAILED,
                level=Level.ERROR,
                message=f"Rule {rule.id} failed on this page: {type(error).__name__}: {error} "
                f"({_raised_at(error)}). What it would have found is not known.",
                hint="This is a fault of the rule, not of the file: report it to the rule's author.",
                objects=(ObjectReference(rule.id, None, "rule"),),
            )
        ]


def _in_order(findings: Iterable[Finding]) -> list[Finding]:
    """The findings of a page, the worst first, with their fingerprints."""
    return list(fingerprinted(sorted(findings, key=_worst_first)))


def _worst_first(finding: Finding) -> tuple[object, ...]:
    x0, y0, *_ = finding.bounds_mm or (-1.0, -1.0)
    return finding.level.rank, finding.rule, y0, x0, finding.message
