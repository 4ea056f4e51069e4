"""Choose the language of one's own pages."""

from __future__ import annotations

from datetime import datetime

from django.db import transaction

from venue.actions.log import write_line
from venue.models import Membership, Person


def choose_language(*, person: Person, language: str, by: Person, at: datetime) -> None:
    """It is the person's in every house, so each house's log says it."""
    if person.language == language:
        return
    with transaction.atomic():
        Person.objects.filter(pk=person.pk).update(language=language)
        houses = Membership.objects.filter(person=person, ended_on=None).select_related("venue")
        for member in houses.order_by("venue_id"):
            write_line(
                venue=member.venue, by=by, at=at, did="choose_language", subject=person,
                before={"language": person.language}, after={"language": language},
            )  # fmt: skip
