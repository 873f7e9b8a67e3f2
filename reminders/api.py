"""API: enrolling with the first text, and corrections that change what is texted."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from rest_framework.request import Request

from clinic import access as people
from clinic import clock, enrolling
from clinic.api_clients import ClientEndpoint, ClientSerializer
from clinic.endpoints import Endpoint, answers
from clinic.enrolling import Enrollment
from clinic.shapes import Choice, Reference, Shape, Text
from programs.api_reports import ReportSerializer
from reminders import access, correcting, ending
from reminders import enrolling as texted_enrolling


class EnrollmentSerializer(Shape):
    """A new client: person, number, and the words in which they agreed to texts."""

    site = Reference()
    clinician = Reference()
    name = Text(max_length=120)
    number = Text(max_length=32)
    language = Choice(choices=enrolling.LANGUAGES)
    time_zone = Text(max_length=64)
    consent_wording = Text(max_length=1000)


class NewNumberSerializer(Shape):
    """The client's other number, as people write it."""

    number = Text(max_length=32)


class VoidSerializer(Shape):
    """Why the report does not count."""

    reason = Text(max_length=500)


class Enrollments(ClientEndpoint):
    """Enrolling clients."""

    @answers(
        "enroll_client",
        "client.enroll",
        takes=EnrollmentSerializer,
        gives=ClientSerializer,
        status=201,
        sparing=True,
    )
    def post(self, request: Request, data: dict[str, Any]) -> Any:
        """Register the client and send the first text.

        Reminders start only after the client has answered it.
        """
        site = people.site(request.user, data.pop("site"), "client.enroll")
        clinician = people.clinician(site, data.pop("clinician"))
        return texted_enrolling.enroll(
            site, clinician, Enrollment(**data), by=request.user, now=clock.now()
        )


class Number(ClientEndpoint):
    """The number that reaches a client."""

    @answers(
        "change_number",
        "client.contact",
        takes=NewNumberSerializer,
        gives=ClientSerializer,
        sparing=True,
    )
    def post(self, request: Request, data: dict[str, Any], client_id: UUID) -> Any:
        """Another number: it gets a first text and must answer it."""
        client = people.client(request.user, client_id, "client.contact")
        texted_enrolling.change_number(
            client, data["number"], by=request.user, now=clock.now()
        )
        return client


class OptOut(ClientEndpoint):
    """Ending a client's texts."""

    @answers("record_opt_out", "client.end", gives=ClientSerializer)
    def post(self, request: Request, client_id: UUID) -> Any:
        """The client asked, not by text, that the texts end; staff cannot undo it."""
        client = people.client(request.user, client_id, "client.end")
        ending.opt_out_on_request(client, by=request.user, now=clock.now())
        return client


class Voiding(Endpoint):
    """Voiding a report."""

    @answers(
        "void_report", "report.write", takes=VoidSerializer, gives=ReportSerializer
    )
    def post(
        self, request: Request, data: dict[str, Any], client_id: UUID, report_id: UUID
    ) -> Any:
        """Take the report out of the assessment; it stays on the record."""
        report = access.report(request.user, client_id, report_id, "report.write")
        correcting.void_report(
            report, reason=data["reason"], by=request.user, now=clock.now()
        )
        return report
