"""The links that let outside auditors in, and how often each was opened."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db.models import Count, Max, QuerySet

from inspections.models import DeskLink
from venue.models import LogLine, Person, Venue


@dataclass(frozen=True)
class LinkRow:
    link: DeskLink
    standing: str
    opened: int
    last_opened: datetime | None


def _links() -> QuerySet[DeskLink]:
    return DeskLink.objects.select_related("venue", "membership__person", "made_by", "revoked_by")


def link_of_token(token_sha256: str) -> DeskLink | None:
    """Found by the hash, so that the time it takes says nothing of a token that nearly fits."""
    return _links().filter(token_sha256=token_sha256).first()


def link_of_session(pk: int, person: Person) -> DeskLink | None:
    return _links().filter(pk=pk, membership__person=person).first()


def links_of(venue: Venue) -> QuerySet[DeskLink]:
    return _links().filter(venue=venue)


def link_rows(venue: Venue, at: datetime) -> list[LinkRow]:
    """The newest first, with what the log tells of their openings; fifty at most."""
    told = LogLine.objects.in_venue(venue).filter(did="open_desk_link").order_by()
    opened = {
        subject: (count, last)
        for subject, count, last in told.values("subject")
        .annotate(count=Count("pk"), last=Max("at"))
        .values_list("subject", "count", "last")
    }
    return [
        LinkRow(link, link.standing(at), *opened.get(f"{link._meta.label_lower} {link.pk}", (0, None)))
        for link in links_of(venue)[:50]
    ]  # fmt: skip


def running_link_of(person: Person, at: datetime) -> DeskLink | None:
    link = _links().filter(membership__person=person).order_by("-pk").first()
    return link if link and link.standing(at) == "running" else None


def address_for(person: Person, at: datetime) -> str:
    """Where mail reaches somebody: of whoever came by a link, the address it was made for, and none
    once it is over."""
    if link := running_link_of(person, at):
        return link.address
    return "" if DeskLink.objects.filter(membership__person=person).exists() else person.email
