"""Artwork and profile together: what each object is for."""

from preflight.job.cutting.cuts import CutContour, Cuts
from preflight.job.job import Job
from preflight.job.naming.step_words import step_words
from preflight.job.objects import JobObject, Reference
from preflight.job.roles import Assignment, Role, Route

__all__ = ["Assignment", "CutContour", "Cuts", "Job", "JobObject", "Reference", "Role", "Route", "step_words"]
