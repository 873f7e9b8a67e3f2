"""The people and places of a clinic; one noun a file."""

from clinic.models.audit import AuditEntry, AuditHead
from clinic.models.clients import Client, ClientNumber, PhoneNumber
from clinic.models.consent import ConsentEvent
from clinic.models.organizations import OnCallEntry, Organization, Site, SiteClosure
from clinic.models.staff import RoleGrant, Staff
from clinic.models.tokens import DeviceToken

__all__ = [
    "AuditEntry",
    "AuditHead",
    "Client",
    "ClientNumber",
    "ConsentEvent",
    "DeviceToken",
    "OnCallEntry",
    "Organization",
    "PhoneNumber",
    "RoleGrant",
    "Site",
    "SiteClosure",
    "Staff",
]
