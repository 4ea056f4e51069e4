"""The people of a venue as the planner knows them: what they may do on which day, and their hours."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from inspections.models import Absence, WorkingWeek
from inspections.models.planning_settings import HALF_DAYS_A_WEEK
from inspections.planning.house import Competence, Person
from inspections.queries.planning_settings import people_who_work, quarters, weeks_of
from inspections.queries.taken_elsewhere import Taken, taken_elsewhere
from venue.models import Competence as Held
from venue.models import Person as Somebody
from venue.models import Venue
from venue.queries.people import LEVELS

ALWAYS = 10**6


@dataclass(frozen=True)
class Span:
    """The days of a year plan."""

    first_day: date
    days: int
    today: date

    @property
    def last_day(self) -> date:
        return self.first_day + timedelta(days=self.days - 1)

    def number(self, day: date) -> int:
        return (day - self.first_day).days

    def notice(self, days: int) -> int:
        """Notice is given from today on, and the planner counts it from its first day."""
        return max(0, days + self.number(self.today))


@dataclass
class People:
    """The planner's people, who they are, and what had to be assumed of them. Certificates and
    absences are those of everybody here, outside examiners too."""

    people: list[Person]
    rows: dict[str, Somebody]
    held: dict[int, list[Held]]
    as_written: dict[int, list[Held]]  # certificates none of which is taken as renewed
    absences: list[Absence]
    elsewhere: dict[str, Taken]  # of whoever works in another venue too
    assumptions: list[str]
    unknowns: list[str]


def planning_people(venue: Venue, span: Span, renewed: bool = False) -> People:
    """Everybody who works here. `renewed`: certificates that end within the span are taken as
    renewed in time."""
    rows = people_who_work(venue)
    names, weeks = _names(rows), weeks_of(venue, rows)
    held, as_written = _held(venue, span, renewed), _held(venue, span, False)
    absences, taken = _absences(venue, span), taken_elsewhere(venue, rows, span)
    people = [
        _person(
            names[week.person_id], week, held[week.person_id],
            _not_there(absences, taken, week.person_id, span), span,
        )
        for week, _ in weeks
        if held[week.person_id]
    ]  # fmt: skip
    return People(
        people, {names[row.pk]: row for row in rows}, held, as_written, absences,
        {names[pk]: each for pk, each in taken.items()},
        [*_assumed_weeks(weeks, held), *_elsewhere(names, taken)], list(_lapses(rows, as_written, span, renewed)),
    )  # fmt: skip


def level_words(level: str) -> str:
    """A level as the planner names a competence."""
    return level.replace("_", " ")


def _names(rows: list[Somebody]) -> dict[int, str]:
    """Two people of one name are told apart by their number."""
    names = [row.name for row in rows]
    return {
        row.pk: row.name if names.count(row.name) == 1 else f"{row.name} ({row.pk})" for row in rows
    }


def _held(venue: Venue, span: Span, renewed: bool) -> dict[int, list[Held]]:
    """Certificates by person. One that has lapsed before the span is not taken as renewed."""
    found: dict[int, list[Held]] = defaultdict(list)
    for row in Held.objects.filter(venue=venue).select_related("person").order_by("pk"):
        if renewed and row.expires_on and row.expires_on >= span.today:
            row.expires_on = None  # in memory only
        found[row.person_id].append(row)
    return found


def _absences(venue: Venue, span: Span) -> list[Absence]:
    rows = Absence.objects.filter(
        venue=venue, last_day__gte=span.first_day, first_day__lte=span.last_day
    )
    return list(rows.select_related("person"))


def days_away(absences: Iterable[Absence], person: int | None, span: Span) -> frozenset[int]:
    """The days of the span on which this person is away."""
    mine = [row for row in absences if row.person_id == person]
    stretches = [(span.number(row.first_day), span.number(row.last_day)) for row in mine]
    return frozenset(
        day for first, last in stretches for day in range(max(0, first), min(span.days, last + 1))
    )


def _not_there(
    absences: Iterable[Absence], taken: Mapping[int, Taken], person: int, span: Span
) -> frozenset[int]:
    """The half-days on which somebody is away, or not to be had because of another venue."""
    away = {2 * day + half for day in days_away(absences, person, span) for half in (0, 1)}
    return taken.get(person, Taken()).slots | away


def _person(
    name: str, week: WorkingWeek, held: list[Held], taken: frozenset[int], span: Span
) -> Person:
    begins = 2 * span.first_day.weekday()
    there = [
        slot not in taken and (begins + slot) % HALF_DAYS_A_WEEK in week.half_days
        for slot in range(2 * span.days)
    ]
    ordinary, over = quarters(week.hours), quarters(week.overtime_hours)
    return Person(
        name,
        tuple(one for row in held for one in _competences(row, span)),
        tuple(ordinary if here else 0 for here in there),
        tuple(over if here else 0 for here in there),
    )


def _competences(row: Held, span: Span) -> Iterator[Competence]:
    """A higher level includes the lower ones."""
    first = span.number(row.valid_from)
    last = ALWAYS if row.expires_on is None else span.number(row.expires_on)
    for level in LEVELS[: LEVELS.index(row.level) + 1]:
        yield Competence(level_words(level), first, last)


def _assumed_weeks(
    weeks: list[tuple[WorkingWeek, bool]], held: dict[int, list[Held]]
) -> Iterator[str]:
    names = [week.person.name for week, given in weeks if not given and held[week.person_id]]
    if names:
        yield (
            f"No working week is entered for {', '.join(names)}: Monday to Friday is assumed, "
            "3.5 hours of inspections in each half-day, and 1 hour of overtime."
        )
    without = [week.person.name for week, _ in weeks if not held[week.person_id]]
    if without:
        yield f"Without a competence on file, and so given nothing: {', '.join(without)}."


def _elsewhere(names: Mapping[int, str], taken: Mapping[int, Taken]) -> Iterator[str]:
    """What they do at another venue, and when, is not told here."""
    for person, each in sorted(taken.items(), key=lambda item: names[item[0]]):
        if each.work:
            yield f"{names[person]} has work at another venue: those half-days count as taken."
        if each.away:
            yield f"{names[person]} is away on more days than the absences that are entered here."


def _lapses(
    rows: list[Somebody], held: dict[int, list[Held]], span: Span, renewed: bool
) -> Iterator[str]:
    """Whose last certificate ends within the span: after it they are given nothing that needs it,
    unless the venue said that certificates are renewed in time."""
    for row in rows:
        ends = [each.expires_on for each in held[row.pk]]
        if not ends or None in ends:
            continue
        last = max(day for day in ends if day)
        if last < span.last_day and renewed and last >= span.today:
            yield (
                f"{row.name}’s certificate ends on {last:%-d %B %Y}. It is taken as renewed in time; "
                "if it is not, plan again."
            )
        elif last < span.last_day:
            yield (
                f"{row.name}: no certificate is valid after {last:%-d %B %Y}, and nothing is given "
                "to them after it. A renewed one changes the plan."
            )
