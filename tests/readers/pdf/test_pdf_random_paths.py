"""Random path operators, matrices and clips: the same boxes as PDFium's, seeded, the same on every run."""

from __future__ import annotations

import random

import numpy as np
import pytest
from pdfium_paths import path_boxes
from small_pdfs import one_page
from test_pdf_writers import our_boxes

from preflight.readers.limits import Limits
from preflight.readers.pdf.read import read

PAINTS = ["f", "f*", "F", "B", "B*", "b", "b*", "S", "s", "n"]
TAKES = {"m": 2, "l": 2, "c": 6, "v": 4, "y": 4, "h": 0, "re": 4}


def content(chance: random.Random) -> str:
    """Some paths; a closepath never follows a moveto, since a point alone has no box."""

    def operator(name: str) -> str:
        numbers = [f"{chance.uniform(0, 190):.{chance.randrange(4)}f}" for _ in range(TAKES[name])]
        return " ".join([*numbers, name])

    lines: list[str] = []
    depth = 0
    for _ in range(chance.randint(1, 20)):
        act = chance.random()
        if act < 0.15:
            lines.append("q")
            depth += 1
        elif act < 0.25 and depth:
            lines.append("Q")
            depth -= 1
        elif act < 0.4:
            turn = [f"{chance.uniform(-2, 2):.2f}" for _ in range(4)]
            lines.append(" ".join([*turn, "5", "-7.5", "cm"]))
        else:
            lines.append(operator(chance.choice(["m", "re"])))
            for _ in range(chance.randint(1, 8)):
                lines.append(operator(chance.choice(["m", "l", "c", "v", "y", "re"])))
                if not lines[-1].endswith("m") and chance.random() < 0.2:
                    lines.append("h")
            lines.append(operator("l"))
            lines += ["W"] if chance.random() < 0.2 else []
            lines.append(chance.choice(PAINTS))
    return "\n".join(lines)


@pytest.mark.parametrize("seed", range(10))
def test_random_paths_have_the_boxes_that_pdfium_finds(seed: int) -> None:
    chance = random.Random(seed)  # noqa: S311 -- paths, not secrets
    for _ in range(40):
        data = one_page(content(chance))
        ours, theirs = our_boxes(read(data, "random.pdf", Limits())[0]), path_boxes(data)
        assert len(ours) == len(theirs)
        if not ours:
            continue
        # PDFium counts in single precision, and matrices may blow coordinates up.
        within = 0.01 * max(1.0, float(np.abs(theirs).max()) / 2000)
        assert np.abs(np.array(ours) - np.array(theirs)).max() <= within
