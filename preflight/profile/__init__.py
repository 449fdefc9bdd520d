"""The shop profile: what a file is judged by."""

from .errors import ProfileError
from .loading import load
from .profile import Override, Profile, RuleChoice, Step
from .showing import show

__all__ = ["Override", "Profile", "ProfileError", "RuleChoice", "Step", "load", "show"]
