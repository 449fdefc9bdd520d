"""File patterns of a profile: ``*`` within a name, ``**`` across folders. Knows no profile."""

from __future__ import annotations

import re
from functools import lru_cache
from pathlib import Path

__all__ = ["matches"]


def matches(glob: str, file: str, folder: Path) -> bool:
    """Whether a file's path fits a glob written in a folder.

    A glob without ``/`` is compared with the file's name, any other with its path from the folder.
    """
    path = Path(file)
    if "/" not in glob:
        return _compiled(glob).fullmatch(path.name) is not None
    shown = path.as_posix()
    absolute = path.resolve()
    if absolute.is_relative_to(folder.resolve()):
        shown = absolute.relative_to(folder.resolve()).as_posix()
    return _compiled(glob.removeprefix("./")).fullmatch(shown) is not None


@lru_cache(maxsize=256)
def _compiled(glob: str) -> re.Pattern[str]:
    pattern = ""
    for part in re.findall(r"\*\*/|\*\*|\*|\?|[^*?]+", glob):
        pattern += {"**/": "(?:.*/)?", "**": ".*", "*": "[^/]*", "?": "[^/]"}.get(part) or re.escape(part)
    return re.compile(pattern)
