"""Hours worked, as somebody says them where a check is finished: at a desk and on a phone."""

from __future__ import annotations

import json
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from inspections.hours_worked import NotHours, lifted, read_worked
from inspections.models import Draft, Record
from tests.inspections.test_messages_from_phones import answers, house, message, phone_of, put
from venue.log_hash import sha256_of

__all__ = ["house"]
TYPED = {"worked_hours": "2,5", "worked_people": "2"}


@pytest.mark.parametrize(
    ("hours", "read"),
    [("2.5", "2.5"), (" 2,5 h ", "2.5"), ("3", "3"), ("1:30", "1.5"), ("0:20", "0.33")],
)
def test_hours_are_read_with_a_point_a_comma_or_as_on_a_clock(hours: str, read: str) -> None:
    worked = read_worked({"worked_hours": hours})
    assert worked is not None
    assert (worked.hours, worked.people) == (Decimal(read), None)


@pytest.mark.parametrize(
    "typed",
    [
        {"worked_hours": "two"}, {"worked_hours": "0"}, {"worked_hours": "-1"},
        {"worked_hours": "1000"}, {"worked_hours": "1e2"}, {"worked_hours": "0:00"},
        {"worked_hours": "٣"}, {"worked_people": "2"},
        {"worked_hours": "1", "worked_people": "0"}, {"worked_hours": "1", "worked_people": "1.5"},
    ],
)  # fmt: skip
def test_what_is_no_number_of_hours_is_refused_in_words(typed: dict[str, str]) -> None:
    with pytest.raises(NotHours, match=r"[Hh]ours|people"):
        read_worked(typed)


def test_nothing_typed_is_no_answer() -> None:
    assert read_worked({}) is None
    assert read_worked({"worked_hours": " ", "worked_people": ""}) is None


def test_hours_are_taken_out_of_the_answer_they_were_typed_beside() -> None:
    said = {"a": {"given": "yes"}, "b": {"at": "now", **TYPED}, "c": {"given": "no", **TYPED}}
    assert lifted(said) == ({"a": {"given": "yes"}, "c": {"given": "no"}}, TYPED)


def at_review(house: Any) -> tuple[Client, str]:
    client = phone_of(house, "competent")
    start = client.post(f"/v/larkspur/tasks/{house.task.pk}/check/")
    Draft.objects.update(answers=answers(house))
    return client, start.url


@pytest.mark.django_db
def test_a_check_at_a_desk_asks_for_the_hours_and_its_record_keeps_them(house: Any) -> None:
    client, url = at_review(house)
    page = client.get(f"{url}review/").content.decode()
    assert 'name="worked_hours"' in page
    assert 'name="worked_people"' in page
    assert client.post(f"{url}submit/", {"remark": "", **TYPED}).status_code == 302
    record = Record.objects.get()
    assert (record.hours_worked, record.people_worked) == (Decimal("2.5"), 2)
    assert json.loads(record.body)["worked"] == {"hours": "2.5", "people": 2}
    assert record.sha256 == sha256_of(record.body)
    shown = client.get(f"/v/larkspur/records/{record.pk}/").content.decode()
    assert "2.5 h, 2 people" in shown


@pytest.mark.django_db
def test_a_record_without_hours_says_what_records_always_said(house: Any) -> None:
    client, url = at_review(house)
    client.post(f"{url}submit/", {"remark": "", "worked_hours": "", "worked_people": ""})
    record = Record.objects.get()
    assert record.hours_worked is None
    assert "worked" not in json.loads(record.body)
    assert "Hours worked" not in client.get(f"/v/larkspur/records/{record.pk}/").content.decode()


@pytest.mark.django_db
def test_hours_that_cannot_be_read_are_asked_again_and_nothing_is_lost(house: Any) -> None:
    client, url = at_review(house)
    typed = {"remark": "Dry", "worked_hours": "two", "worked_people": "2"}
    page = client.post(f"{url}submit/", typed, follow=True).content.decode()
    assert "Hours worked: write a number" in page
    assert 'value="two"' in page
    assert ">Dry</textarea>" in page
    assert not Record.objects.exists()


@pytest.mark.django_db
def test_a_phone_keeps_them_as_fields_of_the_last_question(house: Any) -> None:
    """So the script that keeps every answer keeps them too, and needs no word for it."""
    url = f"/v/larkspur/kept/{house.task.pk}/"
    page = phone_of(house, "competent").get(url).content.decode()
    fieldsets = page.split('<fieldset class="question"')[1:]
    last = fieldsets[-1]
    key = last.partition('data-question="')[2].partition('"')[0]
    assert f'name="{key}:worked_hours"' in last.partition("</fieldset>\n")[0]
    assert f'name="{key}:worked_people"' in last
    assert page.count(":worked_hours") == 1


@pytest.mark.django_db
def test_hours_from_a_phone_stand_in_the_record_and_in_no_answer(house: Any) -> None:
    said, pk = answers(house), uuid4()
    said[f"rope_identified.{house.rope.pk}"] |= TYPED
    receipt = put(phone_of(house, "competent"), pk, message(house, answers=said)).json()
    record = Record.objects.get(pk=pk)
    assert receipt["flags"] == []
    assert (record.hours_worked, record.people_worked) == (Decimal("2.5"), 2)
    assert json.loads(record.body)["worked"] == {"hours": "2.5", "people": 2}
    assert "worked_hours" not in json.dumps(Draft.objects.get(pk=pk).answers)
    assert record.remark == "Dark down there."


@pytest.mark.django_db
def test_hours_from_a_phone_that_cannot_be_read_stand_in_the_remark(house: Any) -> None:
    said, pk = answers(house), uuid4()
    said[f"rope_identified.{house.rope.pk}"] |= {"worked_hours": "a while", "worked_people": "2"}
    assert put(phone_of(house, "competent"), pk, message(house, answers=said)).status_code == 200
    record = Record.objects.get(pk=pk)
    assert record.hours_worked is None
    assert "a while" in record.remark
