"""Program templates: draft versions, published frozen and numbered."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from clinic import audit
from clinic.errors import BadInput, Conflict
from clinic.models import Organization, Staff
from programs import library, plan_checks, plans
from programs.logic.starters import StarterTemplate
from programs.models import Template, TemplateVersion
from programs.plans import ProgramPlan


@transaction.atomic
def draft_template(
    name: str, plan: ProgramPlan, *, review_after_days: int, by: Staff, now: datetime
) -> TemplateVersion:
    """A new template with its first draft; raises BadInput."""
    name = " ".join(name.split())
    if not name:
        raise BadInput("Give the template a name.", field="name")
    if Template.objects.filter(name=name).exists():
        raise BadInput("A template of this name exists.", field="name")
    template = Template.objects.create(
        organization_id=by.organization_id, name=name, created_at=now
    )
    return draft_version(
        template, plan, review_after_days=review_after_days, by=by, now=now
    )


@transaction.atomic
def draft_version(
    template: Template,
    plan: ProgramPlan,
    *,
    review_after_days: int,
    by: Staff,
    now: datetime,
    change_note: str = "",
) -> TemplateVersion:
    """The template's draft with this content, new or replaced; raises BadInput."""
    if not 1 <= review_after_days <= 120:
        raise BadInput("Review after 1 to 120 days.", field="review_after_days")
    content = plans.to_content(plan, review_after_days)
    plan_checks.for_everyone(
        plans.checked(plans.from_content(content, today=now.date()), today=now.date())
    )
    version = template.versions.filter(published_at__isnull=True).first()
    if version is None:
        last = template.versions.order_by("-number").first()
        version = TemplateVersion(
            organization_id=template.organization_id,
            template=template,
            number=last.number + 1 if last else 1,
            created_at=now,
        )
    version.content, version.change_note, version.author = content, change_note, by
    version.save()
    audit.record("template.drafted", version, actor=by, at=now)
    return version


@transaction.atomic
def publish(version: TemplateVersion, *, by: Staff, now: datetime) -> None:
    """Freeze the version: from now on it can be prescribed and never changes."""
    if version.published_at is not None:
        raise Conflict("This version is published already.")
    version.published_at = now
    version.save(update_fields=["published_at"])
    audit.record("template.published", version, actor=by, at=now)


@transaction.atomic
def retire(template: Template, *, by: Staff, now: datetime) -> None:
    """The template is not offered any more; programs built on it go on."""
    template.retired_at = now
    template.save(update_fields=["retired_at"])
    audit.record("template.retired", template, actor=by, at=now)


def on_offer() -> list[TemplateVersion]:
    """The newest published version of every template that is not retired."""
    rows = (
        TemplateVersion.objects.filter(
            published_at__isnull=False, template__retired_at__isnull=True
        )
        .select_related("template")
        .order_by("template__name", "number")
    )
    newest = {row.template_id: row for row in rows}
    return list(newest.values())


@transaction.atomic
def add_starters(
    organization: Organization, *, by: Staff, now: datetime
) -> list[TemplateVersion]:
    """Publish the library's starter templates for a new organization."""
    made = []
    for starter in library.starters().values():
        content = starter_content(starter)
        plan = plans.from_content(content, today=now.date())
        version = draft_template(
            starter.names["en"],
            plan,
            review_after_days=content["review_after_days"],
            by=by,
            now=now,
        )
        publish(version, by=by, now=now)
        made.append(version)
    return made


def starter_content(starter: StarterTemplate) -> dict[str, Any]:
    """A starter template of the library as the content of a version."""
    items = []
    for item in starter.items:
        dose = item.dose.stated()
        if dose["times_per_day"] >= starter.times_per_day:
            del dose["times_per_day"]
        items.append({"exercise": item.code, **dose})
    return {
        "items": items,
        "times_per_day": starter.times_per_day,
        "waking_from": "08:00",
        "waking_to": "20:30",
        "stop_rules": list(starter.stop_rules),
        "review_after_days": starter.review_after_days,
    }
