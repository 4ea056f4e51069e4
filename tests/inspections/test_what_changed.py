"""The front page says what others changed since a person was last there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from copy import deepcopy
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.visits import note_visit, say_seen
from inspections.models import LastVisit
from inspections.queries.what_changed import DEEDS, MOST, WhatChanged, what_changed
from inspections.visits import Visit
from tests.inspections.proof_house import (
    AT,
    House,
    make_finding,
    make_proof_house,
    make_record,
    make_task,
    tell,
)
from tests.shared_rows import rows_of_a_file
from venue.models import LogHead, Person

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def made(django_db_setup: None, django_db_blocker: Any) -> Iterator[House]:
    with rows_of_a_file(django_db_blocker):
        with django_db_blocker.unblock():
            house = make_proof_house()
            make_finding(house, make_record(house), what="An old one")
        yield house


@pytest.fixture
def house(made: House, db: None) -> House:
    return deepcopy(made)


def look(house: House, at: datetime, who: Person | None = None) -> WhatChanged:
    who = who or house.odile
    visit = note_visit(venue=house.venue, person=who, at=at)
    return what_changed(house.venue, who, visit, at.date())


def told(changed: WhatChanged) -> list[str]:
    return [f"{each.word}: {each.shown.what}" for each in changed.changes]


def test_the_first_look_starts_with_nothing_and_the_next_tells_what_others_did(
    house: House,
) -> None:
    assert not look(house, AT)
    finding = make_finding(house, None)
    changed = look(house, AT + DAY)
    assert told(changed) == ["Order: CW-01 Out of service", "Finding: Line 3: broken wires"]
    page = reverse("finding", args=["larkspur", finding.pk])
    assert [each.url for each in changed.changes] == [page, page]
    assert {each.shown.who for each in changed.changes} == {"Tam Achterberg"}


def test_what_they_did_themselves_is_no_news_to_them(house: House) -> None:
    look(house, AT, house.tam)
    make_finding(house, None)
    assert not look(house, AT + DAY, house.tam)


def test_it_stays_while_they_are_there_and_moves_on_after_they_left(house: House) -> None:
    look(house, AT)
    make_finding(house, None)
    for minutes in (40, 45, 60, 85, 110):
        assert len(look(house, AT + minutes * MINUTE).changes) == 2, minutes
    assert not look(house, AT + 141 * MINUTE)


def test_what_came_after_they_last_looked_is_not_lost_when_they_come_back(house: House) -> None:
    look(house, AT)
    make_finding(house, None, what="First")
    look(house, AT + 40 * MINUTE)
    make_finding(house, None, what="Second")
    assert told(look(house, AT + DAY)) == ["Order: CW-01 Out of service", "Finding: Second"]


def test_a_look_is_written_at_most_every_ten_minutes(house: House) -> None:
    look(house, AT)
    with CaptureQueriesContext(connection) as asked:
        note_visit(venue=house.venue, person=house.odile, at=AT + 9 * MINUTE)
    assert not [each for each in asked if "UPDATE" in each["sql"] or "INSERT" in each["sql"]]
    look(house, AT + 11 * MINUTE)
    assert LastVisit.objects.get().here_at == AT + 11 * MINUTE


def test_who_says_seen_is_told_nothing_older_and_no_other_is_moved_on(house: House) -> None:
    for who in (house.odile, house.priya):
        look(house, AT, who)
    make_finding(house, None)
    assert look(house, AT + DAY)
    say_seen(venue=house.venue, person=house.odile, at=AT + DAY)
    assert not look(house, AT + DAY + MINUTE)
    assert look(house, AT + DAY, house.priya)


def test_what_became_late_since_is_told_though_no_line_of_the_log_says_it(house: House) -> None:
    for number, lawful in enumerate((1, 9, 12, 14), start=1):
        make_task(house, number, date(2026, 2, lawful))
    look(house, AT)  # 10 February
    changed = look(house, AT + 3 * DAY)
    assert [task.last_lawful_on.day for task in changed.late] == [12]


def test_of_much_the_newest_are_told_and_all_is_counted_in_few_queries(house: House) -> None:
    visit = Visit(LogHead.objects.get(venue=house.venue).size, AT, 0, AT)
    make_finding(house, None)

    def asked() -> tuple[int, WhatChanged]:
        with CaptureQueriesContext(connection) as queries:
            changed = what_changed(house.venue, house.odile, visit, AT.date())
        return len(queries), changed

    few, _ = asked()
    for number in range(9):
        make_finding(house, None, what=f"Worn {number}")
        make_record(house)
    many, changed = asked()
    assert many == few <= 6
    assert len(changed.changes) == MOST
    assert changed.counts == [(10, "orders"), (10, "findings"), (9, "checks")]
    assert changed.more == 14


def test_the_page_shows_it_with_the_lines_of_the_log_and_a_button(house: House) -> None:
    client = Client()
    client.force_login(house.odile)
    front = reverse("overview", args=["larkspur"])
    assert "Since you were here" not in client.get(front).content.decode()
    seen = LastVisit.objects.get().seen_line
    make_finding(house, None)
    long_ago = datetime.now(UTC) - DAY
    LastVisit.objects.update(seen_at=long_ago, here_at=long_ago)
    words = client.get(front).content.decode()
    assert "Since you were here" in words
    log = reverse("log", args=["larkspur"]) + f"?after={seen}"
    assert log in words
    lines = client.get(log).content.decode()
    assert "Line 3: broken wires" in lines
    assert "An old one" not in lines
    after = client.post(reverse("say_seen", args=["larkspur"]), follow=True).content.decode()
    assert "Since you were here" not in after


def test_an_auditor_is_told_and_has_no_button(house: House) -> None:
    look(house, datetime.now(UTC) - DAY, house.ines)
    make_finding(house, None)
    client = Client()
    client.force_login(house.ines)
    words = client.get(reverse("overview", args=["larkspur"])).content.decode()
    assert "Since you were here" in words
    assert reverse("say_seen", args=["larkspur"]) not in words


def test_every_deed_that_is_told_is_one_that_the_log_knows() -> None:
    actions = [
        path
        for app in ("inspections", "venue", "rigging")
        for path in (ROOT / app).glob("actions/*.py")
    ]
    written = set(
        re.findall(r'"([a-z]+_[a-z_]+)"', "\n".join(path.read_text() for path in actions))
    )
    assert len(actions) > 50
    assert set(DEEDS) - written == set()


def test_a_line_of_a_deed_that_is_not_told_is_left_out(house: House) -> None:
    look(house, AT)
    task = make_task(house, 1, date(2026, 3, 1))
    task.by, task.at = house.tam, AT
    tell(house, "keep_aside", task)
    assert not look(house, AT + DAY)
