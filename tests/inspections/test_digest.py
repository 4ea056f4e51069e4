"""What stands in a message: late first, what is yours, and few lines of many."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from inspections.digest import (
    MOST,
    Fact,
    FindingFact,
    OrderFact,
    Reader,
    TaskFact,
    Waiting,
    Ways,
    daily,
    weekly,
)
from inspections.message_times import Wish, due_day, until_quiet
from inspections.rope_forecast import Seen, can_be_told, nearing

DAY = date(2026, 5, 4)
PAGES = (
    "round", "tasks", "late", "own_late", "nobodys_late", "findings", "questions", "people", "equipment",
)  # fmt: skip
WAYS = Ways(*(f"https://loft.example/{name}" for name in PAGES))
TAM, PRIYA = 1, 2
FLYMAN = Reader(TAM, leads=True, returns=True, answers=True)
HAND = Reader(PRIYA, leads=False, returns=False, answers=False)


def task(planned: int, lawful: int, person: int | None = TAM, what: str = "W1: ropes") -> TaskFact:
    ahead = [DAY + timedelta(days=days) for days in (planned, lawful)]
    return TaskFact(what, *ahead, "https://loft.example/t", person)


def titles(waiting: Waiting, reader: Reader = FLYMAN) -> list[str]:
    return [section.title for section in daily(waiting, reader, WAYS).sections]


def test_what_is_late_comes_first_and_the_longest_late_before_the_rest() -> None:
    waiting = Waiting(
        DAY, [task(2, 9, what="soon"), task(-9, -1, what="b"), task(-30, -20, what="a")]
    )
    late, soon = daily(waiting, FLYMAN, WAYS).sections
    assert [line.what for line in late.lines] == ["a", "b"]
    assert late.lines[0].more == "last lawful day was Tue 14 Apr 2026"
    assert [line.what for line in soon.lines] == ["soon"]
    assert daily(waiting, FLYMAN, WAYS).counts == "2 late, 1 coming"


def test_whose_a_task_is_stands_in_the_week_of_the_house_and_not_in_one_s_own_day() -> None:
    waiting = Waiting(DAY, [TaskFact("a", DAY, DAY, "u", TAM, "Tam Achterberg")])
    assert "Tam" not in daily(waiting, FLYMAN, WAYS).sections[0].lines[0].more
    assert weekly(waiting, WAYS).sections[1].lines[0].more.endswith("; Tam Achterberg")


def test_what_will_be_late_as_agreed_is_told_before_it_is() -> None:
    waiting = Waiting(DAY, [task(90, 5), task(90, 12, what="W2: ropes"), task(90, 40)])
    (soon,) = (one for one in daily(waiting, FLYMAN, WAYS).sections)
    (line,) = soon.lines
    assert line.more.startswith("too late as planned: lawful until ")
    week = weekly(waiting, WAYS).sections[1]
    assert [one.what for one in week.lines] == ["W1: ropes", "W2: ropes"]


def test_a_day_with_nothing_to_say_says_nothing() -> None:
    others = Waiting(DAY, [task(0, 3, person=9), task(40, 60), task(0, -1, person=9)])
    assert daily(others, FLYMAN, WAYS).counts == ""
    assert titles(others) == []


def test_what_nobody_was_given_and_what_others_found_is_told_to_those_who_lead() -> None:
    waiting = Waiting(DAY, [task(-3, -1, person=None)], [FindingFact("worn", "u", by=TAM)])
    assert titles(waiting) == ["Late, and nobody was given it", "Findings without a remedy"]
    assert titles(waiting, HAND) == []
    own = Waiting(DAY, findings=[FindingFact("worn", "u", by=PRIYA, cured_by=DAY)])
    assert titles(own, HAND) == ["Findings without a remedy"]


@pytest.mark.parametrize(
    ("remedied_by", "told"),
    [((), False), ((TAM,), False), ((PRIYA,), True), ((TAM, PRIYA), False), ((PRIYA, 9), True)],
)
def test_an_order_waits_for_a_second_person_and_only_once_there_is_a_remedy(
    remedied_by: tuple[int, ...], told: bool
) -> None:
    waiting = Waiting(
        DAY, orders=[OrderFact("W1", "out of service", "u", DAY, frozenset(remedied_by))]
    )
    assert bool(titles(waiting)) is told
    assert titles(waiting, HAND) == []


def test_questions_go_to_whoever_may_answer() -> None:
    waiting = Waiting(DAY, questions=[Fact("Why?", "asked by Ines", "u")])
    assert titles(waiting) == ["Questions that wait for an answer"]
    assert titles(waiting, HAND) == []


def test_of_four_hundred_tasks_a_few_are_named_and_the_rest_is_counted() -> None:
    waiting = Waiting(DAY, [task(-9, -1) for _ in range(49)] + [task(1, 9) for _ in range(351)])
    late, soon = daily(waiting, FLYMAN, WAYS).sections
    assert (len(late.shown), late.more, late.url) == (MOST, 37, WAYS.own_late)
    assert (len(soon.shown), soon.more) == (MOST, 339)


def test_the_week_says_each_thing_also_where_there_is_none() -> None:
    told = weekly(Waiting(DAY, ropes_unknown=4), WAYS)
    assert [section.nothing != "" for section in told.sections] == [True] * 5
    assert "says nothing about what was not checked" in told.sections[3].nothing
    assert "Of 4 ropes too little is known" in told.sections[4].note
    assert told.counts == ""


def at(day: int, hour: int, minute: int = 0, month: int = 3) -> datetime:
    return datetime(2026, month, day, hour, minute, tzinfo=ZoneInfo("Europe/London"))


def test_a_message_goes_once_its_hour_has_come_and_never_in_quiet_hours() -> None:
    wish = Wish(hour=7, quiet_from=20, quiet_until=6)
    hours = [hour for hour in range(24) if due_day("daily", wish, at(10, hour))]
    assert hours == list(range(7, 20))
    assert due_day("daily", Wish(kinds=frozenset()), at(10, 12)) is None


def test_the_weekly_one_waits_for_its_hour_on_each_of_its_days() -> None:
    wish = Wish(weekday=0, hour=15)
    told = {
        day: [h for h in range(24) if due_day("weekly", wish, at(day, h))] for day in (9, 10, 11)
    }
    assert set(map(tuple, told.values())) == {tuple(range(15, 22))}


def test_a_push_is_kept_until_the_quiet_hours_and_no_longer_also_where_the_clock_jumps() -> None:
    wish = Wish(quiet_from=22, quiet_until=0)
    for day, month, hours in ((28, 3, 21.5), (29, 3, 20.5), (25, 10, 22.5)):
        now = at(day, 0, 30, month=month)
        kept = until_quiet(wish, now)
        assert kept == timedelta(hours=hours)
        ends = (now.astimezone(UTC) + kept).astimezone(now.tzinfo)
        assert (ends.day, ends.hour, ends.minute) == (day, 22, 0)
    assert until_quiet(Wish(quiet_from=1, quiet_until=4), at(29, 12)) == timedelta(hours=13)


def test_an_hour_that_the_clock_skips_is_made_up_for_in_the_next() -> None:
    skipped = Wish(hour=1, quiet_from=0, quiet_until=0)
    assert due_day("daily", skipped, at(29, 0, 55)) is None
    assert due_day("daily", skipped, at(29, 2, 0)) == date(2026, 3, 29)


def test_the_weekly_one_is_of_its_day_for_three_days_and_then_gone() -> None:
    told = {day: due_day("weekly", Wish(weekday=0), at(day, 9)) for day in range(9, 16)}
    monday = date(2026, 3, 9)
    assert list(told.values()) == [monday, monday, monday, None, None, None, None]
    assert due_day("weekly", Wish(weekday=0), at(9, 6, 59)) is None


def seen(*values: tuple[int, str], limit: str = "6") -> list[Seen]:
    return [
        Seen("broken wires", DAY + timedelta(days=days), value, limit) for days, value in values
    ]


def test_a_rope_nears_its_limit_by_the_steepest_line_and_never_later_than_the_figures_allow() -> (
    None
):
    slow_then_quick = seen((0, "0"), (100, "1"), (110, "3"))
    told = nearing(slow_then_quick)
    assert told is not None
    assert told.day == DAY + timedelta(days=110 + 15)  # 2 in 10 days, 3 to go
    steady = nearing(seen((0, "0"), (30, "2")))
    assert steady is not None
    assert steady.day == DAY + timedelta(days=90)


@pytest.mark.parametrize(
    "values", [((0, "2"),), ((0, "3"), (30, "3")), ((0, "3"), (30, "")), ((0, "between 1 and 2"),)]
)
def test_of_a_rope_without_two_figures_or_without_growth_no_day_is_made_up(values: tuple) -> None:
    assert nearing(seen(*values)) is None


def test_a_rope_at_its_limit_is_there_already_and_one_of_few_readings_is_not_known() -> None:
    told = nearing(seen((0, "6")))
    assert told is not None
    assert told.day == DAY
    assert not can_be_told(seen((0, "2")))
    assert can_be_told(seen((0, "2"), (1, "2")))
    assert nearing(seen((0, "1 %"), (30, "2 %"), limit="0.5 in")) is None


def test_helpers_and_halves_are_told_and_what_one_helps_with_is_theirs() -> None:
    names = {PRIYA: "Priya Kestrel", 3: "Jonas Quill"}
    waiting = Waiting(
        DAY,
        [
            TaskFact("a", DAY, DAY, "u", TAM, "Tam Achterberg", "morning", names),
            TaskFact("b", DAY + timedelta(days=1), DAY + timedelta(days=3), "u", None, "",
                     "afternoon", {PRIYA: "Priya Kestrel"}),
            TaskFact("c", DAY - timedelta(days=9), DAY - timedelta(days=1), "u", TAM,
                     "Tam Achterberg", "morning", {PRIYA: "Priya Kestrel"}),
        ],
    )  # fmt: skip
    late, soon = daily(waiting, HAND, WAYS).sections
    assert [line.more for line in late.lines] == [
        "last lawful day was Sun 3 May 2026; you help Tam Achterberg"
    ]
    assert [line.more for line in soon.lines] == [
        "today, morning; lawful until Mon 4 May 2026; you help Tam Achterberg; with Jonas Quill",
        "Tue 5 May 2026, afternoon; lawful until Thu 7 May 2026; you help",
    ]
    own = daily(waiting, FLYMAN, WAYS).sections[1].lines
    assert own[0].more.endswith("; with Priya Kestrel, Jonas Quill")
    week = weekly(waiting, WAYS).sections[1].lines
    assert week[0].more.endswith("; Tam Achterberg; with Priya Kestrel, Jonas Quill")
