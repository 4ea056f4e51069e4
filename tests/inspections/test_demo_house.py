"""The demo house: two years of history that the real actions made."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
import time_machine
from django.db import transaction
from django.db.models import F
from django.test import Client
from django.urls import resolve

from inspections.actions.mail_to_desk import TRIED_FOR
from inspections.demo.build import build
from inspections.demo.plans import APPLIED
from inspections.demo.readings import COUNTED, MEASURED, NOT_HERE, WRITTEN
from inspections.demo.reports import sign_reports
from inspections.demo.scenario import MARISOL, ODILE
from inspections.demo.season import calls, calls_on, leaves_accessible
from inspections.demo.stories import FAULTS, STOPS
from inspections.models import (
    AuditQuestion,
    DeskMail,
    Finding,
    Order,
    Reading,
    Record,
    Report,
    Task,
)
from inspections.queries.batten_loads import batten_loads
from inspections.queries.house_section import house_section
from inspections.queries.overview import house_tonight, open_findings
from inspections.queries.state import state_of, states_of
from inspections.regime_files import regimes
from inspections.views.day import local_day
from tests.inspections.page_text import faults, walked
from tests.venue.trees import whole
from venue.kind_files import kinds
from venue.models import Booking, Competence, Equipment, LogLine, Part, Person, Venue
from venue.quantities import Quantity

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=UTC)
TODAY = NOW.date()


@pytest.fixture(scope="module")
def larkspur(django_db_setup: None, django_db_blocker: Any) -> Iterator[Venue]:
    """Built once for all of these tests, which only look at it."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield build(NOW)
        transaction.set_rollback(True)


def readings(venue: Venue, tag: str, check: str) -> list[Fraction]:
    rows = Reading.objects.filter(
        answer__record__venue=venue, answer__record__equipment__tag=tag, answer__check_slug=check
    ).order_by("answer__record__at")
    return [Quantity.from_stored(row.quantity).si for row in rows]


def test_every_machine_has_records_and_open_tasks(larkspur: Venue) -> None:
    for venue in Venue.objects.all():
        pieces = Equipment.objects.filter(venue=venue)
        bare = [piece.tag for piece in pieces if not piece.records.exists()]
        idle = [piece.tag for piece in pieces if not piece.tasks.filter(state="open").exists()]
        assert (bare, idle) == ([], []), venue
    assert larkspur.equipment.count() == 95
    assert larkspur.records.count() > 500
    assert larkspur.records.order_by("at")[0].done_on < TODAY - timedelta(days=700)


def test_no_machine_is_better_or_worse_than_its_story(larkspur: Venue) -> None:
    pieces = {piece.pk: piece.tag for piece in larkspur.equipment.all()}
    states = {
        pieces[pk]: each.state for pk, each in states_of(larkspur.equipment.all(), TODAY).items()
    }
    assert {tag for tag, state in states.items() if state == "out of service"} == {
        "S17",
        "H4",
        "A12",
    }
    assert {tag for tag, state in states.items() if state == "restrict"} == {"S31"}
    assert {tag for tag, state in states.items() if state == "late"} == {"L3"}
    assert states["S40"] == "cannot be decided", "nobody knows its bow limit"
    assert {states["L2"], states["W1"]} == {"watch"}
    assert sum(state == "fit" for state in states.values()) > 75


def test_the_log_is_whole_and_in_the_order_of_time(larkspur: Venue) -> None:
    for venue in Venue.objects.all():
        lines = list(LogLine.objects.filter(venue=venue).order_by("number"))
        assert whole(venue) == len(lines)
        times = [line.at for line in lines]
        assert times == sorted(times)
        assert lines[-1].at <= NOW
    deeds = set(LogLine.objects.filter(venue=larkspur).values_list("did", flat=True))
    assert deeds >= {
        "import_register", "create_equipment_by_import", "add_booking", "apply_regime",
        "generate_tasks", "submit_check", "open_finding", "give_order", "record_remedy",
        "return_to_service", "prepare_notice", "retire_part", "defer_task", "cancel_task", "plan_task",
    }  # fmt: skip


def test_every_check_was_done_on_a_day_on_which_the_season_made_it_possible(
    larkspur: Venue,
) -> None:
    seen = 0
    spot = {"detector_isolated", "battens_stripped", "power_off"}
    for record in larkspur.records.select_related("equipment__place"):
        piece = record.equipment
        needs = {*piece.place.access, *kinds()[piece.kind].access} - spot
        assert needs <= leaves_accessible(record.done_on), record
        held = Booking.objects.filter(
            venue=larkspur, starts__lte=record.started_at, ends__gte=record.at
        )
        assert any(needs <= set(row.leaves_accessible) for row in held), record
        seen += 1
    assert seen > 500


def test_the_coming_year_is_planned_published_and_lawful_but_for_what_it_says(
    larkspur: Venue,
) -> None:
    plan = larkspur.year_plans.get()
    assert (plan.state, plan.days) == ("published", 364)
    assert plan.first_day > TODAY
    assert plan.outcome["faults"] == []
    rows = list(plan.planned.select_related("task", "equipment"))
    assert len(rows) > 600
    late = {row.equipment.tag for row in rows if row.late_days}
    assert late == {key.split(":")[0] for key in plan.outcome["late"]}
    assert "L3" in late, "the overdue one is carried into the year"
    for row in rows:
        if row.task:
            assert (row.task.planned_on, row.task.day_agreed) == (row.day, True)
            assert row.late_days or row.day <= row.last_lawful_on
    assert any("Marisol Dunne" in words for words in plan.unknowns)
    assert larkspur.calendar_known_until > plan.last_day


def test_the_gap_of_the_forestage_lift_grows_to_near_its_limit(larkspur: Venue) -> None:
    gaps = [float(gap * 1000) for gap in readings(larkspur, "L2", "running_gap")]
    assert len(gaps) >= 20
    assert gaps[0] < 12.5
    assert 23.75 < gaps[-1] < 25
    rises = [later - sooner for sooner, later in pairwise(gaps)]
    assert min(rises) > -0.4
    newest = larkspur.records.filter(equipment__tag="L2", version__slug="pit_lift_monthly")[0]
    assert newest.state == "watch"
    noted = Finding.objects.get(venue=larkspur, equipment__tag="L2")
    assert (noted.grade, noted.answer.check_slug) == ("observation", "running_gap")


def test_one_detector_drifts_towards_the_end_of_its_window(larkspur: Venue) -> None:
    drift = readings(larkspur, "D09", "compensation_used")
    assert drift == sorted(drift)
    assert len(drift) >= 4
    assert drift[0] < Fraction(20, 100) < Fraction(35, 100) < drift[-1] < Fraction(50, 100)
    others = [readings(larkspur, f"D{n:02}", "compensation_used")[-1] for n in (1, 5, 14)]
    assert max(others) < Fraction(15, 100)


def test_one_rope_is_about_to_fail_and_may_run_until_a_day_only(larkspur: Venue) -> None:
    rope = Part.objects.get(equipment__tag="W1", code="line 3", equipment__venue=larkspur)
    seen = list(rope.observations.order_by("at"))
    broken = [row.body["counts"][0]["number"] for row in seen]
    assert broken == sorted(broken)
    assert (broken[0], broken[-1]) == (0, 5)
    last = {one.ruleset: one.state for one in seen[-1].answer.judgements.all()}
    assert set(last.values()) == {"watch"}
    finding = Finding.objects.get(part=rope)
    assert finding.grade == "used_until_date"
    assert finding.orders.get().bites_on > TODAY


def test_the_rope_that_did_fail_was_retired_by_the_rule_and_has_a_successor(
    larkspur: Venue,
) -> None:
    old = Part.objects.get(identifier="R-W2-1")
    assert old.retired_on is not None
    assert old.successor is not None
    assert "29 CFR 1926.1413" in old.retired_why
    finding = old.findings.get()
    assert finding.record.state == "retire"
    returned = finding.orders.get().returned
    assert returned.by != returned.remedied_by
    new = Part.objects.get(identifier="R-W2-1B")
    assert new.observations.exists()
    assert {row.answer.record.state for row in new.observations.all()} == {"fit"}


def test_one_thorough_examination_is_overdue_and_says_why(larkspur: Venue) -> None:
    late = Task.objects.get(venue=larkspur, state="open", last_lawful_on__lt=TODAY)
    assert (late.equipment.tag, late.plan.regime) == ("L3", "thorough_twelve_months_lift")
    assert late.deferred_why
    done_late = Task.objects.filter(venue=larkspur, state="done", done_on__gt=F("last_lawful_on"))
    assert done_late.exists(), "in a real house not everything is done in time"
    assert (
        Task.objects.filter(venue=larkspur, state="cancelled").exclude(closed_why="").count() == 2
    )


def test_the_insurers_engineer_asked_about_a_cancelled_check_and_was_answered(
    larkspur: Venue,
) -> None:
    question = AuditQuestion.objects.get(venue=larkspur)
    answer = question.answers.get()
    assert question.task
    assert (question.by.name, question.task.state) == ("Ines Halloran", "cancelled")
    assert (answer.by.name, question.at < answer.at) == ("Odile Varga", True)
    days = (question.task.due_on, answer.at.date())  # the answer speaks of the check after it
    walked = Record.objects.filter(equipment=question.task.equipment, done_on__range=days)
    assert walked.exists()
    assert not DeskMail.objects.filter(owed_at__gt=NOW - TRIED_FOR).exists()  # nobody is written to


def test_the_examiners_card_lapses_next_march(larkspur: Venue) -> None:
    card = Competence.objects.get(venue=larkspur, person__name="Marisol Dunne")
    assert (card.expires_on.year, card.expires_on.month) == (2027, 3)
    assert all(larkspur.records.values_list("may_sign", flat=True))


def test_every_story_was_told_and_ended_as_it_should(larkspur: Venue) -> None:
    for story in FAULTS:
        finding = Finding.objects.get(
            record__venue=larkspur, equipment__tag=story.tag, answer__check_slug=story.check
        )
        _ends(finding, story.cure)
    for stop in STOPS:
        _ends(Finding.objects.get(venue=larkspur, what=stop.why), stop.cure)
    assert Finding.objects.filter(venue=larkspur).count() == len(FAULTS) + len(STOPS) + 2
    assert open_findings(larkspur).count() == 7
    assert Order.objects.filter(venue=larkspur, what="restricted").count() == 1


def _ends(finding: Finding, cure: Any) -> None:
    assert finding.remedies.exists() == bool(cure), finding
    for order in finding.orders.all():
        assert hasattr(order, "returned") == bool(cure and cure.returned_by), finding


def test_a_finding_says_what_was_asked_and_what_was_found(larkspur: Venue) -> None:
    said = {
        row.equipment.tag: row.what
        for row in Finding.objects.filter(venue=larkspur).select_related("equipment")
    }
    assert said["A12"] == "Is the device free of wear, rust, cracks and movement? No."
    assert said["L3"] == (
        "How far from the mark does it stop, worst landing? 8.5 mm, limit at most 6 mm "
        "(Common practice of the trade)"
    )
    assert said["W1"] == (
        "line 3, Wire rope: broken wires in one lay, running rope: 5, limit 6 "
        "(29 CFR 1926.1413, (a)(2)(ii)(A)(1))"
    )


def test_of_some_sets_it_is_recorded_what_hangs_and_of_the_others_it_is_not(
    larkspur: Venue,
) -> None:
    hung, bare = (batten_loads(larkspur.equipment.get(tag=tag)) for tag in ("S05", "S01"))
    assert [one.state for one in hung.posted] == ["below", "cannot be decided", "below"]
    assert hung.spread.load.typed == "310 kg"
    state = state_of(larkspur.equipment.get(tag="S05"), local_day(larkspur)).state
    assert state == "fit"
    assert bare.record is None
    assert {one.state for one in bare.posted} == {"cannot be decided"}


def test_in_section_the_gridiron_lies_over_the_galleries_and_the_pit_under_the_stage(
    larkspur: Venue,
) -> None:
    drawing = house_section(larkspur, local_day(larkspur)).desk
    assert [name for _, _, name in drawing.bodies] == ["Stage house", "Auditorium"]
    names = [put.room.spot.name for put in drawing.rooms]
    order = (
        "Roof",
        "Gridiron",
        "Loading gallery",
        "Fly gallery",
        "Stage and forestage",
        "Machine pit",
    )
    assert [name for name in names if name in order] == list(order)
    assert sum(int(chip.chip.text.split()[0]) if chip.chip.piece is None else 1
               for put in drawing.rooms for chip in put.chips) == 95  # fmt: skip


def test_the_overview_has_something_under_every_heading(larkspur: Venue) -> None:
    tonight = house_tonight(larkspur, TODAY, NOW)
    shown = ("out", "restricted", "barred_soon", "late", "soon", "lapsing", "bookings")
    assert {name: bool(getattr(tonight, name)) for name in shown} == dict.fromkeys(shown, True)


@pytest.mark.one_database
def test_a_day_a_worn_rope_and_a_year_have_signed_reports(larkspur: Venue) -> None:
    assert sign_reports(venue=larkspur, at=NOW) == 3
    day, rope, year = Report.objects.filter(venue=larkspur).order_by("number")
    assert (day.signer_name, day.report_records.count()) == ("Marisol Dunne", 4)
    assert rope.report_records.get().record.equipment.tag == "W1"
    assert (year.what, year.signer_name) == ("annual_rigging", "Tam Achterberg")
    assert year.report_records.count() > 20
    told = json.loads(year.record_json)["matter"]["pieces"][0]["ropes"]
    assert len(told) == 8
    assert min(len(rope["points"]) for rope in told) >= 12


def test_the_place_tree_is_whole_with_hazards_and_access(larkspur: Venue) -> None:
    places = list(larkspur.places.all())
    assert sum(place.parent_id is None for place in places) == 3
    assert sum(bool(place.hazards) for place in places) >= 9
    assert sum(bool(place.access) for place in places) >= 6


def test_the_season_has_its_changeovers_its_tour_and_its_dark_days() -> None:
    first = TODAY - timedelta(days=730)
    year = list(calls(first, TODAY + timedelta(days=181)))
    kinds_of = [call.what for call in year]
    assert {"dark", "load_in", "load_out", "performance", "rehearsal", "other"} == set(kinds_of)
    titles = {call.title for call in year}
    assert {"Brass and Bunting", "The Snow Ferry, two houses"} <= titles
    changeovers = [call.day for call in year if call.what == "load_in" and call.first == 13]
    assert {day.weekday() for day in changeovers} == {0}
    gaps = {(b - a).days for a, b in pairwise(changeovers)}
    assert min(gaps) == 14
    assert all(gap % 14 == 0 for gap in gaps)
    dark = [call for call in year if call.title == "Dark"]
    assert all(len(calls_on(call.day)) == 1 for call in dark), "a dark day is really dark"


def test_the_bookings_reach_into_the_coming_season(larkspur: Venue) -> None:
    rows = Booking.objects.filter(venue=larkspur).order_by("starts")
    assert rows[0].starts < NOW - timedelta(days=725)
    assert rows.last().starts > NOW + timedelta(days=140)


def test_every_check_that_the_history_answers_has_a_believable_answer() -> None:
    known = {"measured": MEASURED, "text": WRITTEN}
    never = ("five_yearly", "two_yearly")
    silent = [
        (each.regime, check.slug)
        for each in APPLIED
        if not each.regime.endswith(never)
        for check in regimes()[each.regime].checks
        if check.answer in known
        and check.slug not in known[check.answer]
        and check.slug not in (*NOT_HERE, "next_date")
    ]
    assert silent == []
    assert len(COUNTED) > 5


@pytest.mark.one_database
def test_no_page_says_a_word_twice_or_has_a_loose_colon_or_a_label_beside_nothing(
    larkspur: Venue,
) -> None:
    wrong, kinds_seen = set(), set()
    for who, of_a_kind in ((ODILE, 3), (MARISOL, 1)):
        client = Client()
        client.force_login(Person.objects.get(email=who))
        with time_machine.travel(NOW, tick=False):
            for address, text in walked(client, "/v/larkspur/", of_a_kind=of_a_kind):
                kinds_seen.add(resolve(address.split("?")[0]).url_name)
                wrong |= {f"{who} {address}: {fault}" for fault in faults(text)}
    assert sorted(wrong) == []
    assert {"record", "finding", "part", "equipment", "calculator", "ruleset"} <= kinds_seen
    assert len(kinds_seen) >= 45
