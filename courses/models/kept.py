"""Rows that are kept as they were written: history is appended to, never rewritten."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import models


class KeptQuerySet(models.QuerySet[Any]):
    """Changes only what the model lets change; deletes nothing by itself.

    Erasing a course or a person goes through its own row and cascades from there.
    """

    def update(self, **values: Any) -> int:
        self.model.refuse_change(values)
        return super().update(**values)

    def bulk_update(self, objs: Any, fields: Any, batch_size: int | None = None) -> int:
        self.model.refuse_change(fields)
        return super().bulk_update(objs, fields, batch_size)

    def delete(self) -> Any:
        raise TypeError(f"{self.model.__name__}: what was written stays.")


class Kept(models.Model):
    """Written once. `changes`: the fields that tell where a row stands now, not what it says."""

    changes: ClassVar[frozenset[str]] = frozenset()

    objects = KeptQuerySet.as_manager()

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        if not self._state.adding:
            fields = kwargs.get("update_fields")
            if fields is None:
                raise TypeError(f"{type(self).__name__}: a change is a new row.")
            self.refuse_change(fields)
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> Any:
        raise TypeError(f"{type(self).__name__}: what was written stays.")

    @classmethod
    def refuse_change(cls, fields: Any) -> None:
        wrong = sorted(set(fields) - cls.changes)
        if wrong:
            raise TypeError(f"{cls.__name__}: {', '.join(wrong)} cannot be changed once written.")
