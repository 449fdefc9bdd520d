"""Where the files of an audit lie: a folder, an archive, or anything else that fsspec reaches. Knows no artwork."""

from __future__ import annotations

import json
import lzma
import os
import stat
import zipfile
import zlib
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Protocol

import msgspec

from preflight.readers.errors import Unreadable

from .months import month_of_facts, month_of_seconds

__all__ = ["Away", "Found", "LocalFolder", "Source", "SourceError", "paths_begin", "source_of"]


class SourceError(Exception):
    """The place cannot be audited, with the mend."""


class Away(Unreadable):
    """A file that the place does not give now, and may the next time: what stands in the way does not lie in the file."""


class Found(msgspec.Struct, frozen=True):
    """A file, or a folder that cannot be looked into.

    Attributes
    ----------
    path : from the root, with forward slashes; what could not be written down is made visible.
    stamp : differs when the file does: its size, date or checksum, as far as the place tells them.
    month : of its last change, ``2026-11``, in UTC; None where the place does not tell, or tells a date that there is not.
    problem : why it cannot be checked, with the mend, known without opening it.
    """

    path: str
    stamp: str
    month: str | None = None
    problem: tuple[str, str] | None = None


class Source(Protocol):
    """A place with files."""

    def walk(self, suffixes: Sequence[str], leave_out: Path | None = None) -> Iterator[Found]:
        """Every file whose name ends so, whatever its case, in no particular order.

        Parameters
        ----------
        leave_out : a local folder that is not looked into: the audit's own.

        Raises
        ------
        SourceError
        """
        ...

    def stamp(self, path: str) -> str | None:
        """What the file looks like now; None where there is none."""
        ...

    def read(self, path: str, most: int) -> bytes:
        """Its content.

        Raises
        ------
        Away
            It cannot be had now.
        Unreadable
            It cannot be opened, or is larger than ``most`` bytes.
        """
        ...

    def folder(self, path: str) -> Path | None:
        """The local folder that the file lies in; None where it lies in none."""
        ...


def paths_begin(root: str, start: str) -> Path:
    """The folder from which patterns of a profile take the paths of an audit to be written: the one audited, if it is one."""
    folder = Path(root)
    return folder if folder.is_dir() else Path(start)


def source_of(root: str) -> Source:
    """The place that a path or URL stands for.

    Raises
    ------
    SourceError
        There is nothing there, or it is of no kind that can be audited.
    """
    if "://" in root or "::" in root:
        return _by_fsspec(root)
    path = Path(root)
    if path.is_dir():
        return LocalFolder(path)
    if not path.exists():
        raise SourceError(f"{root}: there is no such folder, archive or URL; correct it")
    if path.suffix.lower() == ".zip":
        return _by_fsspec(f"zip://::{path.resolve().as_uri()}", shown=root)
    raise SourceError(
        f"{root} is a file: name the folder it lies in, or check it by itself with preflight check"
    )


class LocalFolder:
    """A folder of this machine. Links to files are followed, links to folders are not: they may run in a circle."""

    def __init__(self, root: Path) -> None:
        self._root = root.resolve()

    def walk(self, suffixes: Sequence[str], leave_out: Path | None = None) -> Iterator[Found]:
        """As `Source.walk`."""
        aside = None if leave_out is None else str(leave_out.resolve())
        waiting = [str(self._root)]
        while waiting:
            folder = waiting.pop()
            try:
                with os.scandir(folder) as entries:
                    for entry in entries:
                        if entry.is_dir(follow_symlinks=False):
                            if entry.path != aside:
                                waiting.append(entry.path)
                        elif _leads_to_folder(entry):
                            yield self._problem(entry.path, _LINK)
                        elif entry.name.lower().endswith(tuple(suffixes)):
                            yield self._found(entry)
            except OSError as error:
                if folder == str(self._root):
                    raise SourceError(f"{folder} cannot be looked into: {error.strerror or error}") from None
                told = f"The folder cannot be looked into: {error.strerror or error}"
                yield self._problem(folder, (told, "Ask its owner for leave to read it, or take it away."))

    def _found(self, entry: os.DirEntry[str]) -> Found:
        try:
            facts = entry.stat()
        except OSError:
            return self._problem(
                entry.path, ("It is a link that leads nowhere", "Mend the link, or take it away.")
            )
        if not stat.S_ISREG(facts.st_mode):
            return self._problem(
                entry.path, ("It is no regular file", "Take it away, or put a file in its place.")
            )
        path = self._path(entry.path)
        if path != _visible(path):
            told = "Its name is no valid text (UTF-8)", "Rename the file."
            return self._problem(entry.path, told)
        return Found(path, _local_stamp(facts), month_of_seconds(facts.st_mtime))

    def _problem(self, path: str, told: tuple[str, str]) -> Found:
        return Found(_visible(self._path(path)), told[0], None, told)

    def _path(self, path: str) -> str:
        return Path(path).relative_to(self._root).as_posix()

    def stamp(self, path: str) -> str | None:
        """As `Source.stamp`."""
        try:
            return _local_stamp((self._root / path).stat())
        except (OSError, ValueError):
            return None

    def read(self, path: str, most: int) -> bytes:
        """As `Source.read`."""
        try:
            with (self._root / path).open("rb") as file:
                return _within(file.read(most + 1), most)
        except OSError as error:
            raise Away(*_closed(error.strerror or str(error))) from None

    def folder(self, path: str) -> Path | None:
        """As `Source.folder`."""
        return (self._root / path).parent


def _leads_to_folder(entry: os.DirEntry[str]) -> bool:
    try:
        return entry.is_dir()
    except OSError:  # it leads to itself, or to where nobody may look
        return False


_LINK = (
    "It is a link to a folder, and those are not followed, for they may run in a circle",
    "Audit the folder it leads to as well, or put it in the link's place.",
)


def _local_stamp(facts: os.stat_result) -> str:
    # The time of the last change of its state tells of a mended permission as well.
    return f"{facts.st_size} {facts.st_mtime_ns} {facts.st_ctime_ns}"


class _FileSystem:
    """Files that fsspec reaches: in an archive, on a server, in a store of objects."""

    def __init__(self, files: Any, root: str, shown: str) -> None:
        self._files = files
        self._root = root.rstrip("/")
        self._shown = shown

    def walk(self, suffixes: Sequence[str], leave_out: Path | None = None) -> Iterator[Found]:
        """As `Source.walk`; ``leave_out`` is no part of it."""
        try:
            listed = self._files.find(self._root, detail=True)
        except Exception as error:  # each kind of place has errors of its own
            raise SourceError(f"{self._shown} cannot be listed: {_told(error)}") from None
        for name, facts in listed.items():
            if name.lower().endswith(tuple(suffixes)):
                path = name.removeprefix(self._root).lstrip("/")
                yield Found(_visible(path), _stamp_of(facts), month_of_facts(facts))

    def stamp(self, path: str) -> str | None:
        """As `Source.stamp`."""
        try:
            return _stamp_of(self._files.info(self._full(path)))
        except Exception:  # each kind of place has its own error for what is not there
            return None

    def read(self, path: str, most: int) -> bytes:
        """As `Source.read`."""
        try:
            with self._files.open(self._full(path), "rb") as file:
                return _within(file.read(most + 1), most)
        except (Unreadable, MemoryError):
            raise
        except _DAMAGED as error:
            raise Unreadable(*_closed(_told(error))) from None
        except Exception as error:  # each kind of place has errors of its own
            raise Away(*_closed(_told(error))) from None

    def folder(self, path: str) -> Path | None:
        """As `Source.folder`: none, linked images and waivers beside the artwork cannot be had."""
        return None

    def _full(self, path: str) -> str:
        return f"{self._root}/{path}" if self._root else path


def _by_fsspec(url: str, shown: str | None = None) -> Source:
    import fsspec

    try:
        files, root = fsspec.core.url_to_fs(url)
        if root and not files.exists(root):
            raise FileNotFoundError("there is nothing there")
    except ImportError as error:
        raise SourceError(f"{url} needs another package: {error}") from None
    except Exception as error:  # each kind of place has errors of its own
        raise SourceError(f"{shown or url} cannot be opened: {_told(error)}; correct it") from None
    return _FileSystem(files, root, shown or url)


_STAMPS = (
    "size",
    "CRC",
    "mtime",
    "last_modified",
    "LastModified",
    "updated",
    "ETag",
    "etag",
    "md5",
    "sha256",
)
"""What places tell of a file that differs when its content does."""


def _stamp_of(facts: dict[str, Any]) -> str:
    return json.dumps({key: str(facts[key]) for key in _STAMPS if facts.get(key) is not None})


def _within(data: bytes, most: int) -> bytes:
    if len(data) > most:
        raise Unreadable(
            f"The file is larger than the limit of {most / 1e6:.0f} MB",
            mend="Link images instead of embedding them, or raise [limits] file_size in the profile.",
        )
    return data


_DAMAGED = (zipfile.BadZipFile, zlib.error, lzma.LZMAError, EOFError, NotImplementedError, RuntimeError)
"""What reading an archive raises where a file in it is torn, locked by a password, or packed in an unknown way."""


def _closed(told: str) -> tuple[str, None, str]:
    return f"It cannot be opened: {told}", None, "See that it may be read and is whole."


def _told(error: Exception) -> str:
    return f"{type(error).__name__}: {error}" if str(error) else type(error).__name__


def _visible(text: str) -> str:
    """The text with what is no valid text made visible."""
    return text.encode("utf-8", "backslashreplace").decode("utf-8")
