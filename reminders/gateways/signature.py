"""Whether a webhook was signed by the gateway: HMAC over URL and form fields.

The check itself is the gateway library's own; this wrapper closes its traps: a
missing header, an empty token, several tokens during rotation.
"""

from collections.abc import Sequence
from typing import Any

SIGNATURE_HEADER = "X-Twilio-Signature"
SETTINGS_HEADER = "X-Twilio-Webhooks-Signature-Settings"
_ALGORITHMS = ("HMAC_SHA1", "HMAC_SHA256")


class _Fields(dict[str, list[str]]):
    """Form fields as the library reads them; a name may come more than once."""

    def getlist(self, name: str) -> list[str]:
        return self[name]


def is_signed(
    url: str,
    params: Sequence[tuple[str, str]],
    signature: str | None,
    tokens: Sequence[str],
    *,
    settings_header: str | None = None,
) -> bool:
    """True if one of `tokens` signed this request.

    `url` is the public address from the configuration, never the one a proxy
    shows; `params` are all form fields, empty and unknown ones included, because
    their names are signed as well. `settings_header` names the algorithm; without
    it the older HMAC-SHA1 is meant. Never raises on what a stranger may send.
    """
    from twilio.request_validator import (  # type: ignore[import-untyped]
        RequestValidator,
        get_signature_algorithm,
    )

    algorithm = get_signature_algorithm(settings_header)
    if not signature or algorithm not in _ALGORITHMS:
        return False
    fields = _collect(params)
    # An unset token reads as "", and anyone can sign with an empty key.
    validators = [RequestValidator(token) for token in tokens if token]
    return any(
        _validates(validator, (url, fields, signature, algorithm))
        for validator in validators
    )


def _collect(params: Sequence[tuple[str, str]]) -> _Fields:
    fields = _Fields()
    for name, value in params:
        fields.setdefault(name, []).append(value)
    return fields


def _validates(validator: Any, request: tuple[str, _Fields, str, str]) -> bool:
    try:
        return bool(validator.validate(*request))
    except UnicodeEncodeError:  # lone surrogates cannot be signed by anyone
        return False
