"""Templates, home programs, reports; one noun a file."""

from programs.models.programs import (
    HomeProgram,
    ProgramItem,
    ProgramRevision,
    StartingPoint,
)
from programs.models.reports import AssessmentRecord, Decision, SessionReport
from programs.models.templates import Template, TemplateVersion

__all__ = [
    "AssessmentRecord",
    "Decision",
    "HomeProgram",
    "ProgramItem",
    "ProgramRevision",
    "SessionReport",
    "StartingPoint",
    "Template",
    "TemplateVersion",
]
