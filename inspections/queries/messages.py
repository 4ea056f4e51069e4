"""Who gets messages, what they chose, and which mail did not go out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from inspections.message_times import Wish, due_day
from inspections.models import DeskMail, Message, MessageChoice
from venue.models import Membership, Person, Venue
from venue.queries.people import memberships
from venue.roles import MAY, may

NO_MAIL = ".invalid"  # names that no mail ever reaches (RFC 2606)


@dataclass(frozen=True)
class Due:
    """A message that is due to a person, for a day."""

    person: Person
    role: str
    kind: str
    day: date


def wish_of(choice: MessageChoice | None, role: str) -> Wish:
    """Without a choice the defaults hold; the weekly message is the manager's."""
    choice = choice or MessageChoice()
    wanted = {Message.Kind.DAILY: choice.daily, Message.Kind.WEEKLY: choice.weekly}
    kinds = {str(kind) for kind, yes in wanted.items() if yes and kind in kinds_for(role)}
    return Wish(
        frozenset(kinds), choice.hour, choice.weekday, choice.quiet_from, choice.quiet_until
    )


def kinds_for(role: str) -> list[str]:
    """
    >>> kinds_for("manager"), kinds_for("stagehand"), kinds_for("auditor")
    (['daily', 'weekly'], ['daily'], [])
    """
    daily = [str(Message.Kind.DAILY)] if may(role, "get messages") else []
    return [*daily, *([str(Message.Kind.WEEKLY)] if may(role, "plan tasks") else [])]


def choice_of(venue: Venue, person: Person) -> MessageChoice | None:
    return MessageChoice.objects.filter(venue=venue, person=person).first()


def choices_to_try(venue: Venue, at: datetime) -> list[Due]:
    """Whose message is due now and neither settled nor in another's hands; three queries."""
    now = at.astimezone(venue.zone)
    wished = [
        Due(row.person, row.role, kind, day)
        for row, wish in _wishes(venue)
        for kind in sorted(wish.kinds)
        if (day := due_day(kind, wish, now))
    ]
    done = _not_to_try(venue, {each.day for each in wished}, at)
    return [one for one in wished if (one.person.pk, one.kind, one.day) not in done]


def _wishes(venue: Venue) -> list[tuple[Membership, Wish]]:
    choices = {one.person_id: one for one in MessageChoice.objects.filter(venue=venue)}
    rows = memberships(venue).filter(role__in=MAY["get messages"], person__is_active=True)
    reached = rows.exclude(person__email__endswith=NO_MAIL).order_by("pk")
    return [(row, wish_of(choices.get(row.person_id), row.role)) for row in reached]


def _not_to_try(venue: Venue, days: Iterable[date], at: datetime) -> set[tuple[int, str, date]]:
    rows = Message.objects.filter(venue=venue, day__in=days)
    open_again = rows.filter(state=Message.State.WAITING, held_until__lte=at)
    return set(rows.exclude(pk__in=open_again).values_list("person_id", "kind", "day"))


def unsent(venue: Venue, day: date) -> list[Message | DeskMail]:
    """What the mail server did not take, the newest first: messages of that day and the two before,
    mails about the audit desk until a week after they were given up."""
    since = day - timedelta(days=2)
    rows = Message.objects.filter(venue=venue, state=Message.State.WAITING, day__gte=since)
    states = (DeskMail.State.WAITING, DeskMail.State.GIVEN_UP)
    week = datetime.combine(day - timedelta(days=7), time.min, tzinfo=venue.zone)
    desk = DeskMail.objects.filter(venue=venue, state__in=states, at__gte=week)
    found: list[Message | DeskMail] = [*rows.exclude(error="").select_related("person")]
    found += desk.exclude(error="").select_related("person", "venue")
    return sorted(found, key=lambda row: row.at, reverse=True)
