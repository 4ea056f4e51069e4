"""Who gets messages, what they chose, and which mail did not go out."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from inspections.message_times import Wish, due_day, is_over, until_quiet
from inspections.models import DeskMail, Message, MessageChoice, PushDevice
from inspections.queries.push_devices import devices_of_all
from venue.models import Person, Venue
from venue.queries.people import memberships
from venue.roles import MAY, may

NO_MAIL = ".invalid"  # names that no mail ever reaches (RFC 2606)


@dataclass(frozen=True)
class Due:
    """A message that is due to a person, for a day: a mail, or to a device of theirs. `good_for`: until
    their quiet hours begin."""

    person: Person
    role: str
    kind: str
    day: date
    device: PushDevice | None = None
    good_for: timedelta = timedelta(days=1)


def wish_of(choice: MessageChoice | None, role: str) -> Wish:
    """Without a choice the defaults hold; the weekly message is the manager's."""
    choice = choice or MessageChoice()
    wanted = {Message.Kind.DAILY: choice.daily, Message.Kind.WEEKLY: choice.weekly}
    kinds = {str(kind) for kind, yes in wanted.items() if yes and kind in kinds_for(role)}
    return Wish(
        frozenset(kinds), choice.hour, choice.weekday, choice.quiet_from, choice.quiet_until
    )


def way_of(choice: MessageChoice | None, kind: str) -> str:
    """
    >>> str(way_of(None, "daily")), way_of(MessageChoice(weekly_by="both"), "weekly")
    ('mail', 'both')
    """
    choice = choice or MessageChoice()
    return choice.weekly_by if kind == Message.Kind.WEEKLY else choice.daily_by


def kinds_for(role: str) -> list[str]:
    """
    >>> kinds_for("manager"), kinds_for("stagehand"), kinds_for("auditor")
    (['daily', 'weekly'], ['daily'], [])
    """
    daily = [str(Message.Kind.DAILY)] if may(role, "get messages") else []
    return [*daily, *([str(Message.Kind.WEEKLY)] if may(role, "plan tasks") else [])]


def choice_of(venue: Venue, person: Person) -> MessageChoice | None:
    return MessageChoice.objects.filter(venue=venue, person=person).first()


def mails_to_try(venue: Venue, at: datetime) -> list[Due]:
    """Whose mail is due now and neither settled nor in another's hands; three queries. Who wants it on
    a device and has none any more gets it by mail."""
    wished = [
        (due, way) for due, way in _wished(venue, at) if not due.person.email.endswith(NO_MAIL)
    ]
    only_there = {due.person.pk for due, way in wished if way == MessageChoice.By.PHONE}
    having = devices_of_all(only_there)
    mails = [
        due for due, way in wished if way != MessageChoice.By.PHONE or due.person.pk not in having
    ]
    return _still_to_try(venue, mails, at)


def pushes_to_try(venue: Venue, at: datetime) -> list[Due]:
    """The same for devices, one for each that a person allowed; four queries."""
    wished = [due for due, way in _wished(venue, at) if way != MessageChoice.By.MAIL]
    having = devices_of_all({due.person.pk for due in wished})
    pushes = [replace(due, device=each) for due in wished for each in having.get(due.person.pk, ())]
    return _still_to_try(venue, pushes, at)


def _wished(venue: Venue, at: datetime) -> list[tuple[Due, str]]:
    """Every message whose hour has come, with how it is wanted."""
    now = at.astimezone(venue.zone)
    choices = {one.person_id: one for one in MessageChoice.objects.filter(venue=venue)}
    rows = memberships(venue).filter(role__in=MAY["get messages"], person__is_active=True)
    return [
        (
            Due(row.person, row.role, kind, day, good_for=until_quiet(wish, now)),
            way_of(choice, kind),
        )
        for row in rows.order_by("pk")
        for choice in [choices.get(row.person_id)]
        for wish in [wish_of(choice, row.role)]
        for kind in sorted(wish.kinds)
        if (day := due_day(kind, wish, now))
    ]


def _still_to_try(venue: Venue, wished: list[Due], at: datetime) -> list[Due]:
    """Those that were tried least first, so that what is stuck keeps nothing else waiting."""
    tried = _attempts(venue, {each.day for each in wished}, at)
    still = [(tried.get(_key(one), 0), one) for one in wished]
    open_again = [(attempts, one) for attempts, one in still if attempts is not None]
    return [one for _, one in sorted(open_again, key=lambda pair: pair[0])]


Key = tuple[int, str, date, int | None]


def _key(due: Due) -> Key:
    return due.person.pk, due.kind, due.day, due.device.pk if due.device else None


def _attempts(venue: Venue, days: Iterable[date], at: datetime) -> dict[Key, int | None]:
    """How often each message was tried; none: it is not to be tried now."""
    rows = Message.objects.filter(venue=venue, day__in=days)
    told = rows.values_list(
        "person_id", "kind", "day", "device_id", "attempts", "state", "held_until"
    )
    return {
        (person, kind, day, device): attempts
        if state == Message.State.WAITING and held_until and held_until <= at
        else None
        for person, kind, day, device, attempts, state, held_until in told
    }


@dataclass(frozen=True)
class Unsent:
    """What no server took. `over`: it was given up, because its day is over."""

    row: Message | DeskMail
    over: bool

    @property
    def waits(self) -> bool:
        return self.row.state == Message.State.WAITING and not self.over


def unsent(venue: Venue, day: date) -> list[Unsent]:
    """What no server took, the newest first: messages of that day and the two before, mails about the
    audit desk until a week after they were given up."""
    since = day - timedelta(days=2)
    rows = Message.objects.filter(venue=venue, state=Message.State.WAITING, day__gte=since)
    states = (DeskMail.State.WAITING, DeskMail.State.GIVEN_UP)
    week = datetime.combine(day - timedelta(days=7), time.min, tzinfo=venue.zone)
    desk = DeskMail.objects.filter(venue=venue, state__in=states, at__gte=week)
    found = [
        Unsent(row, is_over(row.kind, row.day, day))
        for row in rows.exclude(error="").select_related("person")
    ]
    mails = desk.exclude(error="").select_related("person", "venue")
    found += [Unsent(row, over=False) for row in mails]
    return sorted(found, key=lambda one: one.row.at, reverse=True)
