"""Keys on disk: made once on first start, readable by the owner only.

A key that others can read is refused, because a copied key opens every record.
"""

from __future__ import annotations

import base64
import json
import os
import secrets
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path


class KeyFileError(RuntimeError):
    """A key file is missing, damaged or readable by others."""


@dataclass(frozen=True, slots=True)
class FieldKeys:
    """Keys of the encrypted fields: by id, the one in use, and the index key."""

    current: str
    keys: dict[str, bytes]
    index: bytes


def secret_key(folder: Path) -> str:
    """The session signing key of this installation."""
    return _kept(folder / "secret_key", lambda: secrets.token_urlsafe(48))


def field_keys(folder: Path, given: str = "") -> FieldKeys:
    """The field keys, from the variable FIELD_KEYS or from the key folder."""
    text = given or _kept(folder / "field_keys.json", _fresh_field_keys)
    try:
        data = json.loads(text)
        keys = {name: base64.b64decode(key) for name, key in data["keys"].items()}
        return FieldKeys(data["current"], keys, base64.b64decode(data["index"]))
    except (ValueError, KeyError, TypeError) as error:
        raise KeyFileError(
            "The field keys cannot be read: restore keys/field_keys.json from the"
            " backup. Without it names, numbers and messages stay closed."
        ) from error


def _fresh_field_keys() -> str:
    def key() -> str:
        return base64.b64encode(secrets.token_bytes(32)).decode()

    return json.dumps({"current": "k1", "keys": {"k1": key()}, "index": key()})


def _kept(path: Path, make: Callable[[], str]) -> str:
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    except FileExistsError:
        return _read_private(path)
    with os.fdopen(handle, "w") as file:
        file.write(make())
    return path.read_text()


def _read_private(path: Path) -> str:
    if path.stat().st_mode & 0o077:
        raise KeyFileError(f"{path.name} is readable by others: run chmod 600 on it.")
    return path.read_text()
