"""Staff, the people who sign in, and the roles they hold on sites."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models

from clinic.logic.roles import ROLES
from clinic.models.base import IdField, Owned
from clinic.models.organizations import Organization, Site


class StaffManager(BaseUserManager["Staff"]):
    """The one unscoped manager: sign-in comes before any scope is known."""


class Staff(AbstractBaseUser):
    """A person of the organization who signs in with an e-mail address."""

    id = IdField()
    organization = models.ForeignKey(
        Organization, on_delete=models.PROTECT, related_name="+"
    )
    email = models.EmailField(unique=True)
    name = models.CharField(max_length=120)
    is_active = models.BooleanField(default=True)
    created_at = models.DateTimeField()

    objects = StaffManager()
    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]
    is_staff = is_superuser = False

    def __str__(self) -> str:
        return self.name

    def get_full_name(self) -> str:
        return self.name

    def has_perm(self, *_: Any) -> bool:
        return False

    def has_module_perms(self, *_: Any) -> bool:
        return False


class RoleGrant(Owned):
    """A role on one site, or on every site of the organization (site empty)."""

    staff = models.ForeignKey(Staff, on_delete=models.CASCADE, related_name="grants")
    role = models.CharField(max_length=16)
    site = models.ForeignKey(
        Site, on_delete=models.CASCADE, null=True, blank=True, related_name="grants"
    )

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["staff", "role", "site"], name="role_once_a_site"
            ),
            models.UniqueConstraint(
                fields=["staff", "role"],
                condition=models.Q(site__isnull=True),
                name="role_once_everywhere",
            ),
            models.CheckConstraint(
                condition=models.Q(role__in=ROLES), name="role_is_known"
            ),
        ]

    def __str__(self) -> str:
        return self.role
