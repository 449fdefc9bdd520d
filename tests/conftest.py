"""For all tests: no example of a property is timed, and one headless Chromium a process.

Playwright's synchronous interface runs only once in each process.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings

# A busy machine makes any single example slow; what is slow is the benchmarks' business.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")

ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """The browser; where there is none, tests are skipped, but in CI they fail."""
    path = os.environ.get("PREFLIGHT_CHROMIUM") or shutil.which("chromium") or "/usr/bin/chromium"
    if not Path(path).exists():
        told = f"no Chromium at {path}; set PREFLIGHT_CHROMIUM"
        if os.environ.get("CI"):
            pytest.fail(told)
        pytest.skip(told)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()
