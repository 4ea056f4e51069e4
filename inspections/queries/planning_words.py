"""What a year plan took for granted and what it could not know, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from inspections.learned_hours import Learned
from inspections.move_check import named
from inspections.queries.calendar_access import HalfDays, access_words
from inspections.queries.plan_starts import Start
from inspections.queries.planning_people import Span
from inspections.queries.planning_settings import Told
from inspections.queries.work_of_plans import Needed
from venue.models import Venue


def assumptions_of(
    starts: Mapping[str, Start], needed: Sequence[Needed], told: Told, half_days: HalfDays,
    left_out: int,
) -> Iterator[str]:  # fmt: skip
    """What the plan rests on."""
    before = sum(start.taken_as_done for start in starts.values())
    if before:
        yield (
            f"{_tasks(before)} planned between today and the first day: taken as done on the "
            "planned day."
        )
    if left_out:
        one = (
            "1 check that comes round in less than a week is not planned here: it belongs to the "
            "running of the show."
        )
        many = (
            f"{left_out} checks that come round in less than a week are not planned here: they "
            "belong to the running of the show."
        )
        yield one if left_out == 1 else many
    yield from _hours(needed)
    if not told.given:
        yield (
            "The venue’s prices, week’s target and half-days are not entered: this book’s own "
            "figures are used. They rank plans; they are no offer."
        )
    yield (
        "On a day without a booking, within the calendar that is entered and within no run, "
        "everything can be reached. Beside a booking of the same day, in the other half-day: "
        f"{_beside(told)}."
    )
    if half_days.within:
        lie = (
            "1 half-day without a booking lies"
            if half_days.within == 1
            else f"{half_days.within} half-days without a booking lie"
        )
        yield (
            f"{lie} between two bookings of one run, at most {told.row.longest_pause} days apart "
            f"({named(list(half_days.runs))}). What was built for it is taken to stand there: "
            f"{_beside(told)}. A dark day that is entered says for itself what it leaves."
        )


def _beside(told: Told) -> str:
    return ", ".join(access_words(state) for state in told.row.left_beside_a_show) or "nothing"


def _hours(needed: Sequence[Needed]) -> Iterator[str]:
    kinds = {each.kind: each for each in needed}
    learned = {kind: each.logged for kind, each in kinds.items() if each.logged}
    if learned:
        yield from _learned(list(learned.values()), len(kinds))
    if len(learned) < len(kinds):
        number = len(kinds) - len(learned)
        of = "1 kind" if number == 1 else f"{number} kinds"
        yield (
            f"Hours of {of} of check are this book’s own estimates (common practice): a kind has its "
            "own once three of it are on record, and work beside an examiner keeps its estimate."
        )
    kept = [each for each in kinds.values() if each.estimate_kept and each.record.share is not None]
    if kept:
        yield f"A manager keeps the estimate although hours are on record: {_titles(kept)}."
    if spread := [each for each in kinds.values() if each.spread]:
        yield (
            "Planned over more half-days than the estimate, because the hours on record do not fit "
            f"into one person’s: {_titles(spread)}."
        )


def _learned(learned: Sequence[Learned], kinds: int) -> Iterator[str]:
    records = sum(each.count for each in learned)
    yield (
        f"Hours of {len(learned)} of {kinds} kinds of check are the median of {records} records of "
        f"this venue, {sum(each.entered for each in learned)} of them with hours entered."
    )
    if any(each.timed for each in learned):
        yield (
            "Where no hours are entered, the time counts for which the form was open: not under a "
            "quarter and not over three times the estimate, on one day. A form filled in afterwards "
            "is open for minutes, one left open over a meal for hours."
        )


def _titles(needed: Iterable[Needed]) -> str:
    return ", ".join(sorted({each.plan.version.title for each in needed}))


def unknowns_of(
    venue: Venue, span: Span, needed: Sequence[Needed], unknown_half_days: int
) -> Iterator[str]:
    """What was treated as blocked, or not estimated."""
    if unknown_half_days:
        until = venue.calendar_known_until
        known = (
            f"is entered until {until:%-d %B %Y}" if until else "has not been said to be entered"
        )
        yield (
            f"The calendar {known}. Therefore unknown, and counted as blocked: {unknown_half_days} of "
            f"{2 * span.days} half-days. What falls due there shows late."
        )
    unestimated = [each for each in needed if not each.estimate.estimated and not each.logged]
    if unestimated:
        yield f"Not estimated, and planned with an hour of one person: {_titles(unestimated)}."


def _tasks(count: int) -> str:
    return f"{count} task" if count == 1 else f"{count} tasks"
