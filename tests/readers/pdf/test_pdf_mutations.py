"""Files spoilt by chance: each is unreadable with a reason, or its pages say what was not read."""

from __future__ import annotations

import pytest
from mutated_pdfs import SEEDS, mutated

from preflight.artwork.model import Artwork
from preflight.readers.errors import Unreadable
from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

LIMITS = Limits(
    seconds=10, decompressed_size=20_000_000, path_segments=200_000, objects=50_000, use_expansion=5_000
)
BATCHES = 12
OF_A_BATCH = 50


@pytest.mark.parametrize("name", SEEDS)
def test_the_files_are_sound_before_they_are_spoilt(name: str) -> None:
    assert [note for note in read(SEEDS[name], name, LIMITS)[0].notes if note.kind == "fault"] == []


def answer(data: bytes, name: str) -> tuple[Artwork, ...] | Unreadable:
    try:
        return read(data, name, LIMITS)
    except Unreadable as refusal:
        return refusal


@pytest.mark.parametrize("batch", range(BATCHES))
def test_spoilt_files_get_an_answer(batch: int) -> None:
    for seed in range(batch * OF_A_BATCH, (batch + 1) * OF_A_BATCH):
        _, data = mutated(seed)
        found = answer(data, f"{seed}.pdf")
        if isinstance(found, Unreadable):
            assert found.what, seed
            assert found.mend, seed
        else:
            assert found, seed
