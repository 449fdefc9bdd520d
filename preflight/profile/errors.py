"""What is said when a profile cannot be used. Knows no table."""

from __future__ import annotations

__all__ = ["ProfileError"]


class ProfileError(ValueError):
    """A profile that cannot be used; the message names the file, the line, the key and the mend.

    Attributes
    ----------
    place : the profile's file and the line in it (``preflight.toml:3``), None for no file in particular.
    key : the dotted key at fault, None for the file as a whole.
    """

    def __init__(self, message: str, place: str | None = None, key: str | None = None) -> None:
        self.place = place
        self.key = key
        super().__init__(": ".join([*(part for part in (place, key) if part is not None), message]))
