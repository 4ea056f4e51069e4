"""The rows of the bare pages. No migrations: `migrate --run-syncdb` makes the tables."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import models

from inspections.models import Answer, Draft, Judged, Reading, Record
from rigging.models import RopeObserved
from venue.models import LogHead, LogLine

# What a submit adds rows to. A photograph or a finding would add more; the measured check has none.
SUBMITTED = (Record, RopeObserved, Answer, Reading, Judged, LogLine)
# What it changes one row of: the form kept so far, and the number of the log's last line.
CHANGED = (Draft, LogHead)


class BareField(models.Model):
    """One field of a form, as little of it as a page can show. `sheet`: which form it is of."""

    sheet = models.IntegerField(db_index=True)
    label = models.CharField(max_length=300)
    kind = models.CharField(max_length=20)
    name = models.CharField(max_length=120)
    value = models.CharField(max_length=200)

    objects: ClassVar[models.Manager[BareField]] = models.Manager()

    def __str__(self) -> str:
        return self.name


def _bare_copies() -> dict[type[models.Model], Any]:
    copies: dict[type[models.Model], Any] = {}
    for model in (*SUBMITTED, *CHANGED):
        copies[model] = _bare_copy(model, copies)
    return copies


def _bare_copy(model: type[models.Model], copies: dict[type[models.Model], Any]) -> Any:
    """A table with the same columns, keys, constraints and indexes: without them its rows would not
    be the same rows. Rows that were copied point at copies, so each post has to link its own."""
    columns = {field.name: _column(field, copies) for field in model._meta.concrete_fields}
    kept = {
        "constraints": [_renamed(each) for each in model._meta.constraints],
        "indexes": [_renamed(each) for each in model._meta.indexes],
    }
    name, meta = f"Bare{model.__name__}", type("Meta", (), kept)
    return type(
        name, (models.Model,), {"__module__": __name__, "__str__": str, "Meta": meta, **columns}
    )


def _column(field: Any, copies: dict[type[models.Model], Any]) -> models.Field:
    if not field.is_relation:
        return field.clone()
    about = field.remote_field.model
    to = "self" if about is field.model else copies.get(about, about)
    return type(field)(to, on_delete=models.PROTECT, null=field.null, related_name="+")


def _renamed(kept: Any) -> Any:
    copy = kept.clone()
    copy.name = f"bare_{kept.name}"[:30]
    return copy


BARE_COPIES = _bare_copies()
