"""A column without case and accents, in both databases, as `venue.folding.folded` does it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from django.db.models import CharField, F, Func, Q, QuerySet, TextField, Value
from django.db.models.functions import Cast, Concat, Length, Lower, Replace, StrIndex

from venue.folding import ACCENTS, LONGER, folded

NAME = "loftbook_folded"
Rows = TypeVar("Rows", bound=QuerySet[Any])


class Folded(Func):
    """SQLite asks our own function; PostgreSQL has one for single letters."""

    function = NAME
    arity = 1
    output_field = TextField()

    def as_sqlite(self, compiler: Any, connection: Any, **more: Any) -> Any:
        connection.ensure_connection()
        connection.connection.create_function(NAME, 1, _folded, deterministic=True)
        return super().as_sql(compiler, connection, **more)

    def as_postgresql(self, compiler: Any, connection: Any, **more: Any) -> Any:
        plain: Any = self.get_source_expressions()[0]
        for letter, letters in LONGER.items():
            plain = Replace(plain, Value(letter), Value(letters))
        single = _Translated(plain, Value("".join(ACCENTS)), Value("".join(ACCENTS.values())))
        return compiler.compile(Lower(single))


class _Translated(Func):
    function = "TRANSLATE"
    output_field = TextField()


def _folded(text: str | None) -> str:
    return folded(text or "")


def holding(
    rows: Rows, words: list[str], *columns: str, also: Callable[[str], Q] = lambda word: Q()
) -> Rows:
    """Rows of which every word stands in one of the columns; the nearer to the beginning of the first,
    the earlier. `also`: where else a word may stand."""
    parts: list[Any] = []
    for column in columns:
        parts += [Cast(F(column), TextField()), Value(" ")]
    found = rows.annotate(folded=Folded(Concat(*parts, output_field=TextField())))
    every = Q()
    for number, word in enumerate(words):
        name = f"at_{number}"
        found = found.annotate(**{name: StrIndex("folded", Value(word, output_field=CharField()))})
        every &= Q(**{f"{name}__gt": 0}) | also(word)
    return found.filter(every).order_by("at_0", Length("folded"), "pk")
