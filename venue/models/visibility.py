"""Every object is reached through `visible_to(person)`: a stranger's id does not exist (404)."""

from __future__ import annotations

from typing import TYPE_CHECKING, ClassVar, Self

from django.db import models

if TYPE_CHECKING:
    from venue.models.person import Person


class VisibleQuerySet(models.QuerySet):
    """Rows of venues in which the person holds a role. `venue_path` leads from the row to its venue."""

    venue_path: ClassVar[str] = "venue"

    def visible_to(self, person: Person) -> Self:
        return self.filter(**{f"{self.venue_path}__in": person.venue_ids()})

    def in_venue(self, venue: models.Model) -> Self:
        return self.filter(**{self.venue_path: venue})


def visible_through(path: str) -> type[VisibleQuerySet]:
    """A queryset class whose rows reach their venue by `path`, e.g. "equipment__venue"."""
    return type(f"VisibleThrough_{path}", (VisibleQuerySet,), {"venue_path": path})
