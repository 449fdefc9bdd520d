"""Tiny PDFs are spelt out as for the tests of the reader."""

from __future__ import annotations

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "readers" / "pdf"))
