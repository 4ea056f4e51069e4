"""How far the first hour is: what the house itself shows, and what somebody said of a step."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from django.db.models import QuerySet
from django.utils.formats import date_format

from inspections.models import Plan, Record, YearPlan
from inspections.set_up_steps import StepState, step_states
from venue.models import Booking, Equipment, Membership, Place, SetUpStep, Venue
from venue.queries.people import waits_for_password


def counted(number: int, one: str, many: str = "") -> str:
    """
    >>> counted(1, "thing"), counted(0, "thing"), counted(2, "person", "people")
    ('1 thing', '0 things', '2 people')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


def set_up_states(venue: Venue, at: datetime) -> list[StepState]:
    said = dict(SetUpStep.objects.filter(venue=venue).values_list("step", "said"))
    seen = {slug: words for slug, words in _seen(venue, at) if words}
    done = {slug for slug in seen if slug != "people"}
    if _people_of(venue).count() > 1:
        done.add("people")
    done |= {step for step, word in said.items() if word == SetUpStep.Said.DONE}
    later = {step for step, word in said.items() if word == SetUpStep.Said.LATER}
    return step_states(done, later - done, seen)


def _seen(venue: Venue, at: datetime) -> Iterator[tuple[str, str]]:
    """What the house shows of each step; nothing where it shows nothing yet."""
    choices = venue.rule_choices.filter(ended_on__isnull=True).count()
    yield "rules", f"{counted(choices, 'rule set')} in force" if choices else ""
    yield "register", _register_words(venue)
    yield "regimes", _plans_words(venue)
    yield "calendar", _calendar_words(venue, at)
    people = _people_of(venue)
    waiting = sum(waits_for_password(one.person) for one in people.select_related("person"))
    asked = f", {waiting} invited and not here yet" if waiting else ""
    yield "people", f"{counted(people.count(), 'person', 'people')}{asked}"
    plan = YearPlan.objects.filter(venue=venue, state="published").exists()
    yield "year", "A plan is published" if plan else ""
    records = Record.objects.filter(venue=venue).count()
    yield "check", counted(records, "record") if records else ""


def _people_of(venue: Venue) -> QuerySet[Membership]:
    """Without those whom a link lets in for some days."""
    return venue.memberships.filter(ended_on__isnull=True, desk_link=None)


def _register_words(venue: Venue) -> str:
    things = Equipment.objects.filter(venue=venue).count()
    places = Place.objects.filter(venue=venue).count()
    return f"{counted(things, 'thing')} in {counted(places, 'place')}" if things else ""


def _plans_words(venue: Venue) -> str:
    running = Plan.objects.filter(equipment__venue=venue, ended_on__isnull=True)
    plans, things = running.count(), running.values("equipment").distinct().count()
    return f"{counted(plans, 'plan')} on {counted(things, 'thing')}" if plans else ""


def _calendar_words(venue: Venue, at: datetime) -> str:
    if venue.calendar_known_until is None:
        return ""
    ahead = Booking.objects.filter(venue=venue, ends__gte=at).count()
    until = date_format(venue.calendar_known_until, "j M Y")
    return f"{counted(ahead, 'booking')} ahead, entered until {until}"
