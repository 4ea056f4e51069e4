"""A bare page and a bare form post: the least that Django does for the same fields and rows.

What the post does is what no form post can leave out: it finds what the visitor kept so far, reads
the posted field with a form, and in one transaction adds the rows, marks the kept form as sent and
writes the log's line in its turn under the locked head. What it leaves out: no answer is read, no
rule applied, nothing checked, hashed, asked of other tables or put into words; the contents of the
rows are in memory already, of an earlier submit.
"""

from __future__ import annotations

from datetime import datetime
from functools import lru_cache
from typing import Any
from uuid import UUID, uuid4

from django import forms
from django.db import models, transaction
from django.http import HttpRequest, HttpResponse, HttpResponseBadRequest
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from bench.models import BARE_COPIES, BareField
from inspections.actions.fill_check import MAX_REMARK
from inspections.models import Answer, Draft, Judged, Reading, Record
from rigging.models import RopeObserved
from venue.models import LogHead, LogLine

Row = dict[str, Any]


class RemarkForm(forms.Form):
    """The one field of the page before the submit."""

    remark = forms.CharField(required=False, max_length=MAX_REMARK)


def page(request: HttpRequest, sheet: int) -> HttpResponse:
    """One query, one simple template."""
    fields = BareField.objects.filter(sheet=sheet)
    return render(request, "bench/page.html", {"fields": fields})


@require_POST
def start(request: HttpRequest, record: UUID) -> HttpResponse:
    """Before the clock runs: copies of the form kept for that record and of the log's head."""
    draft = Draft.objects.filter(pk=record)
    head = LogHead.objects.filter(venue__records=record)
    for model, rows in ((Draft, draft), (LogHead, head)):
        BARE_COPIES[model].objects.bulk_create([BARE_COPIES[model](**row) for row in rows.values()])
    return redirect("bare_page", 0)


@require_POST
def post(request: HttpRequest, record: UUID) -> HttpResponse:
    """The rows of that record once more, one statement a table, in one transaction."""
    kept = get_object_or_404(BARE_COPIES[Draft], pk=record, by=request.user)
    form = RemarkForm(request.POST)
    if not form.is_valid():
        return HttpResponseBadRequest(form.errors.as_text())
    _store(kept, _rows(record), form.cleaned_data["remark"], timezone.now())
    return redirect("bare_page", 0)


@transaction.atomic
def _store(kept: Any, rows: dict[type[models.Model], list[Row]], remark: str, at: datetime) -> None:
    said = {"id": uuid4(), "at": at, "remark": remark}
    (record,) = _added(Record, [row | said for row in rows[Record]])
    ropes = iter(_added(RopeObserved, rows[RopeObserved]))
    answers = _added(
        Answer, [row | {"record_id": record.pk, **_rope_of(row, ropes)} for row in rows[Answer]]
    )
    for model in (Reading, Judged):
        _added(model, [row | {"answer_id": answers[row["answer_id"]].pk} for row in rows[model]])
    BARE_COPIES[Draft].objects.filter(pk=kept.pk).update(submitted_at=at, remark=remark)
    heads = BARE_COPIES[LogHead].objects
    head = heads.select_for_update().get(venue=record.venue_id)
    _added(LogLine, [row | {"number": head.size + 1, "at": at} for row in rows[LogLine]])
    heads.filter(pk=head.pk).update(size=head.size + 1)


def _added(model: type[models.Model], rows: list[Row]) -> list[Any]:
    bare = BARE_COPIES[model]
    stored: list[Any] = bare.objects.bulk_create([bare(**row) for row in rows])
    return stored


def _rope_of(answer: Row, ropes: Any) -> Row:
    return {"observation_id": next(ropes).pk if answer["observation_id"] else None}


@lru_cache(maxsize=8)
def _rows(record: UUID) -> dict[type[models.Model], list[Row]]:
    """All columns but the keys the database gives, by table; a reading and a judgement say by its
    place in the list which answer they are of. Asked once, before the clock runs."""
    found = {
        Record: Record.objects.filter(pk=record),
        RopeObserved: RopeObserved.objects.filter(answer__record=record).order_by("answer__order"),
        Answer: Answer.objects.filter(record=record).order_by("order"),
        Reading: Reading.objects.filter(answer__record=record),
        Judged: Judged.objects.filter(answer__record=record),
        LogLine: LogLine.objects.filter(subject=f"{Record._meta.label_lower} {record}"),
    }
    rows = {model: list(each.values()) for model, each in found.items()}
    place = {row["id"]: number for number, row in enumerate(rows[Answer])}
    for row in (*rows[Reading], *rows[Judged]):
        row["answer_id"] = place[row["answer_id"]]
    for row in (row for each in rows.values() for row in each):
        del row["id"]
    return rows
