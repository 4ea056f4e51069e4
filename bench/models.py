"""The rows of the bare pages. No migrations: `migrate --run-syncdb` makes the tables."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import models

from inspections.models import Answer, Judged, Reading, Record
from rigging.models import RopeObserved
from venue.models import LogLine

# What a submit adds rows to. A photograph or a finding would add more; the measured check has none.
SUBMITTED = (Record, RopeObserved, Answer, Reading, Judged, LogLine)


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


def _bare_copy(model: type[models.Model]) -> type[models.Model]:
    """A table with the same columns and nothing else: no foreign key, no constraint, no index."""
    columns: dict[str, Any] = {
        field.attname: models.CharField(max_length=40, null=True)
        if field.is_relation
        else field.clone()
        for field in model._meta.concrete_fields
    }
    name = f"Bare{model.__name__}"
    return type(name, (models.Model,), {"__module__": __name__, "__str__": str, **columns})


BARE_COPIES = {model: _bare_copy(model) for model in SUBMITTED}
