"""What goes in and out of the API: explicit fields, strict kinds, nothing unknown.

A body with a key nobody asked for is refused by name, so that a value the server
owns (organization, author, state, times) can never be set by accident.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from rest_framework import serializers

LONGEST_KEY, MOST_KEYS = 40, 10


class Shape(serializers.Serializer[Any]):
    """Base of every body in and out of the API."""

    def to_internal_value(self, data: Any) -> Any:
        if isinstance(data, Mapping):
            unknown = sorted(set(map(str, data)) - set(self.fields))
            if unknown:
                message = "This is not a field here: remove it."
                raise serializers.ValidationError(
                    {key[:LONGEST_KEY]: [message] for key in unknown[:MOST_KEYS]}
                )
        return super().to_internal_value(data)


class SymptomShape(Shape):
    """A body out whose `symptoms` only people who may read symptoms receive.

    The view passes `reads_symptoms` in the context; without it the fields stay out.
    """

    symptoms: tuple[str, ...] = ()

    def to_representation(self, instance: Any) -> Any:
        shown = super().to_representation(instance)
        if not self.context.get("reads_symptoms", False):
            for name in self.symptoms:
                shown.pop(name, None)
        return shown


class Nothing(Shape):
    """No body at all."""


class Text(serializers.CharField):
    """A string; a number is not quietly turned into one."""

    def to_internal_value(self, data: Any) -> str:
        if not isinstance(data, str):
            self.fail("invalid")
        return str(super().to_internal_value(data))


class Whole(serializers.IntegerField):
    """A whole number; neither "5" nor true is one."""

    def to_internal_value(self, data: Any) -> int:
        if isinstance(data, bool) or not isinstance(data, int):
            self.fail("invalid")
        return int(super().to_internal_value(data))


class Number(serializers.FloatField):
    """A number; neither "5" nor true is one."""

    def to_internal_value(self, data: Any) -> float:
        if isinstance(data, bool) or not isinstance(data, int | float):
            self.fail("invalid")
        return float(super().to_internal_value(data))


class Flag(serializers.BooleanField):
    """true or false, not "yes" or 1."""

    def to_internal_value(self, data: Any) -> bool:
        if not isinstance(data, bool):
            self.fail("invalid", input="This")
        return data


class Choice(serializers.ChoiceField):
    """One word of a closed list; a wrong one is not repeated, the list is."""

    def to_internal_value(self, data: Any) -> Any:
        if data == "" and self.allow_blank:
            return ""
        if not isinstance(data, str) or data not in self.choices:
            known = ", ".join(str(choice) for choice in self.choices)
            raise serializers.ValidationError(f"Choose one of {known}.")
        return data


class Moment(serializers.DateTimeField):
    """A time with its offset: without one, nobody knows which morning is meant."""

    def enforce_timezone(self, value: datetime) -> datetime:
        if value.tzinfo is None:
            raise serializers.ValidationError("Give the offset, as in +00:00.")
        return super().enforce_timezone(value)


class Reference(serializers.UUIDField):
    """The id of another row; the view resolves it for the person who asks."""

    def to_internal_value(self, data: Any) -> Any:
        if not isinstance(data, str):
            self.fail("invalid", value="")
        return super().to_internal_value(data)


class Named(Shape):
    """A row by its id and name."""

    id = serializers.UUIDField()
    name = serializers.CharField()
