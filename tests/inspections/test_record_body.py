"""What a record says: one canonical text, the same as its rows, put together in few questions."""

from __future__ import annotations

import json
from typing import Any

import pytest
import rfc8785
from django.test import Client

from inspections.answers import Question, ReadAnswer
from inspections.judged_answer import JudgedAnswer
from inspections.models import Answer, Judged, Reading, Record
from rigging.models import RopeObserved
from tests.house import make_house
from tests.inspections.test_journey import check_rope, rope_typed
from venue.log_hash import sha256_of

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house() -> Any:
    return make_house()


def test_the_body_is_the_canonical_text_of_what_it_says(house: Any) -> None:
    check_rope(house, house.people["competent"], "0.2475 in", "6")
    record = Record.objects.get()
    assert record.body == rfc8785.dumps(json.loads(record.body)).decode()
    assert record.sha256 == sha256_of(record.body)
    assert list(json.loads(record.body)["answers"][0]) == [
        "answered_at", "check", "given", "judgements", "observation", "part", "photographs",
        "question", "readings", "reason", "rope", "state", "text",
    ]  # fmt: skip


def test_the_body_says_what_the_rows_say(house: Any) -> None:
    check_rope(house, house.people["competent"], "0.2475 in", "6")
    said = json.loads(Record.objects.get().body)["answers"]
    assert [each["given"] for each in said] == [row.given for row in Answer.objects.all()]
    assert [told for each in said for told in each["judgements"]] == [
        row.body for row in Judged.objects.all()
    ]
    assert [told for each in said for told in each["readings"]] == [
        {name: getattr(row, name) for name in ("what", "quantity", "instrument", "uncertainty")}
        for row in Reading.objects.all()
    ]
    (rope,) = (each for each in said if each["observation"])
    kept = RopeObserved.objects.get()
    assert (rope["observation"], rope["rope"]) == (kept.body, kept.rope)


def test_a_submit_asks_the_database_a_fixed_number_of_times(
    house: Any, django_assert_num_queries: Any
) -> None:
    client = Client()
    client.force_login(house.people["competent"])
    start = client.post(
        f"/v/larkspur/equipment/{house.winch.pk}/checks/", {"regime": house.regime.slug}
    )
    posted: dict[str, str] = {}
    for check in house.regime.checks:
        key = f"{check.slug}.{house.rope.pk}" if check.part_kind else check.slug
        rope = check.answer == "rope"
        posted |= rope_typed(key, "0.2475 in", "0") if rope else {f"{key}:given": "yes"}
    assert client.post(start.url, posted).url.endswith("/review/")
    # Two of them begin and end the transaction.
    with django_assert_num_queries(20):
        client.post(f"{start.url}submit/", {"remark": "Looked at in daylight"})
    assert Record.objects.get().remark == "Looked at in daylight"


def test_half_a_character_is_refused_when_the_record_is_written_and_not_before(house: Any) -> None:
    question = Question("gap", house.regime.checks[0])
    judged = JudgedAnswer(ReadAnswer(question, given="value", text="\ud800"))
    judged.write_down()
    with pytest.raises((UnicodeEncodeError, rfc8785.CanonicalizationError)):
        assert judged.texts
