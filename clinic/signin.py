"""Sign-in: accounts are made by an owner, never by a visitor."""

from __future__ import annotations

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter


class ClosedDoor(DefaultAccountAdapter):
    """No public sign-up; a new account comes from a person who may make one."""

    def is_open_for_signup(self, request: Any) -> bool:
        return False
