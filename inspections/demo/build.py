"""Build the demo house through the same actions that people use, so that its log and records are
real. Seeded: the same day gives the same house."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date, datetime, time, timedelta
from functools import partial

from inspections.actions.generate_tasks import generate_tasks
from inspections.actions.venue_seal import venue_seal
from inspections.demo import scenario, season
from inspections.demo.checks import Span
from inspections.demo.cures import People, stop
from inspections.demo.diary import Diary, live_through, needs_of, put_right_later
from inspections.demo.loose_ends import (
    agree_days,
    answer_about_it,
    ask_about_the_cancelled_one,
    cancel_one,
    hang_anew,
    picture_equipment,
    put_off_the_overdue_one,
)
from inspections.demo.machines import larkspur_machines, studio_machines
from inspections.demo.plans import apply_plans, starts
from inspections.demo.register import bring_in_register
from inspections.demo.stories import ANSWERED, ASKED, CANCELLED, NEW_HANGS, STOPS, Stop
from inspections.demo.year import plan_the_year
from rigging.actions.choose_ruleset import choose_ruleset
from venue.actions.house import add_bookings, change_venue
from venue.actions.people import add_competence, add_person
from venue.models import Booking, Organisation, Person, Venue

Season = Callable[[date, date], Iterable[season.Call]]

DAYS_BACK, STUDIO_DAYS_BACK = 730, 240
SEASON = 182  # the bookings of half a year are entered at a time
SEASONS_AHEAD = 2  # and two more of them, so that a year can be planned
TICK = 180  # the plans are rolled on: their tasks reach 15 months ahead
RULES = (
    ("us-osha-1926-1413", "The insurer asks for this rule on every running rope."),
    ("us-msha-30cfr-56-19024",
     "The stricter count in the valleys, and the loss from the baseline."),
)  # fmt: skip


def build(now: datetime) -> Venue:
    """The Larkspur with two years of history, and its sister house with some months."""
    larkspur, people = open_larkspur(now)
    _live(larkspur, people, now, DAYS_BACK)
    plan_the_year(venue=larkspur, people=people, at=now)
    studio, studio_people = _open_studio(larkspur, people, now)
    _live(studio, studio_people, now, STUDIO_DAYS_BACK)
    return larkspur


def open_larkspur(now: datetime) -> tuple[Venue, People]:
    """The house as it began to keep this book: its people, its rules, its register; no history."""
    organisation = Organisation.objects.create(
        slug="larkspur-trust", name="The Larkspur Trust", address="1 Quay Row, Tern Harbour"
    )
    venue = _venue(organisation, "larkspur", "The Larkspur")
    begun = _morning(venue, now, DAYS_BACK)
    venue_seal(venue, begun)
    people = _people(venue, scenario.PEOPLE, begun, now.date())
    manager = people[scenario.ODILE]
    for slug, why in RULES:
        choose_ruleset(venue=venue, ruleset=slug, why=why, by=manager, at=begun)
    bring_in_register(
        venue=venue,
        places=scenario.LARKSPUR_PLACES,
        machines=larkspur_machines(),
        by=manager,
        at=begun,
    )
    return venue, people


def _open_studio(larkspur: Venue, known: People, now: datetime) -> tuple[Venue, People]:
    venue = _venue(larkspur.organisation, "tern-studio", "The Tern Studio")
    begun = _morning(venue, now, STUDIO_DAYS_BACK)
    venue_seal(venue, begun)
    here = (
        (scenario.KIT, "Kit Marlow", "manager", "qualified_person", "Rigging course 2022"),
        *(row for row in scenario.PEOPLE if row[0] == scenario.MARISOL),
    )
    people = _people(venue, here, begun, now.date())
    slug, why = RULES[0]
    choose_ruleset(venue=venue, ruleset=slug, why=why, by=people[scenario.KIT], at=begun)
    bring_in_register(
        venue=venue, places=scenario.STUDIO_PLACES, machines=studio_machines(),
        by=people[scenario.KIT], at=begun,
    )  # fmt: skip
    return venue, people


def _morning(venue: Venue, now: datetime, days_ago: int) -> datetime:
    day = now.astimezone(venue.zone).date() - timedelta(days=days_ago)
    return datetime.combine(day, time(7), venue.zone)


def _venue(organisation: Organisation, slug: str, name: str) -> Venue:
    return Venue.objects.create(
        organisation=organisation, slug=slug, name=name, address=f"{name}, 1 Quay Row, Tern Harbour",
        time_zone="Europe/London", unit_habit="metric", dialect="en-GB",
    )  # fmt: skip


def _people(venue: Venue, rows: Iterable[tuple], begun: datetime, today: date) -> People:
    people: People = {}
    for email, name, role, level, certificate in rows:
        member = add_person(
            venue=venue, email=email, name=name, role=role, password=scenario.PASSWORD,
            by=None, at=begun,
        )  # fmt: skip
        people[email] = member.person
        if level:
            add_competence(
                membership=member, level=level, certificate=certificate, issued_by="Tern Harbour College",
                valid_from=begun.date() - timedelta(days=90), expires_on=_expires(email, today),
                by=None, at=begun,
            )  # fmt: skip
    return people


def _expires(email: str, today: date) -> date:
    """The examiner's card lapses next March, the stagehand's induction within weeks."""
    if email == scenario.MARISOL:
        return date(today.year + (today >= date(today.year, 3, 14)), 3, 14)
    return today + timedelta(days=41 if email == scenario.PRIYA else 700)


def _live(venue: Venue, people: People, now: datetime, days_back: int) -> None:
    today = now.astimezone(venue.zone).date()
    diary = Diary(
        venue=venue, people=people, doers=_doers(people), span=Span(today - timedelta(days=days_back), today),
        leaves=season.leaves_accessible if venue.slug == "larkspur" else season.studio_leaves,
    )  # fmt: skip
    diary.span.look_up_parts(venue)
    _plan_ahead(diary, days_back)
    live_through(diary)
    generate_tasks(venue=venue, by=None, at=now)
    agree_days(venue=venue, people=people, leaves=diary.leaves, needs=needs_of, at=now)


def _doers(people: People) -> dict[str, tuple[str, ...]]:
    if scenario.KIT in people:
        kit = (scenario.KIT,)
        return {
            "trained_user": kit, "competent_person": kit, "qualified_person": kit,
            "outside_examiner": (scenario.MARISOL,),
        }  # fmt: skip
    return {
        "trained_user": (scenario.PRIYA,),
        "competent_person": (scenario.JONAS, scenario.JONAS, scenario.TAM),
        "qualified_person": (scenario.TAM,), "outside_examiner": (scenario.MARISOL,),
    }  # fmt: skip


def _plan_ahead(diary: Diary, days_back: int) -> None:
    """What does not come from a check: the season, the plans, the ticks, what was stopped.
    Before the day's work begins or after it ends, so that the log keeps the order of time."""
    venue, people = diary.venue, diary.people
    manager = next(iter(people.values()))
    calls = season.calls if venue.slug == "larkspur" else season.studio_calls
    for days in range(days_back, -1, -SEASON):
        book = partial(_book, venue, manager, calls, (diary.days_ago(days)).date())
        diary.later(diary.days_ago(days, 7), book)
    ahead = partial(_book_ahead, venue, manager, calls, diary.days_ago(days).date())
    diary.later(diary.days_ago(1, 7), ahead)
    for begun in starts(days_back):
        apply = partial(apply_plans, venue=venue, begun=begun, longest=days_back, by=manager)
        diary.later(diary.days_ago(begun, 8), apply)
    for days in range(days_back - TICK, 0, -TICK):
        tick = partial(generate_tasks, venue=venue, by=None)
        diary.later(diary.days_ago(days, 3), tick)
    if venue.slug == "larkspur":
        _larkspurs_own(diary)


def _larkspurs_own(diary: Diary) -> None:
    for story in STOPS:
        diary.later(diary.days_ago(story.days_ago, 17), partial(_stopped, diary, story))
    for tag, regime, days, why in CANCELLED:
        cancel = partial(cancel_one, diary.venue, tag, regime, why, diary.people[scenario.ODILE])
        diary.later(diary.days_ago(days, 16), cancel)
    diary.later(diary.days_ago(700, 16), partial(picture_equipment, diary.venue, diary.people))
    for hang in NEW_HANGS:
        days, tag, *_ = hang
        piece = diary.venue.equipment.select_related("place").get(tag=tag)
        hung = partial(hang_anew, piece, diary.people, hang)
        day = diary.latest_day_for(piece, days)
        diary.later(diary.hour(day, 8, 25), hung)  # before the day's checks
    for (days, _), deed in ((ASKED, ask_about_the_cancelled_one), (ANSWERED, answer_about_it)):
        diary.later(diary.days_ago(days, 16), partial(deed, diary.venue, diary.people))
    put_off = partial(
        put_off_the_overdue_one, diary.venue, diary.people[scenario.ODILE], diary.span.last
    )
    diary.later(diary.days_ago(9, 16), put_off)


def _stopped(diary: Diary, story: Stop, *, at: datetime) -> None:
    finding = stop(venue=diary.venue, people=diary.people, story=story, at=at)
    if story.cure:
        put_right_later(diary, finding, story.cure, at)


def _book_ahead(
    venue: Venue, manager: Person, calls: Season, newest: date, *, at: datetime
) -> None:
    """The rest of the coming year as well, and the word that the calendar is whole until then."""
    for number in range(1, SEASONS_AHEAD + 1):
        _book(venue, manager, calls, newest + timedelta(days=number * SEASON), at=at)
    until = newest + timedelta(days=(SEASONS_AHEAD + 1) * SEASON - 1)
    change_venue(venue=venue, fields={"calendar_known_until": until}, by=manager, at=at)


def _book(venue: Venue, manager: Person, calls: Season, first: date, *, at: datetime) -> None:
    bookings = [
        Booking(
            venue=venue, what=call.what, title=call.title, leaves_accessible=list(call.leaves),
            starts=datetime.combine(call.day, time(call.first), venue.zone),
            ends=datetime.combine(call.day, time(call.last), venue.zone),
        )
        for call in calls(first, first + timedelta(days=SEASON - 1))
    ]  # fmt: skip
    add_bookings(venue=venue, bookings=bookings, by=manager, at=at)
