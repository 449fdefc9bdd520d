"""What a page of headless Chromium shows, as an array of its pixels."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

TRIES = 3


def photographed(page: Any) -> NDArray[np.int32]:
    """The page's pixels, shape (height, width, 3), RGB, 0 to 255.

    On a busy machine Chromium now and then says that it is "unable to capture screenshot" of a page that it
    photographs a moment later; a page that stays so is an error.
    """
    from playwright.sync_api import Error

    for _ in range(TRIES - 1):
        try:
            return _pixels(page.screenshot())
        except Error as error:
            if "Unable to capture screenshot" not in error.message:
                raise
            page.wait_for_timeout(500)
    return _pixels(page.screenshot())


def _pixels(png: bytes) -> NDArray[np.int32]:
    with Image.open(io.BytesIO(png)) as image:
        return np.asarray(image.convert("RGB"), np.int32)
