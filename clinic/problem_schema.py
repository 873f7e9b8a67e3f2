"""How the API documents itself: from each method's contract, problems included."""

from __future__ import annotations

from typing import Any

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.openapi import AutoSchema
from rest_framework import serializers

from clinic.problems import PROBLEM_TYPE


class ProblemSerializer(serializers.Serializer[Any]):
    """A refusal as problem details (RFC 9457); `code` is stable, `detail` is prose."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    code = serializers.CharField()
    detail = serializers.CharField()
    errors = serializers.DictField(
        required=False, help_text="What is wrong, by the name of the field."
    )


class BearerScheme(OpenApiAuthenticationExtension):
    """Documents `Authorization: Bearer <token>`."""

    target_class = "clinic.tokens.BearerAuthentication"
    name = "bearer"

    def get_security_definition(self, auto_schema: Any) -> dict[str, Any]:
        return {
            "type": "http",
            "scheme": "bearer",
            "description": "A device token; see the issue_token command.",
        }


class ContractSchema(AutoSchema):
    """Documents a method by its `Contract`."""

    @property
    def contract(self) -> Any:
        return self.view.contract(self.method)

    def get_operation_id(self) -> str:
        return str(self.contract.name)

    def get_summary(self) -> str:
        return str(self.contract.name).replace("_", " ").capitalize()

    def get_description(self) -> str:
        method = getattr(self.view, self.method.lower())
        return f"{method.__doc__.strip()}\n\nOperation: `{self.contract.operation}`."

    def get_tags(self) -> list[str]:
        return [type(self.view).__module__.split(".")[0]]

    def get_auth(self) -> list[dict[str, Any]]:
        found = super().get_auth()
        if self.contract.by_page:
            return [one for one in found if "bearer" not in one]
        return found

    def get_request_serializer(self) -> Any:
        return self.contract.takes

    def get_response_serializers(self) -> Any:
        contract = self.contract
        gives = contract.gives
        if gives is None:
            return {204: None}
        return {contract.status: gives(many=True) if contract.paged else gives}

    def get_override_parameters(self) -> list[Any]:
        filters = self.contract.filters
        return [] if filters is None else list(filters.documented())

    def _get_response_bodies(self, direction: Any = "response") -> Any:
        bodies = super()._get_response_bodies(direction)
        for status, says in self._problems().items():
            bodies[str(status)] = self._get_response_for_code(
                ProblemSerializer, str(status), [PROBLEM_TYPE], direction
            ) | {"description": says}
        return bodies

    def _problems(self) -> dict[int, str]:
        found = {
            400: "A value or a parameter is wrong; it is named.",
            401: "No valid sign-in.",
            403: "The role does not carry the operation.",
            429: "Too many calls: wait as Retry-After says.",
        }
        if "{" in self.path:
            found[404] = "Absent, or not for this person: the same answer."
        if self.method != "GET":
            found |= {
                409: "The state does not allow it any more.",
                413: "The body is over 1 MB.",
                415: "The body is not application/json.",
            }
        return dict(sorted(found.items()))
