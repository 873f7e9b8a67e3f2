"""Filters of API lists: few, named, each with its kind in the documentation."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import django_filters
from django_filters import FilterSet
from drf_spectacular.utils import OpenApiParameter

_KINDS: dict[type[Any], dict[str, Any]] = {
    django_filters.UUIDFilter: {"type": "string", "format": "uuid"},
    django_filters.BooleanFilter: {"type": "boolean"},
    django_filters.NumberFilter: {"type": "integer"},
    django_filters.ChoiceFilter: {"type": "string"},
    django_filters.CharFilter: {"type": "string", "maxLength": 100},
    django_filters.IsoDateTimeFilter: {"type": "string", "format": "date-time"},
}


class ListFilter(FilterSet):
    """Base: only the filters a list declares, nothing across other tables."""

    @classmethod
    def documented(cls) -> Iterator[OpenApiParameter]:
        """Each filter as a query parameter of the API's documentation."""
        for name, one in cls.base_filters.items():
            kind = dict(_KINDS[type(one)])
            choices = one.extra.get("choices")
            if choices:
                kind["enum"] = [value for value, _ in choices]
            yield OpenApiParameter(
                name, kind, OpenApiParameter.QUERY, description=one.extra["help_text"]
            )


def words(*values: str) -> list[tuple[str, str]]:
    """Choices whose value is also their label."""
    return [(value, value) for value in values]
