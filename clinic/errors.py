"""Errors the service raises on purpose, and what each means to the caller.

PlumblineError
 ├─ BadInput (400)      a value is wrong; says which and what to do
 ├─ NotYours (404)      absent, or not for this person: the same answer
 ├─ NotAllowed (403)    the role does not carry this operation
 ├─ Conflict (409)      somebody changed it meanwhile, or the state forbids it
 └─ Unscoped (500)      a programmer's slip: a query without an organization
"""

from __future__ import annotations


class PlumblineError(Exception):
    """Base; `code` is stable, `status` the HTTP answer, `field` names the culprit."""

    code = "error"
    status = 500

    def __init__(self, message: str = "", *, field: str | None = None) -> None:
        super().__init__(message or (self.__doc__ or "").strip())
        self.field = field


class BadInput(PlumblineError):
    """A value was refused."""

    code = "bad_input"
    status = 400


class NotYours(PlumblineError):
    """There is nothing here for you under this address."""

    code = "not_found"
    status = 404


class NotAllowed(PlumblineError):
    """Your role does not carry this operation."""

    code = "not_allowed"
    status = 403


class Conflict(PlumblineError):
    """The state does not allow this any more: reload and look again."""

    code = "conflict"
    status = 409


class Unscoped(PlumblineError):
    """A query on clinic data was made without naming the organization."""

    code = "unscoped"
