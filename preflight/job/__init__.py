"""Artwork and profile together: what each object is for."""

from .cuts import CutContour, Cuts
from .job import Job
from .objects import JobObject, Reference
from .roles import Assignment, Role, Route
from .step_words import step_words

__all__ = ["Assignment", "CutContour", "Cuts", "Job", "JobObject", "Reference", "Role", "Route", "step_words"]
