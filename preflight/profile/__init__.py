"""The shop profile."""

from .errors import ProfileError
from .explained import show
from .profile import Profile, RuleSettings, load

__all__ = ["Profile", "ProfileError", "RuleSettings", "load", "show"]
