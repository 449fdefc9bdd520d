"""What every command begins with: the profile that counts, the plug-ins, the engine. Ends the process where one cannot be had."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from preflight.options import job_values
from preflight.output import fail, tell

if TYPE_CHECKING:
    from preflight.engine import Engine
    from preflight.job import Job
    from preflight.plugins import Plugins
    from preflight.profile import Profile
    from preflight.readers.errors import Unreadable

__all__ = ["STDIN", "each_read", "engine_for", "installed_plugins", "names_given", "once", "tell_failures"]

STDIN = "-"
"""The file name that stands for what comes through a pipe."""


def installed_plugins() -> Plugins:
    """The plug-ins installed, for what needs no profile."""
    from preflight.plugins import PluginError, Plugins

    try:
        return Plugins()
    except PluginError as error:
        fail(str(error))


def once(files: Sequence[str]) -> list[str]:
    """The files in their order, each once; those named again are told on stderr."""
    kept: dict[str, str] = {}
    for name in files:
        path = Path(name).as_posix()
        if path in kept:
            tell(f"{name} is named more than once and taken once")
        kept.setdefault(path, name)
    return list(kept.values())


def engine_for(
    files: Sequence[str],
    profile_path: Path | None,
    select: Sequence[str] = (),
    ignore: Sequence[str] = (),
    job: Mapping[str, str | None] | None = None,
) -> Engine:
    """The engine for files, by the one profile that they come under, with what the command line says beside it."""
    from preflight.engine import Engine
    from preflight.in_force import ChoiceError
    from preflight.profile import ProfileError

    try:
        chosen = _made_as_said(_profile(files, profile_path), job or {})
        plugins = _plugins_of(chosen)
        return Engine(chosen, plugins, names_given("--select", select), names_given("--ignore", ignore))
    except (ProfileError, ChoiceError) as error:
        fail(str(error))


def each_read(
    files: Sequence[str], profile_path: Path | None, stdin_name: str, job: Mapping[str, str | None]
) -> Iterator[tuple[str, tuple[str, tuple[Job, ...]] | Unreadable]]:
    """Each file by its name in reports, with its format and jobs, or why it cannot be read, which is told on stderr."""
    from preflight.readers.errors import Unreadable

    files = once(files)
    engine = engine_for(files, profile_path, job=job)
    tell_failures(engine.plugins)
    for name in files:
        shown = stdin_name if name == STDIN else Path(name).as_posix()
        try:
            if name == STDIN:
                yield shown, engine.read_bytes(sys.stdin.buffer.read(), shown)
            else:
                yield shown, engine.read(Path(name))
        except Unreadable as problem:
            tell(f"{shown}: {problem}")
            yield shown, problem


def _made_as_said(profile: Profile, job: Mapping[str, str | None]) -> Profile:
    """The profile, with what the command line says of final size and copies."""
    said = job_values(job)
    if not said:
        return profile
    from preflight.profile.errors import SettingError

    try:
        return profile.with_job(said, "--{key} on the command line")
    except SettingError as error:
        fail(f"--{error.setting}: {error.told}")


def _plugins_of(profile: Profile) -> Plugins:
    """The plug-ins installed and those that the profile asks for, each asked for all it brings."""
    from preflight.plugins import PluginError, Plugins

    try:
        plugins = Plugins(profile.plugins.required, profile.plugins.rule_files)
        plugins.ask_all()
    except PluginError as error:
        place = profile.origins.get(error.key or "")
        fail(f"{place}: {error.key}: {error}" if place else str(error))
    return plugins


def _profile(files: Sequence[str], explicit: Path | None) -> Profile:
    """The one profile that all the files come under."""
    from preflight.profile import ProfileError, load

    starts = dict.fromkeys(Path.cwd() if name == STDIN else _folder_of(Path(name)) for name in files)
    profiles = [load(start, explicit) for start in starts or {Path.cwd(): None}]
    for start, other in zip(list(starts)[1:], profiles[1:], strict=True):
        if (other.digest, other.glob_folders) != (profiles[0].digest, profiles[0].glob_folders):
            raise ProfileError(
                f"the files in {next(iter(starts))} come under {_told(profiles[0])}, those in {start} under "
                f"{_told(other)}; check them apart, or name one profile for all with --profile"
            )
    return profiles[0]


def _told(profile: Profile) -> str:
    return "the default profile" if profile.name == "default" else f"a {profile.name} of their own"


def _folder_of(path: Path) -> Path:
    return path.resolve() if path.is_dir() else path.resolve().parent


def names_given(option: str, given: Sequence[str]) -> list[str]:
    """The names that an option was given, once or several times, with commas or without."""
    names = [name.strip() for text in given for name in text.split(",")]
    if not all(names):
        fail(f"{option} {','.join(given)!r}: name a rule or group there; preflight explain lists them")
    return names


def tell_failures(plugins: Plugins) -> None:
    """Say on stderr which plug-ins are not used, and why."""
    for failure in plugins.failures:
        tell(f"plug-in {failure.plugin} is not used: {failure.message}")
