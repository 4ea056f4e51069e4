"""A long table on a page: the columns that a person chose stand in the address and are kept on the
device."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from venue.list_order import address
from venue.long_table import COLUMNS, TableKind
from venue.table_shapes import Stretch

Row = TypeVar("Row")
CHOSEN = "column"  # of the form of columns: one for each that is ticked
A_YEAR = 365 * 24 * 3600


def long_list_page(
    request: HttpRequest,
    template: str,
    kind: TableKind[Row],
    rows: Callable[[], Sequence[Row] | Stretch[Row]],
    shown: dict[str, Any],
    status: int = 200,
) -> HttpResponse:
    """The page of a long list; or, right after columns were chosen, the address that names them."""
    if CHOSEN in request.GET:
        return _columns_chosen(request, kind)
    kept = request.COOKIES.get(_cookie(kind), "")
    table = kind.shown(rows(), request.GET.dict(), kept)
    return render(request, template, shown | {"table": table}, status=status)


def _columns_chosen(request: HttpRequest, kind: TableKind[Any]) -> HttpResponse:
    said = kind.said_columns(request.GET.getlist(CHOSEN))
    asked = {name: value for name, value in request.GET.dict().items() if name != CHOSEN}
    answer = redirect(request.path + address(asked, {COLUMNS: said}))
    if said:
        answer.set_cookie(
            _cookie(kind), said, max_age=A_YEAR, samesite="Lax", httponly=True,
            secure=request.is_secure(),
        )  # fmt: skip
    else:
        answer.delete_cookie(_cookie(kind), samesite="Lax")
    return answer


def _cookie(kind: TableKind[Any]) -> str:
    return f"columns-{kind.name}"
