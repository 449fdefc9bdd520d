"""What is said when a profile cannot be used. Knows no table."""

from __future__ import annotations

__all__ = ["ProfileError", "SettingError"]


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


class SettingError(ValueError):
    """A value that a setting cannot take; the message says why and what would do.

    Attributes
    ----------
    told : the message without the setting.
    setting : the setting's name in its table, None where the value stands alone.
    """

    def __init__(self, told: str, setting: str | None = None) -> None:
        self.told = told
        self.setting = setting
        super().__init__(told if setting is None else f"{setting}: {told}")
