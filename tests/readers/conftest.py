"""For the tests of both readers: the comparison that comes with the corpus, where the corpus is at hand."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest

TOOL = Path(__file__).parents[3] / "shared" / "tools" / "extents.py"


@pytest.fixture(scope="session")
def extents_tool() -> ModuleType:
    """The corpus's own extents.py as a module; only for tests that are skipped where the corpus is not."""
    spec = importlib.util.spec_from_file_location("extents_tool", TOOL)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
