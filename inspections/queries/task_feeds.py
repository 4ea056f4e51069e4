"""The tasks of a feed as a calendar, and the feeds that there are."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from urllib.parse import urlsplit

from django.conf import settings
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils.crypto import constant_time_compare

from inspections.feed_words import TaskFacts, TaskSaid, said_of
from inspections.half_days import clock_times
from inspections.held_half_days import Hours
from inspections.models import ExaminerTrade, FeedEntry, Task, TaskFeed
from inspections.queries.tasks import theirs, with_people
from inspections.queries.work_of_plans import trade_of
from inspections.work_files import work_needs
from venue.calendar.writing import DayEvent, write_calendar
from venue.models import Competence, Membership, Person, Place, Role, Venue

SHOWN_BACK = timedelta(days=60)
LEVELS = dict(Competence.Level.choices)
OUTSIDE = Competence.Level.OUTSIDE_EXAMINER


def feed_by_token(pk: int, token: str) -> TaskFeed | None:
    """The running feed with this secret, as long as its person has a role in the venue. Whether
    there is such a feed is not told by the time this takes."""
    rows = TaskFeed.objects.select_related("venue", "person", "place")
    feed = rows.filter(pk=pk, withdrawn_at=None).first() or TaskFeed(pk=pk, nonce="")
    known = constant_time_compare(token, feed.token) and feed.nonce != ""
    return feed if known and (feed.person is None or _role(feed)) else None


def _role(feed: TaskFeed) -> str:
    assert feed.person
    running = Membership.objects.filter(
        person=feed.person, venue=feed.venue, ended_on=None, person__is_active=True
    )
    return running.values_list("role", flat=True).first() or ""


def feed_calendar(feed: TaskFeed, at: datetime) -> bytes:
    """Every task of the feed, the done and cancelled of the last two months marked as such."""
    tasks = list(_tasks_of(feed, at))
    entries = {entry.task_id: entry for entry in FeedEntry.objects.filter(task__in=tasks)}
    events = [_event(task, entries.get(task.pk), at) for task in tasks]
    return write_calendar(f"{feed.venue.name}: {_name(feed)}", events)


def _name(feed: TaskFeed) -> str:
    return f"tasks of {feed.person}" if feed.person else f"tasks in {feed.place}"


def shown_tasks(venue: Venue, at: datetime) -> QuerySet[Task]:
    since = at.astimezone(venue.zone).date() - SHOWN_BACK
    rows = Task.objects.filter(venue=venue)
    rows = rows.filter(Q(state=Task.State.OPEN) | Q(planned_on__gte=since) | Q(done_on__gte=since))
    return with_people(rows).select_related("venue__planning_settings")


def _tasks_of(feed: TaskFeed, at: datetime) -> Iterable[Task]:
    rows = shown_tasks(feed.venue, at)
    if feed.whose == TaskFeed.Whose.PLACE and feed.place_id:
        return rows.filter(equipment__place__in=_inside(feed.venue, feed.place_id))
    assert feed.person
    if feed.whose == TaskFeed.Whose.EXAMINER:
        # And what of their trade is given to nobody yet.
        waiting, trades = rows.filter(person=None, plan__level=OUTSIDE), _trades_of(feed)
        mine = [task.pk for task in waiting if trade_of(task.plan, task.equipment.kind) in trades]
        return rows.filter(theirs(feed.person) | Q(pk__in=mine))
    return rows.filter(theirs(feed.person))


def _trades_of(feed: TaskFeed) -> set[str]:
    """Those that an examiner is named for; who is named for none, those that name nobody."""
    rows = ExaminerTrade.objects.filter(venue=feed.venue, person__isnull=False)
    named = dict(rows.values_list("slug", "person_id"))
    mine = {slug for slug, person in named.items() if person == feed.person_id}
    return mine or set(work_needs().trades) - set(named)


def _inside(venue: Venue, place: int) -> set[int]:
    """A place and everything that stands in it."""
    parents = list(Place.objects.filter(venue=venue).values_list("pk", "parent_id"))
    found, more = {place}, {place}
    while more:
        more = {pk for pk, parent in parents if parent in more} - found
        found |= more
    return found


def said(task: Task) -> TaskSaid:
    return said_of(
        TaskFacts(
            what=task.plan.version.title, equipment=str(task.equipment),
            place=task.equipment.place.name, level=LEVELS.get(task.plan.level, task.plan.level),
            person=task.person.name if task.person else "", planned_on=task.planned_on,
            due_on=task.due_on, last_lawful_on=task.last_lawful_on, state=task.state,
            done_on=task.done_on, address=_address(task), half=task.half_words, times=_times(task),
            helpers=tuple(helper.name for helper in task.helpers.all()),
        )
    )  # fmt: skip


def _times(task: Task) -> tuple[datetime, datetime] | None:
    """By the hours that the house gave; those that nobody gave are not made up."""
    told = getattr(task.venue, "planning_settings", None)
    if told is None:
        return None
    hours = Hours(told.morning_starts, told.noon, told.afternoon_ends)
    return clock_times(task.planned_on, task.half, task.half_days, hours, task.venue.zone)


def _address(task: Task) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse("task", args=[task.venue.slug, task.pk])


def _event(task: Task, entry: FeedEntry | None, at: datetime) -> DayEvent:
    """Changed since it was last noted (which the background work does within minutes): a number
    higher, from now."""
    told = said(task)
    same = entry is not None and entry.sha256 == told.sha256()
    sequence = 0 if entry is None else entry.sequence + (not same)
    host = urlsplit(settings.LOFTBOOK_ADDRESS).hostname
    return DayEvent(
        uid=f"task-{task.pk}@{host}", day=told.day, summary=told.summary,
        description=told.description, location=told.location, address=_address(task),
        sequence=sequence, changed=entry.changed_at if entry and same else at.replace(microsecond=0),
        cancelled=told.cancelled, times=told.times,
    )  # fmt: skip


@dataclass(frozen=True)
class FeedRow:
    feed: TaskFeed
    address: str  # empty: it is somebody's own


def address_of(feed: TaskFeed) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse("task_feed", args=[feed.pk, feed.token])


def own_feed(venue: Venue, person: Person) -> TaskFeed | None:
    rows = TaskFeed.objects.visible_to(person).in_venue(venue).filter(withdrawn_at=None)
    return rows.filter(person=person).select_related("person", "place").first()


def feed_rows(venue: Venue, by: Person) -> list[FeedRow]:
    """For the manager: of places and examiners with their address, of other people without."""
    rows = TaskFeed.objects.visible_to(by).in_venue(venue).filter(withdrawn_at=None)
    return [
        FeedRow(feed, "" if feed.whose == TaskFeed.Whose.PERSON else address_of(feed))
        for feed in rows.select_related("person", "place")
    ]


def examiners_of(venue: Venue) -> Iterable[Person]:
    rows = Membership.objects.filter(venue=venue, role=Role.EXAMINER, ended_on=None)
    return [row.person for row in rows.select_related("person")]


def running_feed_venues() -> Iterator[Venue]:
    yield from Venue.objects.filter(
        task_feeds__withdrawn_at=None, task_feeds__isnull=False
    ).distinct()
