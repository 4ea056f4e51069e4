"""The front page says what others changed since a person was last there."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.visits import note_visit, say_seen
from inspections.models import LastVisit
from inspections.queries.what_changed import (
    DEEDS,
    FIRST,
    LISTS,
    MOST,
    ONLY_COUNTED,
    WhatChanged,
    what_changed,
)
from inspections.visits import Visit
from rigging.actions.choose_ruleset import choose_ruleset
from tests.inspections.proof_house import (
    AT,
    House,
    make_finding,
    make_proof_house,
    make_record,
    make_task,
    tell,
)
from tests.page_words import deeds_of_the_log
from tests.said_on_pages import PUT_TOGETHER
from tests.shared_rows import rows_of_a_file
from venue.actions.log import write_line
from venue.actions.people import add_competence, add_person, end_membership
from venue.models import LogHead, Person

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

MINUTE, DAY = timedelta(minutes=1), timedelta(days=1)
DAY_ONE = date(2026, 1, 1)


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


# Deeds of the log of which nobody is told, and why.
LEFT_OUT = {
    "is told with what it stands with": """
        add_photograph add_equipment_file add_part_file add_remedy_file keep_photograph keep_voice
        keep_drawn keep_listed_day sign_check note_on_record open_house""",
    "is of one person alone": """
        accept_invitation renew_invitation choose_language choose_messages stop_messages make_task_feed
        renew_task_feed withdraw_task_feed keep_calculation""",
    "changes a draft of a plan or what it is made from; the published plan is told": """
        ask_for_plan make_year_plan copy_year_plan propose_year_plan move_planned_task undo_planned_move
        lock_planned_task unlock_planned_task set_planning set_set_up_price set_working_week set_hours_choice
        set_examiner_trade add_absence end_absence generate_tasks""",
    "comes in great numbers with bookings, whose page is in order of days": """
        add_booking change_booking cancel_booking move_booking add_booking_rule change_booking_rule
        remove_booking_rule move_booking_rule say_what_booking_is add_calendar change_calendar
        say_calendar_known""",
    "makes or sends papers": """
        ask_for_evidence ask_for_paper ask_for_draft ask_for_report export_evidence
        email_report prepare_notice draw_sample""",
    "is about how long things are kept, on a page of its own": """
        follow_retention_rules end_retention_rules place_hold lift_hold forget_person dispose_of_files""",
    "is about the log, seals and auditors, on pages of their own": """
        add_head_receiver end_head_receiver make_seal renew_seal renew_root make_desk_link open_desk_link
        revoke_desk_link end_desk_link keep_aside""",
    "is a step of the first hour": """
        keep_spreadsheet drop_spreadsheet say_of_step end_set_up""",
}  # fmt: skip


def test_every_deed_of_the_log_is_told_or_left_out_on_purpose() -> None:
    words = [*PUT_TOGETHER, *(each for each, _ in deeds_of_the_log())]
    written = {each.replace(" ", "_") for each in words}
    left_out = " ".join(LEFT_OUT.values()).split()
    assert len(written) > 110
    assert len(left_out) == len(set(left_out))
    assert set(DEEDS) & set(left_out) == set()
    assert written - set(DEEDS) - set(left_out) == set(), "told or left out?"
    assert (set(DEEDS) | set(left_out)) - written == set(), "nobody writes it"
    assert set(FIRST) | set(ONLY_COUNTED) | set(LISTS) <= set(DEEDS)


def test_other_rules_are_told_before_all_else_with_the_page_they_stand_on(house: House) -> None:
    look(house, AT)
    by, at = house.tam, AT + MINUTE
    choice = choose_ruleset(
        venue=house.venue, ruleset="us-osha-1926-1413", why="The law here", by=by, at=at
    )
    for number in range(MOST):
        make_finding(house, None, what=f"Worn {number}")
    changed = look(house, AT + DAY)
    assert told(changed)[0] == f"Rule set chosen: {choice}"
    assert changed.changes[0].url == reverse("rules", args=["larkspur"])
    assert changed.counts[0] == (1, "rule set chosen")
    assert len(changed.changes) == MOST


def test_what_changes_who_may_and_what_is_there_is_told(house: House) -> None:
    look(house, AT)
    by, at = house.tam, AT + MINUTE
    membership = add_person(
        venue=house.venue, email="new@example.org", name="Nova Brandt", role="stagehand", password=None,
        by=by, at=at,
    )  # fmt: skip
    add_competence(
        membership=membership, level="trained_user", certificate="RC-7", issued_by="The Larkspur",
        valid_from=DAY_ONE, expires_on=None, by=by, at=at,
    )  # fmt: skip
    end_membership(membership=membership, by=by, at=at)
    tell_of(house, "change_equipment", house.winch)
    tell_of(house, "import_register", house.venue)
    changed = look(house, AT + DAY)
    pages = [reverse(name, args=["larkspur"]) for name in ("equipment_list", "people")]
    winch = reverse("equipment", args=["larkspur", house.winch.pk])
    words = [
        "Register read in",
        "Equipment changed",
        "Role ended",
        "Competence added",
        "Role given",
    ]
    assert [each.word for each in changed.changes] == words
    assert [each.url for each in changed.changes] == [pages[0], winch, *[pages[1]] * 3]


def tell_of(house: House, did: str, subject: Any) -> None:
    with transaction.atomic():
        write_line(venue=house.venue, by=house.tam, at=AT + MINUTE, did=did, subject=subject)


def test_a_line_of_a_deed_that_is_not_told_is_left_out(house: House) -> None:
    look(house, AT)
    task = make_task(house, 1, date(2026, 3, 1))
    task.by, task.at = house.tam, AT
    tell(house, "keep_aside", task)
    assert not look(house, AT + DAY)
