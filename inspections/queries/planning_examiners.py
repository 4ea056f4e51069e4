"""The outside examiners as the planner knows them: on which days one comes, for how long, at what fee."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from inspections.models import ExaminerTrade
from inspections.planning.house import Examiner
from inspections.queries.planning_people import People, Span, days_away
from inspections.queries.planning_settings import coins, quarters, trade_rows
from venue.models import Competence, Venue

OUTSIDE = Competence.Level.OUTSIDE_EXAMINER
Visits = Mapping[str, frozenset[int]]
"""By trade the days of the span for which the published plan has a visit."""


@dataclass
class Examiners:
    """By trade, and what had to be assumed of them."""

    by_trade: dict[str, Examiner]
    assumptions: list[str]
    unknowns: list[str]


def planning_examiners(
    venue: Venue, span: Span, trades: Iterable[str], people: People, visits: Visits
) -> Examiners:
    """`people`: whose certificates and absences are known. `visits` are arranged, as are the days
    that the venue wrote down."""
    found, rows = Examiners({}, [], []), trade_rows(venue)
    wanted = {slug: rows[slug] for slug in sorted(set(trades))}
    for slug, (trade, given) in wanted.items():
        arranged = _written_down(trade, span) | visits.get(slug, frozenset())
        found.by_trade[slug] = _examiner(trade, arranged, people, span)
        found.assumptions += _assumed_trade(trade, given)
        found.unknowns += _arranged_while_away(trade, arranged, people, span)
    if wanted:
        found.unknowns += _certificates_end(people, span)
    if any(trade.person_id is None for trade, _ in wanted.values()):
        found.unknowns += _away_and_not_named(
            people, {trade.person_id for trade, _ in rows.values()}
        )
    return found


def _written_down(trade: ExaminerTrade, span: Span) -> frozenset[int]:
    days = (span.number(date.fromisoformat(text)) for text in trade.arranged)
    return frozenset(day for day in days if 0 <= day < span.days)


def _examiner(
    trade: ExaminerTrade, arranged: frozenset[int], people: People, span: Span
) -> Examiner:
    """Whoever is named comes while their certificate holds and they are not away."""
    weekday = span.first_day.weekday()
    cards = people.held.get(trade.person_id, []) if trade.person_id else None
    away = days_away(people.absences, trade.person_id, span)
    there = frozenset(
        day for day in range(span.days) if day not in away and _card_holds(cards, span, day)
    )
    offered = frozenset(day for day in there if (weekday + day) % 7 in trade.weekdays)
    return Examiner(
        trade.slug, coins(trade.day_fee), quarters(trade.hours_a_day), offered,
        span.notice(trade.notice_days), arranged & there,
    )  # fmt: skip


def _card_holds(cards: list[Competence] | None, span: Span, number: int) -> bool:
    """Without a named person nothing bounds the days: whoever comes must bring a valid card."""
    if cards is None:
        return True
    day = span.first_day + timedelta(days=number)
    return any(
        row.level == OUTSIDE and row.valid_from <= day
        and (row.expires_on is None or day <= row.expires_on)
        for row in cards
    )  # fmt: skip


def _assumed_trade(trade: ExaminerTrade, given: bool) -> Iterator[str]:
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


def _arranged_while_away(
    trade: ExaminerTrade, arranged: frozenset[int], people: People, span: Span
) -> Iterator[str]:
    if trade.person is None:
        return
    for number in sorted(arranged & days_away(people.absences, trade.person.pk, span)):
        day = span.first_day + timedelta(days=number)
        if day >= span.today:
            yield (
                f"Examiner ({trade.slug}): {trade.person.name} is away on {day:%-d %B %Y}, which "
                "stands as arranged. Nothing is planned for it; arrange another day, or somebody else."
            )


def _away_and_not_named(people: People, named: set[int | None]) -> Iterator[str]:
    """Whoever examines here and is away, where the plan cannot know that it is they who come."""
    for row in people.absences:
        cards = people.held.get(row.person_id, ())
        if row.person_id not in named and any(card.level == OUTSIDE for card in cards):
            yield (
                f"{row.person.name} is away from {row.first_day:%-d %B %Y} to "
                f"{row.last_day:%-d %B %Y} and is named for no trade of examiners, so visits may be "
                "planned then."
            )


def _certificates_end(people: People, span: Span) -> Iterator[str]:
    cards = [card for held in people.as_written.values() for card in held if card.level == OUTSIDE]
    ends = [(card.expires_on, card.pk, card.person.name) for card in cards if card.expires_on]
    for day, _, name in sorted(ends):
        if span.first_day <= day < span.last_day:
            yield (
                f"{name}’s certificate as an outside examiner ends on {day:%-d %B %Y}. "
                "A visit after that day needs a renewed one, or somebody else."
            )
