"""Any of our types as bytes of JSON, whatever the names of files hold. Knows no report."""

from __future__ import annotations

from typing import Any

import msgspec

__all__ = ["as_json"]


def as_json(value: Any) -> bytes:
    r"""The value as JSON in UTF-8, on one line.

    A path that is no valid UTF-8 on disk reaches Python with lone surrogates, which that cannot hold; they are written out (``\udcff``).
    """
    try:
        return msgspec.json.encode(value)
    except UnicodeEncodeError:
        return msgspec.json.encode(_encodable(msgspec.to_builtins(value)))


def _encodable(value: Any) -> Any:
    if isinstance(value, str):
        return value.encode("utf-8", "backslashreplace").decode()
    if isinstance(value, dict):
        return {_encodable(key): _encodable(one) for key, one in value.items()}
    return [_encodable(one) for one in value] if isinstance(value, list | tuple) else value
