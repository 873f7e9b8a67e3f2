"""Encrypted text fields: AES-256-GCM, bound to their row, with a key id.

A value is sealed with the model, field and primary key as associated data, so a
ciphertext moved to another row does not open. Look-up goes by a keyed blind index
(HMAC-SHA-256) in a column of its own.
"""

from __future__ import annotations

import base64
import hashlib
import hmac
import secrets
from typing import Any

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from django.conf import settings
from django.db import models
from django.db.models.query_utils import DeferredAttribute


class SealBroken(RuntimeError):
    """An encrypted value does not open: another key, another row, or damage."""


class Sealed(str):
    """A stored ciphertext on its way to the attribute that opens it."""

    __slots__ = ()


def blind_index(value: str) -> str:
    """Keyed digest for equality look-ups of an encrypted value (hex, 64 signs)."""
    key = settings.FIELD_KEYS.index
    return hmac.new(key, value.encode(), hashlib.sha256).hexdigest()


def seal(plain: str, bound_to: str) -> Sealed:
    """Encrypt under the current key; `bound_to` names the row and field."""
    keys = settings.FIELD_KEYS
    nonce = secrets.token_bytes(12)
    cipher = AESGCM(keys.keys[keys.current])
    data = nonce + cipher.encrypt(nonce, plain.encode(), bound_to.encode())
    return Sealed(f"{keys.current}:{base64.b64encode(data).decode()}")


def unseal(sealed: str, bound_to: str) -> str:
    """Decrypt; raises SealBroken when the key, the row or the bytes do not fit."""
    key_id, _, body = sealed.partition(":")
    key = settings.FIELD_KEYS.keys.get(key_id)
    if key is None:
        raise SealBroken(f"Field key {key_id!r} is not in the key file.")
    data = base64.b64decode(body)
    try:
        return AESGCM(key).decrypt(data[:12], data[12:], bound_to.encode()).decode()
    except InvalidTag as error:
        raise SealBroken(
            f"A value of {bound_to.split('|')[0]} does not open."
        ) from error


class _OpeningAttribute(DeferredAttribute):
    """Opens the value on first use; a data descriptor, so that it is always asked."""

    def __set__(self, instance: Any, value: Any) -> None:
        instance.__dict__[self.field.attname] = value

    def __get__(self, instance: Any, cls: Any = None) -> Any:
        value = super().__get__(instance, cls)
        if instance is not None and isinstance(value, Sealed):
            value = unseal(value, self.field.bound_to(instance))
            instance.__dict__[self.field.attname] = value
        return value


class EncryptedTextField(models.TextField):  # type: ignore[type-arg]
    """Text that rests encrypted; cannot be filtered on or set by a bulk update."""

    descriptor_class = _OpeningAttribute

    def deconstruct(self) -> Any:
        name, _, args, kwargs = super().deconstruct()
        return name, "django.db.models.TextField", args, kwargs

    def bound_to(self, instance: models.Model) -> str:
        """The associated data: model, field and primary key."""
        return f"{instance._meta.label}|{self.name}|{instance.pk}"

    def from_db_value(self, value: str | None, *_: Any) -> Sealed | None:
        return None if value is None else Sealed(value)

    def pre_save(self, model_instance: models.Model, add: bool) -> Any:
        value = getattr(model_instance, self.attname)
        return None if value is None else seal(value, self.bound_to(model_instance))

    def get_prep_value(self, value: Any) -> Any:
        if value is None or isinstance(value, Sealed):
            return value
        raise TypeError(
            f"{self.name} is encrypted per row: save the row instead of filtering or"
            " updating in bulk."
        )
