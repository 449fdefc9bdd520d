"""By what each file of an audit is judged: the profile of its folder, the plug-ins, and one digest of it all."""

from __future__ import annotations

import hashlib
from pathlib import Path, PurePosixPath

import msgspec

from preflight.engine import Engine
from preflight.plugins import Plugins
from preflight.profile import Profile, load
from preflight.profile.source import found

from .messages import Setup
from .source import Source, paths_begin

__all__ = ["Judge", "Judges"]


class Judge(msgspec.Struct, frozen=True):
    """An engine, and the digest of everything that its answers rest on beside the file."""

    engine: Engine
    digest: str


class Judges:
    """Finds the judge of each file; each is made once.

    Raises
    ------
    ProfileError, ChoiceError, PluginError
        From every method: a profile, or something that it or the command line names, cannot be used.
    """

    def __init__(self, setup: Setup, source: Source) -> None:
        self._setup = setup
        self._source = source
        self._explicit = None if setup.profile is None else Path(setup.profile)
        self._by_profile: dict[Path | None, Judge] = {}
        self._by_folder: dict[Path | None, Judge] = {}

    def of(self, path: str) -> Judge:
        """The judge of the file at a path of the source."""
        folder = self._source.folder(path)
        if folder not in self._by_folder:
            self._by_folder[folder] = self._of_folder(folder or Path(self._setup.start))
        return self._by_folder[folder]

    def leave_out(self, path: str) -> bool:
        """Whether the profile of the file at a path of the source says that it is not checked."""
        folder = self._source.folder(path)
        shown = path if folder is None else str(folder / PurePosixPath(path).name)
        return self.of(path).engine.profile.excluded_by(shown) is not None

    def general(self) -> Judge:
        """The judge of what comes under no folder's own profile."""
        return self._of_folder(Path(self._setup.start))

    def all(self) -> list[Judge]:
        """Those asked for so far."""
        return list(self._by_profile.values())

    def _of_folder(self, folder: Path) -> Judge:
        profile = self._explicit or found(folder)
        if profile not in self._by_profile:
            self._by_profile[profile] = self._made(profile)
        return self._by_profile[profile]

    def _made(self, path: Path | None) -> Judge:
        profile = load(explicit=path)
        plugins = Plugins(profile.plugins.required, profile.plugins.rule_files)
        plugins.ask_all()
        engine = Engine(profile, plugins, self._setup.select, self._setup.ignore)
        uses = [(use.name, use.version) for use in plugins.uses]
        by: list[object] = [plugins.version, uses, profile.digest, self._setup.select, self._setup.ignore]
        by.append(self._glob_places(profile))
        return Judge(engine, hashlib.sha256(msgspec.json.encode(by)).hexdigest())

    def _glob_places(self, profile: Profile) -> list[str | None]:
        """Where the globs of overrides are written, seen from where the paths of files begin: the digest of a profile is the same
        wherever it lies, and the files that its overrides fit are not.
        """
        begin = paths_begin(self._setup.root, self._setup.start)
        written = [one.file.parent for one in profile.overrides if any("/" in glob for glob in one.files)]
        return [_place(folder.resolve(), begin.resolve()) for folder in written]


def _place(folder: Path, begin: Path) -> str | None:
    """The way between two folders, one of which holds the other; None where neither does, and no path is counted from the folder."""
    if folder.is_relative_to(begin):
        return f"down {folder.relative_to(begin).as_posix()}"
    return f"up {begin.relative_to(folder).as_posix()}" if begin.is_relative_to(folder) else None
