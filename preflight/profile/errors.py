"""What is said when a profile cannot be used. Knows no table."""

from __future__ import annotations

from pathlib import Path

__all__ = ["ProfileError"]


class ProfileError(ValueError):
    """A profile that cannot be used; the message names the file, the key and the mend.

    Attributes
    ----------
    file : the profile's file, None for none in particular.
    key : the dotted key at fault, None for the file as a whole.
    """

    def __init__(self, message: str, file: Path | None = None, key: str | None = None) -> None:
        self.file = file
        self.key = key
        places = [str(place) for place in (file, key) if place is not None]
        super().__init__(": ".join([*places, message]))
