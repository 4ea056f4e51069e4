"""A bare page and a bare form post: the least that Django does for the same fields and rows."""

from __future__ import annotations

from functools import lru_cache
from typing import Any
from uuid import UUID

from django.db import models, transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from bench.models import BARE_COPIES, SUBMITTED, BareField
from inspections.models import Record

# How a row of each kind is found from the record it was stored with.
OF_RECORD = {"Record": "pk", "RopeObserved": "answer__record", "Answer": "record"}
OF_ANSWER = "answer__record"


def page(request: HttpRequest, sheet: int) -> HttpResponse:
    """One query, one simple template."""
    fields = BareField.objects.filter(sheet=sheet)
    return render(request, "bench/page.html", {"fields": fields})


@require_POST
def post(request: HttpRequest, record: UUID) -> HttpResponse:
    """The rows of that record once more, one statement a table, in one transaction. Nothing is
    read, judged, hashed or linked: the values are there already."""
    with transaction.atomic():
        for model, rows in _rows(record):
            bare: Any = BARE_COPIES[model]
            bare.objects.bulk_create([bare(**values) for values in rows])
    return redirect("bare_page", 0)


@lru_cache(maxsize=8)
def _rows(record: UUID) -> list[tuple[type[models.Model], list[dict[str, Any]]]]:
    """All columns but the keys the database gives, by table. Asked once, before the clock runs."""
    found = []
    for model in SUBMITTED:
        rows = _of_record(model, record).values()
        keys = {"id"}
        kept = [{name: row[name] for name in row.keys() - keys} for row in rows]
        found.append((model, kept))
    return found


def _of_record(model: Any, record: UUID) -> models.QuerySet:
    if model.__name__ == "LogLine":
        label = f"{Record._meta.label_lower} {record}"
        return model.objects.filter(subject=label)
    return model.objects.filter(**{OF_RECORD.get(model.__name__, OF_ANSWER): record})
