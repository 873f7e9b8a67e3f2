"""What every record shares: time-ordered id, owner organization, append-only."""

from __future__ import annotations

from typing import Any, NoReturn

from django.db import models

from clinic import scope
from clinic.errors import Unscoped
from clinic.logic.ids import new_id


class IdField(models.UUIDField):  # type: ignore[type-arg]
    """A UUIDv7 key made on creation; a migration sees a plain UUID column."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs |= {"primary_key": True, "default": new_id, "editable": False}
        super().__init__(**kwargs)

    def deconstruct(self) -> Any:
        name, _, args, kwargs = super().deconstruct()
        del kwargs["default"]
        return name, "django.db.models.UUIDField", args, kwargs


class Record(models.Model):
    """A row with a UUIDv7 primary key."""

    id = IdField()

    class Meta:
        abstract = True


class Owned(Record):
    """A row that belongs to an organization; its default manager demands a scope."""

    # No index of its own: nothing is looked up by organization alone, and SQLite
    # without statistics prefers it to the client's, which reads the whole clinic.
    organization = models.ForeignKey(
        "clinic.Organization",
        on_delete=models.PROTECT,
        related_name="+",
        db_index=False,
    )
    objects: scope.ScopedManager[Any] = scope.ScopedManager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        active = scope.active()
        if active is not None and active != self.organization_id:
            raise Unscoped("This row belongs to another organization than the scope.")
        super().save(*args, **kwargs)


class _AppendOnlyQuerySet(models.QuerySet[Any]):
    def update(self, **kwargs: Any) -> NoReturn:
        raise TypeError(f"{self.model.__name__} is append-only: add a row instead.")

    def delete(self) -> NoReturn:
        raise TypeError(f"{self.model.__name__} is append-only: nothing is deleted.")


class _AppendOnlyManager(scope.ScopedManager[Any]):
    def get_queryset(self) -> models.QuerySet[Any]:
        return _AppendOnlyQuerySet(self.model, using=self._db).filter(
            organization_id=scope.current()
        )

    def across(self, reason: str) -> models.QuerySet[Any]:
        if not reason:
            raise Unscoped("Say why this query crosses organizations.")
        return _AppendOnlyQuerySet(self.model, using=self._db)


class AppendOnly(Owned):
    """A fact that is written once; a correction is another fact."""

    objects = _AppendOnlyManager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            raise TypeError(f"{type(self).__name__} is append-only: add a row instead.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> NoReturn:
        raise TypeError(f"{type(self).__name__} is append-only: nothing is deleted.")
