"""Bounded API input: size, depth and characters are checked before any code sees it."""

from __future__ import annotations

import json
from typing import Any

from rest_framework import exceptions
from rest_framework.parsers import JSONParser

MAX_DEPTH = 32
MAX_BYTES = 1024 * 1024


class TooLarge(exceptions.APIException):
    """The body is larger than anything this API takes."""

    status_code = 413
    default_code = "too_large"
    default_detail = "The body is over 1 MB: send less at once."


class BoundedJSONParser(JSONParser):
    """JSON of at most 1 MB and 32 levels, of whole characters and finite numbers.

    Lone surrogates break the encoding of an answer, NUL breaks PostgreSQL.
    """

    def parse(
        self, stream: Any, media_type: Any = None, parser_context: Any = None
    ) -> Any:
        raw = stream.read(MAX_BYTES + 1)
        if len(raw) > MAX_BYTES:
            raise TooLarge
        try:
            data = json.loads(raw.decode("utf-8"), parse_constant=_refused)
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
    elif isinstance(value, str) and any(_breaks(sign) for sign in value):
        raise exceptions.ParseError("The body holds NUL or half a character.")


def _breaks(sign: str) -> bool:
    return sign == "\x00" or "\ud800" <= sign <= "\udfff"


def _refused(constant: str) -> None:
    """NaN and Infinity are no JSON (RFC 8259, 6), and no pain either."""
    raise ValueError(constant)
