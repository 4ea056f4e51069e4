"""The people of a venue as the planner knows them: what they may do on which day, and their hours."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from inspections.models import Absence, ExaminerTrade, WorkingWeek
from inspections.models.planning_settings import HALF_DAYS_A_WEEK
from inspections.planning.house import Competence, Examiner, Person
from inspections.queries.planning_settings import (
    coins,
    people_who_work,
    quarters,
    trade_rows,
    weeks_of,
)
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
    """The planner's people and examiners, who they are, and what had to be assumed of them."""

    people: list[Person]
    rows: dict[str, Somebody]
    examiners: dict[str, Examiner]
    assumptions: list[str]
    unknowns: list[str]


def planning_people(
    venue: Venue, span: Span, trades: Iterable[str], renewed: bool = False
) -> People:
    """Everybody who works here, and the examiners of these trades. `renewed`: certificates that
    end within the span are taken as renewed in time."""
    rows = people_who_work(venue)
    names = _names(rows)
    held = _held(venue, span, renewed)
    away = _away(venue, span)
    weeks = weeks_of(venue, rows)
    people = [
        _person(names[week.person_id], week, held[week.person_id], away[week.person_id], span)
        for week, _ in weeks
        if held[week.person_id]
    ]
    found = People(people, {names[row.pk]: row for row in rows}, {}, [], [])
    found.assumptions += _assumed_weeks(weeks, held)
    found.unknowns += _lapses(rows, _held(venue, span, False), span, renewed)
    all_trades = trade_rows(venue)
    for slug in sorted(set(trades)):
        trade, given = all_trades[slug]
        found.examiners[slug] = _examiner(trade, held, span)
        found.assumptions += _assumed_trade(venue, trade, given)
    found.unknowns += _examiners_lapse(venue, span) if found.examiners else []
    return found


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
    for row in Held.objects.filter(venue=venue).order_by("pk"):
        if renewed and row.expires_on and row.expires_on >= span.today:
            row.expires_on = None  # in memory only
        found[row.person_id].append(row)
    return found


def _away(venue: Venue, span: Span) -> dict[int, set[int]]:
    """The days of the span on which each person is away."""
    found: dict[int, set[int]] = defaultdict(set)
    rows = Absence.objects.filter(
        venue=venue, last_day__gte=span.first_day, first_day__lte=span.last_day
    )
    for row in rows:
        first = max(0, span.number(row.first_day))
        last = min(span.days - 1, span.number(row.last_day))
        found[row.person_id].update(range(first, last + 1))
    return found


def _person(name: str, week: WorkingWeek, held: list[Held], away: set[int], span: Span) -> Person:
    begins = 2 * span.first_day.weekday()
    there = [
        slot // 2 not in away and (begins + slot) % HALF_DAYS_A_WEEK in week.half_days
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


def _examiner(trade: ExaminerTrade, held: dict[int, list[Held]], span: Span) -> Examiner:
    weekday = span.first_day.weekday()
    cards = held[trade.person_id] if trade.person_id else None
    offered = frozenset(
        day
        for day in range(span.days)
        if (weekday + day) % 7 in trade.weekdays and _card_holds(cards, span, day)
    )
    arranged = frozenset(
        number
        for text in trade.arranged
        if 0 <= (number := span.number(date.fromisoformat(text))) < span.days
        and _card_holds(cards, span, number)
    )
    return Examiner(
        trade.slug, coins(trade.day_fee), quarters(trade.hours_a_day), offered,
        span.notice(trade.notice_days), arranged,
    )  # fmt: skip


def _card_holds(cards: list[Held] | None, span: Span, number: int) -> bool:
    """Without a named person nothing bounds the days: whoever comes must bring a valid card."""
    if cards is None:
        return True
    day = span.first_day + timedelta(days=number)
    return any(
        row.level == "outside_examiner" and row.valid_from <= day
        and (row.expires_on is None or day <= row.expires_on)
        for row in cards
    )  # fmt: skip


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


def _assumed_trade(venue: Venue, trade: ExaminerTrade, given: bool) -> Iterator[str]:
    if not given:
        yield (
            f"No examiner ({trade.slug}) is arranged: {trade.day_fee} a day, {trade.hours_a_day} "
            f"hours a day, Monday to Friday and {trade.notice_days} days of notice are assumed."
        )
    if not trade.person_id:
        yield (
            f"Examiner ({trade.slug}): nobody is named, so the days of a certificate do not bound "
            "the plan. Whoever comes must hold a valid one on that day."
        )


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


def _examiners_lapse(venue: Venue, span: Span) -> Iterator[str]:
    rows = Held.objects.filter(
        venue=venue, level="outside_examiner",
        expires_on__gte=span.first_day, expires_on__lt=span.last_day,
    )  # fmt: skip
    for row in rows.select_related("person").order_by("expires_on", "pk"):
        yield (
            f"{row.person.name}’s certificate as an outside examiner ends on "
            f"{row.expires_on:%-d %B %Y}. A visit after that day needs a renewed one, or somebody else."
        )
