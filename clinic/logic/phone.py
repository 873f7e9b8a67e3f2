"""Phone numbers: one international form (ITU-T E.164) in, a masked form for logs.

Written numbers are read by libphonenumber's rules. Both of its questions are asked:
"555-0143" is a possible US number, yet no valid one.
"""

import phonenumbers
from phonenumbers import NumberParseException, PhoneNumber, PhoneNumberFormat


class PhoneError(ValueError):
    """A number that cannot be texted; the message says what to do about it.

    The number itself is never in the message, so that logs stay free of it.
    """


def to_e164(raw: str, region: str | None = None) -> str:
    """Turn a number as people write it into "+12025550143".

    `region` is the two-letter country a number without "+" belongs to. Raises
    PhoneError for anything but one complete, valid number without extension.
    """
    number = _parse(raw, region)
    if number.extension:
        # An extension is parsed off in silence and texts would go to a switchboard.
        raise PhoneError("An extension cannot get texts: enter a direct number.")
    if not phonenumbers.is_possible_number(number):
        raise PhoneError("This number has too few or too many digits: check it.")
    if not phonenumbers.is_valid_number(number):
        raise PhoneError(
            "No such number is in use: check it, with its area code, or start with "
            "+ and the country code."
        )
    return phonenumbers.format_number(number, PhoneNumberFormat.E164)


def regions() -> tuple[str, ...]:
    """The two-letter countries whose numbers can be read without "+", sorted."""
    return tuple(sorted(phonenumbers.SUPPORTED_REGIONS))


def masked(e164: str) -> str:
    """The number as a log may hold it: the last two digits only, "***43"."""
    digits = [character for character in e164 if character.isdigit()]
    return "***" + "".join(digits[-2:] if len(digits) > 6 else [])


def _parse(raw: str, region: str | None) -> PhoneNumber:
    try:
        return phonenumbers.parse(raw, region.upper() if region else None)
    except NumberParseException as error:
        if error.error_type == NumberParseException.INVALID_COUNTRY_CODE:
            raise PhoneError(
                "Start with + and the country code, or choose the country."
            ) from None
        raise PhoneError(
            "This is not a phone number: enter digits, like +1 202 555 0143."
        ) from None
