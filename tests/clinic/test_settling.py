"""Sites: numbers without a default, hours upright, an on-call chain with people."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from clinic import scope, settling
from clinic.errors import BadInput
from clinic.models import AuditEntry, OnCallEntry, Site
from tests.cast import HOURS, NOW, Cast, details


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name", ""),
        ("short_name", ""),
        ("short_name", "x" * 19),
        ("time_zone", "Nowhere"),
        ("language", "de"),
        ("emergency_number", ""),
        ("emergency_number", "9" * 13),
        ("crisis_line", " "),
        ("call_back_number", ""),
        ("page_wait_minutes", 0),
        ("page_wait_minutes", 61),
        ("hours", HOURS | {"0": [["18:00", "08:00"]]}),
        ("hours", HOURS | {"0": [["eight", "nine"]]}),
    ],
)
def test_a_wrong_detail_is_refused_by_name(cast: Cast, field: str, value: Any) -> None:
    changes = {"name": "Third", field: value}
    with pytest.raises(BadInput) as caught:
        settling.open_site(
            cast.organization, details(**changes), by=cast.owner, now=NOW
        )
    assert caught.value.field == field


def test_a_change_names_the_changed_fields_on_the_audit_trail(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        changed = details(call_back_number="202-555-0119")
        settling.change_site(cast.site, changed, by=cast.lead, now=NOW)
        entry = AuditEntry.objects.filter(action="site.changed").get()
        assert entry.detail == {"fields": ["call_back_number"]}
        assert Site.objects.get(pk=cast.site.pk).call_back_number == "202-555-0119"


def test_a_closure_comes_and_goes(cast: Cast) -> None:
    day = date(2026, 12, 25)
    with scope.within(cast.organization.id):
        settling.close_on(cast.site, day, "holiday", by=cast.lead, now=NOW)
        settling.close_on(cast.site, day, "holiday", by=cast.lead, now=NOW)
        assert list(cast.site.closures.values_list("on", flat=True)) == [day]
        settling.reopen_on(cast.site, day, by=cast.lead, now=NOW)
        assert not cast.site.closures.exists()


def test_an_empty_on_call_chain_is_refused(cast: Cast) -> None:
    with scope.within(cast.organization.id), pytest.raises(BadInput):
        settling.set_on_call(cast.site, [], by=cast.lead, now=NOW)


def test_a_chain_with_a_bad_number_keeps_the_old_one(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        with pytest.raises(BadInput):
            settling.set_on_call(cast.site, [(cast.lead, "12")], by=cast.lead, now=NOW)
        people = OnCallEntry.objects.filter(site=cast.site)
        assert [entry.staff for entry in people] == [cast.clinician, cast.lead]
