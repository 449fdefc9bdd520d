"""What git knows of a file: the version it had. Knows no artwork."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Mapping
from pathlib import Path, PurePosixPath

import msgspec

__all__ = ["Before", "GitError", "Repository", "top_and_path"]

# Git tells its hooks by these where it works; for a file in another working tree, such as a submodule, they would be wrong.
_PLACES = (
    "GIT_DIR",
    "GIT_WORK_TREE",
    "GIT_IMPLICIT_WORK_TREE",
    "GIT_COMMON_DIR",
    "GIT_INDEX_FILE",
    "GIT_PREFIX",
)


class GitError(Exception):
    """What git cannot tell, and why."""


class Before(msgspec.Struct, frozen=True):
    """A file as it was: its path from the top of the working tree, and its content as git would check it out."""

    path: PurePosixPath
    content: bytes


class Repository:
    """A working tree and the commit that its files are compared with.

    Parameters
    ----------
    folder : any in the working tree.
    since : a commit, branch or tag: files are compared with the commit at which the present one parted from it. None for the commit
        that the next one comes after.

    Raises
    ------
    GitError
        There is no such commit, or the two have none in common.
    """

    def __init__(self, folder: Path, since: str | None = None) -> None:
        self._folder = folder
        self._commit = self._head() if since is None else self._parted(since)
        self._renames: Mapping[str, str] | None = None

    def _head(self) -> str | None:
        """The present commit; None where nothing was committed yet."""
        told = _git(self._folder, "rev-parse", "--verify", "--quiet", "HEAD^{commit}", may_fail=True)
        return None if told is None else told.decode().strip()

    def _parted(self, since: str) -> str:
        told = _git(
            self._folder,
            "rev-parse",
            "--verify",
            "--quiet",
            "--end-of-options",
            f"{since}^{{commit}}",
            may_fail=True,
        )
        if told is None:
            raise GitError(f"there is no commit, branch or tag {since!r} here (perhaps it must be fetched)")
        base = _git(self._folder, "merge-base", told.decode().strip(), "HEAD", may_fail=True)
        if base is None:
            raise GitError(
                f"{since!r} and the present commit have no commit in common here (perhaps more of the history must be fetched)"
            )
        return base.decode().strip()

    def before(self, path: PurePosixPath) -> Before | None:
        """A file as it was, under this path or the one it was renamed from; None where it is new.

        Parameters
        ----------
        path : from the top of the working tree.
        """
        content = self.content_before(path)
        if content is None and self._commit is not None:
            if self._renames is None:
                self._renames = self._renamed()
            if path.as_posix() not in self._renames:
                return None
            path = PurePosixPath(self._renames[path.as_posix()])
            content = self.content_before(path)
        return None if content is None else Before(path, content)

    def content_before(self, path: PurePosixPath) -> bytes | None:
        """The content of that path as it was, whatever it was renamed to; None where there was no file."""
        if self._commit is None:
            return None
        name = path.as_posix()
        told = _git(
            self._folder, "--literal-pathspecs", "ls-tree", "-z", "--full-tree", self._commit, "--", name
        )
        # The mode comes first: a file's; 120000 is a link, 040000 a folder, 160000 a submodule.
        if not (told or b"").startswith(b"100"):
            return None
        return _git(self._folder, "cat-file", "--filters", f"{self._commit}:{name}")

    def _renamed(self) -> dict[str, str]:
        """The path that each renamed file had, by the path it has."""
        assert self._commit is not None  # noqa: S101 -- asked by the caller
        told = _git(
            self._folder,
            "diff",
            "--no-ext-diff",
            "--no-relative",
            "--find-renames",
            "--diff-filter=R",
            "--name-status",
            "-z",
            self._commit,
            "--",
        )
        # Status, path before, path after, each with a NUL behind it.
        parts = os.fsdecode(told or b"").split("\0")[:-1]
        return dict(zip(parts[2::3], parts[1::3], strict=True))


def top_and_path(folder: Path) -> tuple[Path, PurePosixPath]:
    """The top of the working tree that a folder is in, and the folder's path from there.

    Raises
    ------
    GitError
        Git is not there, or there is no working tree.
    """
    top = _line(_git(folder, "rev-parse", "--show-toplevel"))
    return Path(top), PurePosixPath(_line(_git(folder, "rev-parse", "--show-prefix")))


def _line(told: bytes | None) -> str:
    return os.fsdecode(told or b"").removesuffix("\n")


def _git(folder: Path, *words: str, may_fail: bool = False) -> bytes | None:
    """What git prints; None where it fails and may.

    Raises
    ------
    GitError
    """
    environment = {name: value for name, value in os.environ.items() if name not in _PLACES}
    # Nothing is to be written while another git holds the index; messages are told as they are.
    environment |= {"GIT_OPTIONAL_LOCKS": "0", "LC_ALL": "C"}
    command = ["git", "-C", str(folder), *words]
    try:
        done = subprocess.run(  # noqa: S603 -- no shell; names stand behind -- or a commit
            command, capture_output=True, check=False, env=environment, stdin=subprocess.DEVNULL
        )
    except FileNotFoundError:
        raise GitError("git is not installed, or not on the search path") from None
    except OSError as error:
        raise GitError(f"git cannot be run: {error.strerror or error}") from None
    if done.returncode == 0:
        return done.stdout
    if may_fail:
        return None
    told = os.fsdecode(done.stderr).strip().split("\n")[0].removeprefix("fatal: ").removeprefix("error: ")
    raise GitError(f"git says: {told or 'nothing'}")
