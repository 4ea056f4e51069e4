"""Let an outside auditor in by a link, for some days; keep who opened it; end it."""

from __future__ import annotations

import hashlib
import secrets
from datetime import date, datetime, time, timedelta

from django.db import transaction

from inspections.models import DeskLink
from venue.actions.log import write_line
from venue.models import Membership, Person, Role, Venue
from venue.person_references import TextAbout

LONGEST = timedelta(days=90)
TOKEN_BYTES = 32  # 256 bits
NO_MAIL = "desk-link.invalid"  # a name that no mail ever reaches (RFC 2606)


class LinkRefused(ValueError):
    """Says why, and what to do."""


def sha256_of_token(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


def make_desk_link(
    *, venue: Venue, name: str, address: str, last_day: date, by: Person, at: datetime
) -> tuple[DeskLink, str]:
    """The link and its secret, which is told here and never again. Raises LinkRefused."""
    today = at.astimezone(venue.zone).date()
    if not today <= last_day <= today + LONGEST:
        raise LinkRefused(f"A link is good until a day from today to {today + LONGEST:%-d %B %Y}.")
    token = secrets.token_urlsafe(TOKEN_BYTES)
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=venue.pk)  # two at once: one waits
        _refuse_a_second(venue, address, at)
        person = Person.objects.create_user(f"{secrets.token_hex(16)}@{NO_MAIL}", name)
        membership = Membership.objects.create(
            person=person, venue=venue, role=Role.AUDITOR, since=today
        )
        link = DeskLink.objects.create(
            venue=venue, membership=membership, address=address, made_by=by, made_at=at,
            token_sha256=sha256_of_token(token), last_day=last_day, ends_at=_end_of(venue, last_day),
        )  # fmt: skip
        after = {"person": person, "address": TextAbout(address, person), "last_day": last_day}
        write_line(venue=venue, by=by, at=at, did="make_desk_link", subject=link, after=after)
    return link, token


def open_desk_link(*, link: DeskLink, at: datetime) -> None:
    """That it was opened; whoever calls has looked whether it is still good."""
    with transaction.atomic():
        write_line(venue=link.venue, by=link.person, at=at, did="open_desk_link", subject=link)


def revoke_desk_link(*, link: DeskLink, by: Person, at: datetime) -> None:
    """From now on neither the link nor a browser that opened it gets anything. Twice changes nothing."""
    with transaction.atomic():
        rows = DeskLink.objects.filter(pk=link.pk, revoked_at=None, ends_at__gt=at)
        if rows.update(revoked_by=by, revoked_at=at):
            _shut(link, at)
            write_line(venue=link.venue, by=by, at=at, did="revoke_desk_link", subject=link)


def end_past_desk_links(*, at: datetime) -> int:
    """Links whose time is over gave nothing any more; their auditors lose the role as well."""
    past = DeskLink.objects.filter(ends_at__lte=at, membership__ended_on=None)
    ended = 0
    for link in past.select_related("venue", "membership__person"):
        with transaction.atomic():
            if _shut(link, at):
                write_line(venue=link.venue, by=None, at=at, did="end_desk_link", subject=link)
                ended += 1
    return ended


def _refuse_a_second(venue: Venue, address: str, at: datetime) -> None:
    running = DeskLink.objects.in_venue(venue).filter(
        address__iexact=address, revoked_at=None, ends_at__gt=at, membership__ended_on=None
    )
    if other := running.first():
        raise LinkRefused(
            f"{address} has a link until {other.last_day:%-d %B %Y} already. Revoke it first if it "
            "was lost: its secret is kept nowhere, so it cannot be shown again."
        )


def _shut(link: DeskLink, at: datetime) -> int:
    rows = Membership.objects.filter(pk=link.membership_id, ended_on=None)
    return rows.update(ended_on=at.astimezone(link.venue.zone).date())


def _end_of(venue: Venue, day: date) -> datetime:
    return datetime.combine(day + timedelta(days=1), time.min, tzinfo=venue.zone)
