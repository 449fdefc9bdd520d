"""How much memory this process may take, where its system holds it to that."""

from __future__ import annotations

import sys
from pathlib import Path

__all__ = ["hold"]


def hold(more: int) -> bool:
    """Allow this process ``more`` bytes above what it has now; whether the system holds it to that.

    Linux does. macOS takes the limit and does not keep it, Windows has none that a process can set for itself.
    """
    if not sys.platform.startswith("linux"):
        return False
    import resource

    taken = int(Path("/proc/self/statm").read_text().split()[0]) * resource.getpagesize()
    _, most = resource.getrlimit(resource.RLIMIT_AS)
    wanted = taken + more
    if most != resource.RLIM_INFINITY:
        wanted = min(wanted, most)
    resource.setrlimit(resource.RLIMIT_AS, (wanted, most))
    return True
