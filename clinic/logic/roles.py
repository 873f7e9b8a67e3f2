"""Who may do what: one table of operations and the roles that carry them.

The table decides at every door, draws the documentation and the tests, and a view
that names no operation of it fails the start-up check.
"""

from __future__ import annotations

OWNER, SITE_LEAD, CLINICIAN = "owner", "site_lead", "clinician"
FRONT_DESK, AUDITOR = "front_desk", "auditor"
ROLES = (OWNER, SITE_LEAD, CLINICIAN, FRONT_DESK, AUDITOR)

_EVERYONE = frozenset(ROLES)
_CARE = frozenset({SITE_LEAD, CLINICIAN})
_READ = frozenset({OWNER, SITE_LEAD, CLINICIAN, AUDITOR})
_LEAD = frozenset({OWNER, SITE_LEAD})
_CONTACT = frozenset({OWNER, SITE_LEAD, CLINICIAN, FRONT_DESK})

OPERATIONS: dict[str, frozenset[str]] = {
    "home.view": _EVERYONE,
    "client.list": _EVERYONE,
    "client.view": _EVERYONE,
    "client.read_symptoms": _READ,
    "client.enroll": _CONTACT,
    "client.contact": _CONTACT,
    "client.end": _CONTACT,
    "message.send": _CARE | {FRONT_DESK},
    "triage.view": _READ,
    "alert.acknowledge": _CARE,
    "alert.decide": _CARE,
    "alert.snooze": _CARE,
    "desk.view": _CONTACT,
    "desk.close": _CONTACT,
    "exercise.view": _EVERYONE,
    "program.view": _READ,
    "program.write": _CARE,
    "hold.approve": _CARE,
    "suggestion.answer": _CARE,
    "load.fix": _CARE,
    "report.write": _CARE,
    "outcome.write": _CARE,
    "template.view": _EVERYONE,
    "template.write": _LEAD | {CLINICIAN},
    "template.publish": _LEAD,
    "site.view": _EVERYONE,
    "site.edit": _LEAD,
    "staff.view": _LEAD | {AUDITOR},
    "staff.edit": frozenset({OWNER}),
    "settings.view": _EVERYONE,
    "token.own": _EVERYONE,
    "audit.view": frozenset({OWNER, AUDITOR}),
    "schema.view": _EVERYONE,
}


def carries(role: str, operation: str) -> bool:
    """Whether the role carries the operation; an unknown operation raises KeyError."""
    return role in OPERATIONS[operation]


def roles_for(operation: str) -> frozenset[str]:
    """The roles that carry the operation; an unknown operation raises KeyError."""
    return OPERATIONS[operation]
