"""Names as people write them: compared without case, space and punctuation. Knows no profile."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from functools import lru_cache

__all__ = ["nearest_name", "normalised", "slips"]

SHORTEST_MISSPELT = 4
"""Letters. Shorter names lie one slip from too many words to be taken for a slip of the pen."""


@lru_cache(maxsize=65536)
def normalised(name: str) -> str:
    """The name's letters and digits, compatibility forms folded, case removed.

    A name of punctuation only is kept as it is, case folded, lest all such names be one.
    """
    folded = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", name).casefold())
    # Combining marks (category M) belong to their letters; they are neither punctuation nor space.
    kept = "".join(letter for letter in folded if letter.isalnum() or unicodedata.category(letter)[0] == "M")
    return kept or folded.strip()


def slips(first: str, second: str, most: int | None = None) -> int:
    """How many slips of the pen part two words: a letter more, less, other, or two neighbours swapped.

    The restricted Damerau-Levenshtein distance.

    Parameters
    ----------
    most : give up above this many; ``most + 1`` is returned then.
    """
    limit = max(len(first), len(second)) if most is None else most
    if abs(len(first) - len(second)) > limit:
        return limit + 1
    first, second = _parted(first, second)
    if limit == 1:  # asked of every name in a file: what one slip leaves of two words is known by its length
        return _one_slip(first, second)
    before: list[int] = []
    row = list(range(len(second) + 1))
    for i, letter in enumerate(first, 1):
        before, last, row = row, before, [i]
        for j, other in enumerate(second, 1):
            cost = min(before[j] + 1, row[j - 1] + 1, before[j - 1] + (letter != other))
            if i > 1 and j > 1 and letter == second[j - 2] and first[i - 2] == other:
                cost = min(cost, last[j - 2] + 1)
            row.append(cost)
        # A swap reaches back two rows, so both must be beyond the limit before giving up is safe.
        if min(row) > limit and min(before) > limit:
            return limit + 1
    return min(row[-1], limit + 1)


def _parted(first: str, second: str) -> tuple[str, str]:
    """Two words without what they begin and end with alike."""
    shorter = min(len(first), len(second))
    start = 0
    while start < shorter and first[start] == second[start]:
        start += 1
    end = 0
    while end < shorter - start and first[-1 - end] == second[-1 - end]:
        end += 1
    return first[start : len(first) - end], second[start : len(second) - end]


def _one_slip(first: str, second: str) -> int:
    """0, 1 or more (2) slips between what is left of two words."""
    longer = max(len(first), len(second))
    if longer <= 1:
        return longer
    return 1 if longer == 2 and first == second[::-1] else 2


def nearest_name(name: str, known: Iterable[str], most: int = 1) -> tuple[str, int] | None:
    """The known name fewest slips away, with their number; None where none is near or it is the same.

    Both names are compared normalised. Names under `SHORTEST_MISSPELT` letters are never taken for slips, nor are names
    that part in their digits only ("Layer 1", "Layer 2").
    """
    plain = normalised(name)
    if len(plain) < SHORTEST_MISSPELT:
        return None
    best: tuple[str, int] | None = None
    for candidate in known:
        other = normalised(candidate)
        if other == plain:
            return None
        if len(other) < SHORTEST_MISSPELT or _letters(other) == _letters(plain):
            continue
        distance = slips(plain, other, most)
        if distance <= most and (best is None or distance < best[1]):
            best = candidate, distance
    return best


def _letters(text: str) -> str:
    return "".join(letter for letter in text if not letter.isdigit())
