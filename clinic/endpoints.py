"""The API's doors: a contract a method, then parse, call one writer or reader, answer.

A method marked with `answers` names its operation of the role table, the shapes that
go in and out, and with them its documentation. An unmarked method answers 405.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import wraps
from typing import Any, ClassVar

from django_filters import FilterSet
from rest_framework import exceptions
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from clinic import access
from clinic.errors import BadInput, NotYours
from clinic.logic import roles
from clinic.models import Client
from clinic.paging import TimePagination
from clinic.problem_schema import ContractSchema
from clinic.shapes import Nothing, Shape
from clinic.throttles import PersonThrottle, SourceThrottle, WriteThrottle

METHODS = ("get", "post", "put", "patch", "delete")
Method = Callable[..., Any]


@dataclass(frozen=True, slots=True)
class Contract:
    """What a method promises; drives permission, parsing, answer and documentation.

    `sparing`: counted by the stricter throttle; `by_page`: only with a session.
    """

    name: str
    operation: str
    takes: type[Shape]
    gives: type[Shape] | None
    status: int
    paged: bool
    filters: type[FilterSet] | None
    sparing: bool
    by_page: bool


def answers(
    name: str,
    operation: str,
    *,
    takes: type[Shape] = Nothing,
    gives: type[Shape] | None = None,
    status: int = 200,
    paged: bool = False,
    filters: type[FilterSet] | None = None,
    sparing: bool = False,
    by_page: bool = False,
) -> Callable[[Method], Method]:
    """Mark a method with its contract; it gets `data`, and returns what is shaped.

    A method that takes a body is handed the checked values as `data`. A paged one
    returns a queryset. An unknown operation fails at import.
    """
    roles.roles_for(operation)
    contract = Contract(
        name=name,
        operation=operation,
        takes=takes,
        gives=gives,
        status=status,
        paged=paged,
        filters=filters,
        sparing=sparing,
        by_page=by_page,
    )

    def mark(method: Method) -> Method:
        @wraps(method)
        def door(self: Endpoint, request: Request, **ids: Any) -> Response:
            self.refuse_unknown_query(contract)
            data = self.parsed(contract)
            given = ids if takes is Nothing else ids | {"data": data}
            return self.answer(method(self, request, **given), contract)

        door.contract = contract  # type: ignore[attr-defined]
        return door

    return mark


class Endpoint(APIView):
    """One address of the API."""

    operation: ClassVar[dict[str, str]] = {}
    pagination_class = TimePagination
    throttle_classes = [PersonThrottle, WriteThrottle]
    schema = ContractSchema()
    ordering: ClassVar[str] = "-id"

    def __init_subclass__(cls, **kwargs: Any) -> None:
        super().__init_subclass__(**kwargs)
        cls.operation = {
            name.upper(): door.contract.operation
            for name in METHODS
            if (door := getattr(cls, name, None)) is not None
        }

    @classmethod
    def contract(cls, method: str) -> Contract | None:
        """The contract of an HTTP method; HEAD counts as GET."""
        name = "get" if method == "HEAD" else method.lower()
        return getattr(getattr(cls, name, None), "contract", None)

    def check_permissions(self, request: Request) -> None:
        """Sign-in first, then whether the method exists, then the role table."""
        if not request.user:
            raise exceptions.NotAuthenticated
        contract = self.contract(request.method or "")
        if contract is None and request.method != "OPTIONS":
            raise exceptions.MethodNotAllowed(request.method or "")
        super().check_permissions(request)
        if contract and contract.by_page and request.auth is not None:
            raise exceptions.PermissionDenied("Sign in on the pages for this.")

    def handle_exception(self, exc: Exception) -> Response:
        """Failed sign-ins are counted by source; too many of them wait."""
        signs_in = exceptions.NotAuthenticated, exceptions.AuthenticationFailed
        if isinstance(exc, signs_in):
            throttle = SourceThrottle()
            if not throttle.allow_request(self.request, self):
                exc = exceptions.Throttled(throttle.wait())
        return super().handle_exception(exc)

    def refuse_unknown_query(self, contract: Contract) -> None:
        """A misspelt filter would otherwise answer with everything."""
        known = {"cursor", "page_size"} if contract.paged else set()
        if contract.filters is not None:
            known |= set(contract.filters.base_filters)
        for name in self.request.query_params:
            if name not in known:
                raise BadInput("This address has no such parameter.", field=name[:40])

    def parsed(self, contract: Contract) -> dict[str, Any]:
        """The body as checked values; raises ValidationError naming each field."""
        if self.request.method in ("GET", "HEAD"):
            return {}
        body = contract.takes(
            data=self.request.data, partial=self.request.method == "PATCH"
        )
        body.is_valid(raise_exception=True)
        return dict(body.validated_data)

    def filtered(self, rows: Any, contract: Contract) -> Any:
        """The rows the query parameters leave."""
        if contract.filters is None:
            return rows
        chosen = contract.filters(self.request.query_params, queryset=rows)
        if not chosen.is_valid():
            raise exceptions.ValidationError(chosen.errors)
        return chosen.qs

    def chosen(self) -> dict[str, Any]:
        """The checked query parameters, for a reader that takes them itself."""
        contract = self.contract(self.request.method or "")
        assert contract is not None
        assert contract.filters is not None
        chosen = contract.filters(self.request.query_params, Client.objects.none())
        if not chosen.is_valid():
            raise exceptions.ValidationError(chosen.errors)
        return dict(chosen.form.cleaned_data)

    def answer(self, found: Any, contract: Contract) -> Response:
        """What the method found, in its shape."""
        if contract.gives is None:
            return Response(status=204)
        if not contract.paged:
            shown = contract.gives(found, context=self.shape_context())
            return Response(shown.data, status=contract.status)
        pages = self.pagination_class()
        pages.ordering = self.ordering
        rows = pages.paginate_queryset(
            self.filtered(found, contract), self.request, view=self
        )
        shown = contract.gives(rows, many=True, context=self.shape_context())
        return pages.get_paginated_response(shown.data)

    def shape_context(self) -> dict[str, Any]:
        """What shapes may ask: whether symptoms are shown (see `reading_for`)."""
        return {"reads_symptoms": getattr(self, "reads_symptoms", False)}

    def reading_for(self, client: Client) -> None:
        """Show symptom fields if the person reads symptoms on the client's site."""
        rows = access.sites(self.request.user, "client.read_symptoms")
        self.reads_symptoms = rows.filter(pk=client.site_id).exists()


class NoSuchAddress(Endpoint):
    """Any other address under the API: absent, in the API's own words."""

    operation = {}
    schema = None

    def check_permissions(self, request: Request) -> None:
        """Absent for everybody who signed in, whatever the method."""
        if not request.user:
            raise exceptions.NotAuthenticated
        raise NotYours


NoSuchAddress.operation = dict.fromkeys(
    ("GET", "POST", "PUT", "PATCH", "DELETE"), "home.view"
)
