"""Encrypted fields: sealed at rest, bound to their row, found by a blind index."""

from __future__ import annotations

import dataclasses

import pytest
from django.db import connection

from clinic import scope
from clinic.fields import SealBroken, blind_index, seal, unseal
from clinic.models import Client, PhoneNumber
from tests.cast import NUMBER, Cast


def stored(table: str, column: str) -> str:
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {column} FROM {table}")  # noqa: S608  names from tests
        return str(cursor.fetchone()[0])


def test_neither_name_nor_number_rests_in_the_table(cast: Cast) -> None:
    assert "Calder" not in stored("clinic_client", "name")
    assert NUMBER not in stored("clinic_phonenumber", "number")


def test_a_row_reads_back_what_was_written(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        assert Client.objects.get().name == "Ines Calder"
        assert PhoneNumber.objects.get().number == NUMBER


def test_a_number_is_found_by_its_blind_index(cast: Cast) -> None:
    with scope.within(cast.organization.id):
        found = PhoneNumber.objects.filter(number_index=blind_index(NUMBER))
        assert found.count() == 1


def test_a_value_moved_to_another_row_does_not_open() -> None:
    with pytest.raises(SealBroken):
        unseal(seal("secret", "clinic.Client|name|1"), "clinic.Client|name|2")


def test_the_same_value_is_sealed_differently_each_time() -> None:
    assert seal("secret", "x") != seal("secret", "x")


def test_an_older_key_still_opens_and_a_lost_one_says_so(settings: object) -> None:
    sealed = seal("secret", "x")
    keys = settings.FIELD_KEYS  # type: ignore[attr-defined]
    settings.FIELD_KEYS = dataclasses.replace(  # type: ignore[attr-defined]
        keys, current="k2", keys={**keys.keys, "k2": b"2" * 32}
    )
    assert unseal(sealed, "x") == "secret"
    assert seal("secret", "x").startswith("k2:")
    settings.FIELD_KEYS = dataclasses.replace(  # type: ignore[attr-defined]
        keys, current="k2", keys={"k2": b"2" * 32}
    )
    with pytest.raises(SealBroken):
        unseal(sealed, "x")


def test_filtering_on_a_sealed_value_is_refused(cast: Cast) -> None:
    with scope.within(cast.organization.id), pytest.raises(TypeError):
        Client.objects.get(name="Ines Calder")


def test_a_bulk_update_of_a_sealed_value_is_refused(cast: Cast) -> None:
    with scope.within(cast.organization.id), pytest.raises(TypeError):
        Client.objects.update(name="somebody else")
