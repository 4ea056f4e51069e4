"""A bare page and a bare form post: the least that Django does for as many rows."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST

from bench.models import BareRow

SHOWN_SHEET = 0
POSTED_SHEET = 1


def page(request: HttpRequest, rows: int) -> HttpResponse:
    """One query, one simple template."""
    shown = BareRow.objects.filter(sheet=SHOWN_SHEET)[:rows]
    return render(request, "bench/page.html", {"rows": shown})


@require_POST
def post(request: HttpRequest, rows: int) -> HttpResponse:
    """One statement that writes every row, in one transaction."""
    sheet = int(request.POST.get("sheet", POSTED_SHEET))
    words = request.POST.get("remark", "")
    BareRow.objects.bulk_create([BareRow(sheet=sheet, words=words) for _ in range(rows)])
    return redirect("bare_page", rows)
