"""Every object is reached through `visible_to(person)`: a stranger's id does not exist (404)."""

from __future__ import annotations

from typing import TYPE_CHECKING, Self

from django.db import models

if TYPE_CHECKING:
    from venue.models.person import Person


class VisibleQuerySet(models.QuerySet):
    """Rows of venues in which the person holds a role. A model that has no `venue` of its own says
    with `venue_path` how its rows reach theirs, e.g. "equipment__venue"."""

    def visible_to(self, person: Person) -> Self:
        return self.filter(**{f"{self._venue_path()}__in": person.venue_ids()})

    def in_venue(self, venue: models.Model) -> Self:
        return self.filter(**{self._venue_path(): venue})

    def _venue_path(self) -> str:
        return getattr(self.model, "venue_path", "venue")
