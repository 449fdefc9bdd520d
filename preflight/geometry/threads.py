"""The same work on many parts of a large whole, by several threads. Knows no geometry."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

__all__ = ["by_threads"]

_THREADS = 4
"""At most: beyond them what Python itself does, one thread at a time, is all that is left."""


@contextmanager
def by_threads(count: int) -> Iterator[Callable[..., Iterator[Any]]]:
    """What `map` does with ``count`` parts, or with more than one by several threads; results come in the order of the parts.

    numpy holds no other thread up while it works on arrays of some size. Each thread begins with numpy's own `errstate`.
    """
    threads = min(count, os.cpu_count() or 1, _THREADS)
    if threads < 2:
        yield map
        return
    from concurrent.futures import ThreadPoolExecutor  # few files hold that much

    with ThreadPoolExecutor(threads) as pool:
        yield pool.map
