"""The page that asks for a report of a kind: choose, see what is in it, see a draft, sign."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
import time_machine
from django.db import connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.models import Job
from tests.inspections.kinds_house import AT, EXAMINER_STATES, KINDS, make_kinds_house

pytestmark = pytest.mark.django_db
SPAN = {"start": "2025-07-04", "end": "2026-07-03"}


@pytest.fixture(scope="module")
def made(django_db_setup: None, django_db_blocker: Any) -> Iterator[Any]:
    with django_db_blocker.unblock(), transaction.atomic():
        yield make_kinds_house()
        transaction.set_rollback(True)


@pytest.fixture
def house(made: Any) -> Iterator[Any]:
    with time_machine.travel(AT, tick=False):
        yield made


def page(house: Any, kind: str, who: str = "competent", **query: Any) -> Any:
    return _client(house, who).get(reverse("report_kind", args=["larkspur", kind]), query)


def send(house: Any, kind: str, query: str, who: str, **typed: str) -> Any:
    address = reverse("report_kind", args=["larkspur", kind])
    return _client(house, who).post(f"{address}?{query}", typed)


def _client(house: Any, who: str) -> Client:
    client = Client()
    client.force_login(house.people[who])
    return client


def test_every_kind_has_a_page_that_first_asks_of_what(house: Any) -> None:
    listed = _client(house, "competent").get(reverse("new_report", args=["larkspur"])).content
    for slug, kind in KINDS.items():
        assert kind.name.encode() in listed
        shown = page(house, slug).content.decode()
        assert "Go on" in shown
        assert "Sign and issue" not in shown
    assert page(house, "no_such_kind").status_code == 404


def test_what_cannot_be_chosen_is_said_in_words(house: Any) -> None:
    def told(**query: str) -> str:
        return page(house, "annual_rigging", **query).content.decode()

    assert "Choose a place, or name equipment by its tag." in told(**SPAN)
    assert "There is no equipment with the tag X9 here." in told(**SPAN, tags="W1, X9")
    backwards = told(start="2026-07-03", end="2025-07-04", tags="W1")
    assert "The last day is before the first." in backwards
    assert "The last day is still to come" in told(start="2026-01-01", end="2026-07-04", tags="W1")
    assert "Two years are the most" in told(start="2024-01-01", end="2026-07-03", tags="W1")
    assert "Sign and issue" not in backwards


def test_a_place_brings_the_rigging_in_it(house: Any) -> None:
    shown = page(house, "annual_rigging", **SPAN, place=house.winch.place_id).content.decode()
    assert "Rigging inspection, W1, W2, 4 July 2025 to 3 July 2026" in shown
    assert "You sign as: Qualified person, Card 1" in shown


def test_the_page_shows_what_the_records_state_and_asks_for_the_rest(house: Any) -> None:
    shown = page(house, "thorough_exam", "examiner", row=house.thorough.pk).content.decode()
    assert "moving: 250 kg (Type plate)" in shown
    assert all(f'name="state_{key}"' in shown for key in EXAMINER_STATES)
    assert 'name="state_safe_load"' not in shown
    assert 'name="state_signer"' not in shown


def test_signing_with_an_empty_item_is_refused_and_a_draft_is_not(house: Any) -> None:
    query = f"row={house.thorough.pk}"
    said = {f"state_{key}": words for key, words in EXAMINER_STATES.items()}
    said |= {"meaning": KINDS["thorough_exam"].own, "state_would_be_safe": ""}
    refused = send(house, "thorough_exam", query, "examiner", **said)
    assert refused.status_code == 200
    assert "One thing to put right" in refused.content.decode()
    assert not Job.objects.exists()
    drafted = send(house, "thorough_exam", query, "examiner", **said, draft="1")
    assert drafted.status_code == 302
    job = Job.objects.get()
    assert job.asked["content"]["signature"] is None
    again = page(house, "thorough_exam", "examiner", row=house.thorough.pk, again=job.pk)
    assert "2 Mole Street, Tern Harbour" in again.content.decode()
    waiting = _client(house, "examiner").get(drafted.url).content.decode()
    assert "thorough examination of 3 July 2026" in waiting
    said["state_would_be_safe"] = EXAMINER_STATES["would_be_safe"]
    assert send(house, "thorough_exam", query, "examiner", **said).status_code == 302
    signed = Job.objects.exclude(pk=job.pk).get().asked["content"]
    assert signed["signature"]["name"] == "Examiner"
    assert all(item["said"] for item in signed["matter"]["items"])


def test_only_ones_own_inspection_can_be_chosen_where_nobody_else_may_sign_it(house: Any) -> None:
    mine = page(house, "us_rope_record").content.decode()
    others = page(house, "us_rope_record", "second").content.decode()
    assert mine.count(f"W1 Winch W1: {house.regime.title}") == 3
    assert house.regime.title not in others


def test_pages_of_a_rope_and_of_a_finding_lead_to_their_reports(house: Any) -> None:
    rope = _client(house, "competent").get(reverse("part", args=["larkspur", house.rope.pk]))
    assert f"rope_certificate/?row={house.rope.pk}" in rope.content.decode()
    found = house.returned.order.finding
    finding = _client(house, "competent").get(reverse("finding", args=["larkspur", found.pk]))
    assert f"service_return/?row={house.returned.pk}" in finding.content.decode()
    for kind, row in (("rope_certificate", house.rope), ("service_return", house.returned)):
        assert "Sign and issue" in page(house, kind, row=row.pk).content.decode()


def test_a_record_and_a_piece_of_equipment_lead_to_what_can_be_made_of_them(house: Any) -> None:
    def shown(who: str, name: str, pk: Any) -> str:
        return _client(house, who).get(reverse(name, args=["larkspur", pk])).content.decode()

    certified = f"us_rope_record/?row={house.measured[0].pk}"
    assert certified in shown("competent", "record", house.measured[0].pk)
    assert certified not in shown("second", "record", house.measured[0].pk)
    assert f"thorough_exam/?row={house.thorough.pk}" in shown("second", "record", house.thorough.pk)
    assert "annual_rigging/?tags=W1" in shown("competent", "equipment", house.winch.pk)
    assert "annual_rigging" not in shown("auditor", "equipment", house.winch.pk)
    usual = page(house, "annual_rigging", tags="W1").content.decode()
    assert "Rigging inspection, W1 Winch W1, 4 July 2025 to 3 July 2026" in usual


def test_more_equipment_costs_no_more_queries(house: Any) -> None:
    def queries(tags: str) -> int:
        with CaptureQueriesContext(connection) as asked:
            assert b"Sign and issue" in page(house, "annual_rigging", **SPAN, tags=tags).content
        return len(asked)

    assert queries("W1,W2") == queries("W1")
