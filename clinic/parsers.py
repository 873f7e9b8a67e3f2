"""Bounded API input: depth and characters are checked before any code sees it."""

from __future__ import annotations

import json
from typing import Any

from rest_framework import exceptions
from rest_framework.parsers import JSONParser

MAX_DEPTH = 32


class BoundedJSONParser(JSONParser):
    """JSON of at most 32 levels and no lone surrogates; both break code further in."""

    def parse(
        self, stream: Any, media_type: Any = None, parser_context: Any = None
    ) -> Any:
        try:
            data = json.loads(stream.read().decode("utf-8"))
        except (ValueError, RecursionError) as error:
            raise exceptions.ParseError("The body is not valid JSON.") from error
        _check(data, 0)
        return data


def _check(value: Any, depth: int) -> None:
    if depth > MAX_DEPTH:
        raise exceptions.ParseError(f"The body is nested deeper than {MAX_DEPTH}.")
    if isinstance(value, dict):
        for key, inner in value.items():
            _check(key, depth)
            _check(inner, depth + 1)
    elif isinstance(value, list):
        for inner in value:
            _check(inner, depth + 1)
    elif isinstance(value, str) and any("\ud800" <= sign <= "\udfff" for sign in value):
        raise exceptions.ParseError("The body holds half a character.")
