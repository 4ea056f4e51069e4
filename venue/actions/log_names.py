"""Give log lines the references that stand for names, and keep what they stand for."""

from __future__ import annotations

from datetime import datetime

from django.db.models import CharField, Expression, OuterRef, Subquery, Value
from django.db.models.functions import Cast

from venue.models import KeptName, Person, Venue
from venue.person_references import TextAbout, new_salt, reference_of


def reference_of_writer(by: Person | None) -> Expression | Subquery:
    """For the query that locks the log's head, so that the usual line costs none of its own."""
    if by is None:
        return Cast(Value(None), CharField())
    rows = KeptName.objects.filter(venue=OuterRef("venue"), person=by, said=by.name)
    return Subquery(rows.values("reference")[:1])


class NamesInLog:
    """The references of one venue's names, each asked for once. Used while the log's head is locked,
    so that nobody else makes a row for the same name meanwhile."""

    def __init__(self, venue: Venue, at: datetime) -> None:
        self._venue, self._at = venue, at
        self._known: dict[tuple[int | None, str], str] = {}

    def learn(self, person: Person, reference: str) -> None:
        self._known[person.pk, person.name] = reference

    def reference(self, about: Person | TextAbout) -> str:
        """The one there is, or a new one with its own salt. Nothing said needs no reference."""
        person = about if isinstance(about, Person) else about.person
        said = str(about)
        if not said:
            return ""
        key = (person.pk if person else None, said)
        if key not in self._known:
            self._known[key] = self._kept(person, said)
        return self._known[key]

    def _kept(self, person: Person | None, said: str) -> str:
        rows = KeptName.objects.filter(venue=self._venue, person=person, said=said)
        if row := rows.first():
            return row.reference
        salt = new_salt()
        made = KeptName.objects.create(
            venue=self._venue, person=person, said=said, salt=salt,
            reference=reference_of(salt, said), at=self._at,
        )  # fmt: skip
        return made.reference
