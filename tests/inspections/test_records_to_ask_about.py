"""Records that stand out are shown to the manager as questions."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from inspections.actions.fill_check import keep_answer, start_use_check
from inspections.actions.submit_check import submit_check
from inspections.models import Record, RecordNote
from inspections.plausibility import Told, questions_about
from inspections.queries.records_to_ask_about import records_to_ask_about
from tests.house import make_house
from tests.test_walk import rope_answers
from venue.models import LogLine

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
NONE: frozenset[str] = frozenset()


def told(*seconds: float, **more: Any) -> Told:
    return Told(tuple(NOON + timedelta(seconds=each) for each in seconds), **more)


def test_a_check_done_at_a_walking_pace_raises_nothing() -> None:
    assert questions_about(told(0, 9, 30, 41, 77, 90), None, NONE) == []


def test_thirteen_answers_in_a_few_seconds_raise_a_question() -> None:
    (words,) = questions_about(told(0, 1, 1.5, 3, 3.2, 4, 6), None, NONE)
    assert words.startswith("7 answers in 6 seconds.")


def test_answers_at_even_intervals_raise_a_question_however_slow() -> None:
    (words,) = questions_about(told(0, 30, 60, 90, 120), None, NONE)
    assert "even intervals" in words


def test_a_plain_form_that_arrives_whole_raises_nothing() -> None:
    assert questions_about(told(0, 0, 0, 0, 0, 0), None, NONE) == []


def test_few_answers_prove_nothing() -> None:
    assert questions_about(told(0, 1, 2), None, NONE) == []


def test_the_same_figures_as_the_time_before_raise_a_question_one_alone_does_not() -> None:
    two = (("gap.1", "6.1 mm"), ("gap.2", "6.3 mm"))
    (words,) = questions_about(told(readings=two), told(readings=two), NONE)
    assert words.startswith("All 2 readings")
    assert questions_about(told(readings=two[:1]), told(readings=two[:1]), NONE) == []
    other = (("gap.1", "6.1 mm"), ("gap.2", "6.4 mm"))
    assert questions_about(told(readings=two), told(readings=other), NONE) == []


def test_a_photograph_or_a_remark_seen_before_raises_a_question() -> None:
    remark = "Everything was in order as far as could be seen."
    asked = questions_about(
        told(remark=remark, photographs=frozenset({"a"})), told(remark=remark), frozenset({"a"})
    )
    assert [words.split()[0] for words in asked] == ["A", "The"]


@pytest.fixture
def house() -> Any:
    return make_house()


def check(house: Any, at: datetime) -> Record:
    draft = start_use_check(
        equipment=house.winch, regime=house.regime, by=house.people["competent"], at=at
    )
    for key, typed in rope_answers(house, "0").items():
        keep_answer(draft=draft, key=key, typed=typed | {"broken_strand_count": "0"}, at=at)
    return submit_check(draft=draft, by=house.people["competent"], at=at)


@pytest.mark.django_db
def test_the_manager_sees_the_second_of_two_like_checks_and_notes_what_was_said(house: Any) -> None:
    now = timezone.now()
    check(house, now - timedelta(days=30))
    second = check(house, now)
    manager, stagehand = Client(), Client()
    manager.force_login(house.people["manager"])
    stagehand.force_login(house.people["stagehand"])
    page = manager.get("/v/larkspur/records/ask/").content.decode()
    assert page.count("Were they measured again?") == 1
    assert f"/records/{second.pk}/" in page
    assert stagehand.get("/v/larkspur/records/ask/").status_code == 403
    said = {"text": "Measured twice, the rope is new."}
    manager.post(f"/v/larkspur/records/{second.pk}/note/", said)
    assert stagehand.post(f"/v/larkspur/records/{second.pk}/note/", said).status_code == 403
    assert RecordNote.objects.get().by == house.people["manager"]
    assert LogLine.objects.filter(did="note_on_record").count() == 1
    assert "Measured twice" in manager.get("/v/larkspur/records/ask/").content.decode()


@pytest.mark.django_db
def test_asking_costs_the_same_number_of_queries_for_three_records_and_for_nine(
    house: Any, django_assert_num_queries: Any
) -> None:
    now = timezone.now()
    for day in range(9):
        check(house, now - timedelta(days=day))
        if day in (2, 8):
            with django_assert_num_queries(4):
                assert len(records_to_ask_about(house.venue, now.date())) == day
