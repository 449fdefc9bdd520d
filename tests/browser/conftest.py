"""Opens pages that the reports write, and watches what they do."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

# The report samples live beside the tests of the other renderers, the stores beside those of the audit.
sys.path.insert(0, str(Path(__file__).parents[1] / "reports"))
sys.path.insert(0, str(Path(__file__).parents[1] / "audit"))


@dataclass
class Opened:
    """A page and everything it did that a report must not do."""

    page: Any
    trouble: list[str] = field(default_factory=list)


@pytest.fixture
def opened(chromium: Any, tmp_path: Path) -> Iterator[Callable[..., Opened]]:
    """Opens a rendered report; at the end of the test no request, dialog, error or policy violation is left."""
    pages: list[Opened] = []

    def open_(html: bytes, width: int = 1280, height: int = 800, hash_: str = "", **context: Any) -> Opened:
        file = tmp_path / f"report{len(pages)}.html"
        file.write_bytes(html)
        settings = {"reduced_motion": "reduce", **context}
        page = chromium.new_page(viewport={"width": width, "height": height}, **settings)
        result = Opened(page)
        pages.append(result)
        own = file.as_uri()

        def requested(request: Any) -> None:
            if not request.url.startswith((own, "data:")):
                result.trouble.append(f"request {request.url}")

        def asked(dialog: Any) -> None:
            result.trouble.append(f"dialog {dialog.message}")
            dialog.dismiss()

        page.on("request", requested)
        page.on("dialog", asked)
        page.on("console", lambda message: result.trouble.append(f"console {message.text}"))
        page.on("pageerror", lambda error: result.trouble.append(f"error {error}"))
        page.goto(own + hash_)
        return result

    yield open_
    for result in pages:
        result.page.close()
    assert [line for result in pages for line in result.trouble] == []
