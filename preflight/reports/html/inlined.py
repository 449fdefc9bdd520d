"""What every page of ours is made with: its parts inlined, a policy that forbids the rest, data inert inside a script. Knows no page."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

__all__ = ["environment", "inert_json", "markup", "part", "policy"]

_UNSAFE_IN_SCRIPT = {ord(character): f"\\u{ord(character):04x}" for character in "<>&\u2028\u2029"}
"""What could end a script element, open a comment in it or break a line: the HTML parser reads these before JSON."""


def policy(style: str, script: str, pictures: str = "data:") -> str:
    """The content security policy: pictures from the sources named, our own style and script by their hashes, no more."""
    return (
        f"default-src 'none'; img-src {pictures}; style-src '{_digest(style)}'; script-src '{_digest(script)}'; "
        "base-uri 'none'; form-action 'none'"
    )


def _digest(text: str) -> str:
    import base64
    import hashlib

    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def inert_json(document: object) -> Markup:
    """JSON that is inert inside a script element."""
    import json

    text = json.dumps(document, separators=(",", ":"), allow_nan=False, ensure_ascii=False)
    return markup(text.translate(_UNSAFE_IN_SCRIPT))


@cache
def part(package: str, name: str) -> str:
    """A text file that is installed with a package of ours."""
    from importlib.resources import files  # costs a small check milliseconds that it has no use for

    return files(package).joinpath(name).read_text("utf-8")


def environment() -> Environment:
    """What templates are made with: everything is escaped, and a name that means nothing is an error."""
    from jinja2 import Environment, StrictUndefined

    return Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)


def markup(text: str) -> Markup:
    """Text of our own, or escaped for its place, that goes into the page as it is."""
    from markupsafe import Markup

    return Markup(text)  # noqa: S704 -- said above
