"""Templates, home programs, reports; one noun a file."""

from programs.models.outcomes import Outcome, OutcomeAsk, OutcomeVoid
from programs.models.programs import (
    HomeProgram,
    ProgramItem,
    ProgramRevision,
    StartingPoint,
)
from programs.models.reports import AssessmentRecord, Decision, SessionReport
from programs.models.steps import HoldApproval, HoldStep
from programs.models.suggestions import KeptSuggestion
from programs.models.templates import Template, TemplateVersion

__all__ = [
    "AssessmentRecord",
    "Decision",
    "HoldApproval",
    "HoldStep",
    "HomeProgram",
    "KeptSuggestion",
    "Outcome",
    "OutcomeAsk",
    "OutcomeVoid",
    "ProgramItem",
    "ProgramRevision",
    "SessionReport",
    "StartingPoint",
    "Template",
    "TemplateVersion",
]
