"""For all tests: no example of a property is timed, and one headless Chromium a process.

Playwright's synchronous interface runs only once in each process.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
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


@pytest.fixture(scope="session")
def npm_package() -> Callable[[str], Path]:
    """The folder of an npm package that tests measure against; where it is not installed they are skipped, but in CI they fail."""

    def folder_of(name: str) -> Path:
        folder = Path(__file__).parent / "published" / "node_modules" / name
        if not folder.is_dir():
            told = f"the npm package {name} is absent (npm ci --prefix tests/published --ignore-scripts)"
            if os.environ.get("CI"):
                pytest.fail(f"{told}, and .ci/run should have installed it")
            pytest.skip(told)
        return folder

    return folder_of
