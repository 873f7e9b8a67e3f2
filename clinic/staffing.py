"""Staff accounts and roles: made by an owner or by the command line."""

from __future__ import annotations

from datetime import datetime

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from clinic import audit, scope
from clinic.errors import BadInput, Conflict
from clinic.logic.roles import OWNER, ROLES
from clinic.models import Organization, RoleGrant, Site, Staff


@transaction.atomic
def found_organization(
    name: str, sending_number: str, *, now: datetime
) -> Organization:
    """A new organization, with nobody in it yet; raises Conflict on its number."""
    if Organization.objects.filter(sending_number=sending_number).exists():
        raise Conflict("An organization sends from this number already.")
    return Organization.objects.create(
        name=name, sending_number=sending_number, created_at=now
    )


@transaction.atomic
def add_staff(
    organization: Organization,
    *,
    email: str,
    name: str,
    password: str | None,
    by: Staff | str,
    now: datetime,
) -> Staff:
    """A new account without any role yet; raises BadInput.

    Without a password the person sets one through the reset mail.
    """
    email = _clean_email(email)
    staff = Staff(
        organization=organization, email=email, name=name.strip(), created_at=now
    )
    if not 1 <= len(staff.name) <= 120:
        raise BadInput("Give the person's name, at most 120 letters.", field="name")
    _set_password(staff, password)
    staff.save(force_insert=True)
    with scope.within(organization.id):
        audit.record("staff.added", staff, actor=by, at=now)
    return staff


@transaction.atomic
def grant(
    staff: Staff, role: str, site: Site | None, *, by: Staff | str, now: datetime
) -> RoleGrant:
    """Give a role on a site (or, with no site, on all); repeating changes nothing."""
    if role not in ROLES:
        raise BadInput(f"The role is one of {', '.join(ROLES)}.", field="role")
    if role == OWNER and site is not None:
        # An owner gives roles on every site: one of a single site could take all.
        raise BadInput("An owner is one of every site: name no site.", field="site")
    with scope.within(staff.organization_id):
        row, made = RoleGrant.objects.get_or_create(
            organization_id=staff.organization_id, staff=staff, role=role, site=site
        )
        if made:
            detail = {"role": role, "site": site.id if site else None}
            audit.record("staff.role_granted", staff, actor=by, at=now, **detail)
    return row


@transaction.atomic
def revoke(grant: RoleGrant, *, by: Staff, now: datetime) -> None:
    """Take a role away; the last owner keeps theirs."""
    owners = RoleGrant.objects.filter(role=OWNER, site=None, staff__is_active=True)
    if grant.role == OWNER and owners.exclude(pk=grant.pk).count() == 0:
        raise Conflict("The organization needs an owner: name another one first.")
    detail = {"role": grant.role, "site": grant.site_id}
    audit.record("staff.role_revoked", grant.staff, actor=by, at=now, **detail)
    grant.delete()


@transaction.atomic
def deactivate(staff: Staff, *, by: Staff, now: datetime) -> None:
    """Close the account: it bites on the next request."""
    if staff.pk == by.pk:
        raise Conflict("You cannot close your own account: ask another owner.")
    Staff.objects.filter(pk=staff.pk).update(is_active=False)
    staff.tokens.filter(revoked_at__isnull=True).update(revoked_at=now)
    audit.record("staff.deactivated", staff, actor=by, at=now)


def _clean_email(raw: str) -> str:
    email = raw.strip().lower()
    try:
        validate_email(email)
    except ValidationError as error:
        raise BadInput("This is not an e-mail address.", field="email") from error
    if Staff.objects.filter(email=email).exists():
        raise BadInput("An account has this e-mail address already.", field="email")
    return email


def _set_password(staff: Staff, password: str | None) -> None:
    if password is None:
        staff.set_unusable_password()
        return
    try:
        validate_password(password, staff)
    except ValidationError as error:
        raise BadInput(" ".join(error.messages), field="password") from error
    staff.set_password(password)
