"""Program templates: draft, publish a numbered version, retire."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from clinic import access, clock, doors
from clinic import forms as clinic_forms
from clinic.errors import PlumblineError
from programs import access as program_access
from programs import editor, plans, publishing
from programs.forms import ProgramForm, TemplateForm
from programs.item_rows import ItemRows
from programs.models import Template, TemplateVersion


@doors.page("template.view")
def programs(request: HttpRequest) -> HttpResponse:
    """The organization's templates: what is on offer, drafted and retired."""
    rows = [
        _row(one) for one in program_access.templates(request.user, "template.view")
    ]
    context = {
        "on_offer": [row for row in rows if not row["template"].retired_at],
        "retired": [row for row in rows if row["template"].retired_at],
        "may_write": access.may(request.user, "template.write"),
    }
    return render(request, "programs/templates.html", context)


@doors.page("template.view")
def template(request: HttpRequest, template_id: UUID) -> HttpResponse:
    """One template with every version."""
    row = program_access.template(request.user, template_id, "template.view")
    context = {
        "template": row,
        "versions": [_version(one) for one in reversed(list(row.versions.all()))],
        "may_write": access.may(request.user, "template.write"),
        "may_publish": access.may(request.user, "template.publish"),
    }
    return render(request, "programs/template.html", context)


@doors.page("template.write")
def template_new(request: HttpRequest) -> HttpResponse:
    """The first draft of a new template."""
    return _drafting(request, None)


@doors.page("template.write")
def template_edit(request: HttpRequest, template_id: UUID) -> HttpResponse:
    """The next draft of a template; what is published stays as it is."""
    row = program_access.template(request.user, template_id, "template.write")
    return _drafting(request, row)


@require_POST
@doors.page("template.publish")
def version_publish(request: HttpRequest, version_id: UUID) -> HttpResponse:
    """Freeze a draft; from now on it can be prescribed."""
    version = program_access.template_version(
        request.user, version_id, "template.publish"
    )
    publishing.publish(version, by=request.user, now=clock.now())
    messages.success(request, f"Version {version.number} is published and frozen.")
    return redirect("template", template_id=version.template_id)


@require_POST
@doors.page("template.publish")
def template_retire(request: HttpRequest, template_id: UUID) -> HttpResponse:
    """Offer the template no more; programs built on it go on."""
    row = program_access.template(request.user, template_id, "template.publish")
    publishing.retire(row, by=request.user, now=clock.now())
    messages.success(request, "The template is retired.")
    return redirect("template", template_id=row.id)


def _drafting(request: HttpRequest, template: Template | None) -> HttpResponse:
    if request.method != "POST":
        return _fresh(request, template)
    rows = ItemRows.typed(request.POST)
    if rows.rearrange(request.POST.get("do", "save"), request.POST):
        form = clinic_forms.kept(TemplateForm, request.POST)
        return _editor(request, template, rows, form)
    form = TemplateForm(request.POST)
    if editor.all_valid(rows, form):
        try:
            version = _draft(request, template, rows, form)
        except PlumblineError as error:
            editor.show(error, rows, form)
        else:
            messages.success(request, f"Version {version.number} is kept as a draft.")
            return redirect("template", template_id=version.template_id)
    return _editor(request, template, rows, form, status=400)


def _fresh(request: HttpRequest, template: Template | None) -> HttpResponse:
    last = template.versions.all().last() if template else None
    if last is None:
        now = clock.now()
        initial = ProgramForm.fresh(now.date()) | {"review_after_days": 3}
        return _editor(
            request, template, ItemRows.kept(()), TemplateForm(initial=initial)
        )
    items = plans.from_content(last.content, today=last.created_at.date()).items
    initial = TemplateForm.of(last.content)
    if last.published_at is None:
        initial["change_note"] = last.change_note
    form = TemplateForm(initial=initial)
    return _editor(request, template, ItemRows.kept(items), form)


def _draft(
    request: HttpRequest,
    template: Template | None,
    rows: ItemRows,
    form: TemplateForm,
) -> TemplateVersion:
    now, typed = clock.now(), form.cleaned_data
    plan, days = form.plan(rows, now.date()), typed["review_after_days"]
    if template is None:
        return publishing.draft_template(
            typed["name"], plan, review_after_days=days, by=request.user, now=now
        )
    return publishing.draft_version(
        template,
        plan,
        review_after_days=days,
        by=request.user,
        now=now,
        change_note=typed["change_note"],
    )


def _editor(
    request: HttpRequest,
    template: Template | None,
    rows: ItemRows,
    form: TemplateForm,
    status: int = 200,
) -> HttpResponse:
    context = {
        "template": template,
        "rows": rows,
        "form": form,
        "choices": editor.exercise_choices(),
        "wrong": status == 400,
    }
    return render(request, "programs/template_edit.html", context, status=status)


def _row(template: Template) -> dict[str, Any]:
    versions = list(template.versions.all())
    published = [one for one in versions if one.published_at]
    drafts = [one for one in versions if not one.published_at]
    last = (published or versions)[-1]
    return {
        "template": template,
        "published": published[-1] if published else None,
        "draft": drafts[-1] if drafts else None,
        **_version(last),
    }


def _version(version: TemplateVersion) -> dict[str, Any]:
    plan = plans.from_content(version.content, today=version.created_at.date())
    return {
        "version": version,
        "plan": plan,
        "items": editor.item_words(plan.items, plan.times_per_day),
        "review_after_days": version.content["review_after_days"],
    }
