"""Make, renew and withdraw the secret address of a feed; note what changed in the feeds."""

from __future__ import annotations

import secrets
from datetime import datetime

from django.db import transaction

from inspections.models import FeedEntry, TaskFeed
from inspections.queries.task_feeds import running_feed_venues, said, shown_tasks
from venue.actions.log import write_line
from venue.models import Membership, Person, Place, Role, Venue

BATCH = 500


def renew_feed_of_person(*, venue: Venue, person: Person, by: Person, at: datetime) -> TaskFeed:
    """A first address, or another in the place of the last, which then no longer answers. That of
    an outside examiner also holds what of their trade is given to nobody yet."""
    membership = Membership.objects.get(venue=venue, person=person, ended_on=None)
    outside = membership.role == Role.EXAMINER
    whose = TaskFeed.Whose.EXAMINER if outside else TaskFeed.Whose.PERSON
    return _renew(TaskFeed(venue=venue, whose=whose, person=person), by, at)


def renew_feed_of_place(*, venue: Venue, place: Place, by: Person, at: datetime) -> TaskFeed:
    return _renew(TaskFeed(venue=venue, whose=TaskFeed.Whose.PLACE, place=place), by, at)


def withdraw_feed(*, feed: TaskFeed, by: Person, at: datetime) -> None:
    """The address no longer answers."""
    with transaction.atomic():
        rows = TaskFeed.objects.filter(pk=feed.pk, withdrawn_at=None)
        if rows.update(withdrawn_at=at):
            write_line(venue=feed.venue, by=by, at=at, did="withdraw_task_feed", subject=feed)


def _renew(wanted: TaskFeed, by: Person, at: datetime) -> TaskFeed:
    with transaction.atomic():
        Venue.objects.select_for_update(no_key=True).get(pk=wanted.venue_id)
        running = TaskFeed.objects.filter(venue=wanted.venue, withdrawn_at=None)
        running = running.filter(person=wanted.person, place=wanted.place)
        did = "renew_task_feed" if running.update(withdrawn_at=at) else "make_task_feed"
        wanted.nonce, wanted.since = secrets.token_hex(16), at
        wanted.save(force_insert=True)
        write_line(venue=wanted.venue, by=by, at=at, did=did, subject=wanted)
        note_feed_changes(venue=wanted.venue, at=at)
    return wanted


def note_changed_tasks(*, at: datetime) -> int:
    """For every venue with a feed. Returns how many tasks show otherwise than before."""
    return sum(note_feed_changes(venue=venue, at=at) for venue in running_feed_venues())


def note_feed_changes(*, venue: Venue, at: datetime) -> int:
    """Number what shows otherwise than when it was last noted. Bookkeeping of the feeds, and no
    change of the house: it has no line in the log."""
    moment = at.replace(microsecond=0)
    with transaction.atomic():
        tasks = list(shown_tasks(venue, at))
        rows = FeedEntry.objects.select_for_update().filter(task__in=tasks)
        entries = {entry.task_id: entry for entry in rows}
        new, changed = [], []
        for task in tasks:
            sha256, entry = said(task).sha256(), entries.get(task.pk)
            if entry is None:
                new.append(FeedEntry(task=task, sha256=sha256, changed_at=moment))
            elif entry.sha256 != sha256:
                entry.sha256, entry.changed_at = sha256, moment
                entry.sequence += 1
                changed.append(entry)
        FeedEntry.objects.bulk_create(new, batch_size=BATCH, ignore_conflicts=True)
        FeedEntry.objects.bulk_update(
            changed, ["sha256", "changed_at", "sequence"], batch_size=BATCH
        )
    return len(new) + len(changed)
