"""What equipment reads when checks, findings and phones cross each other's way."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.utils import timezone

from inspections.actions.open_finding import finding_with_order
from inspections.actions.plans import apply_regime
from inspections.actions.return_to_service import record_remedy
from inspections.consequences import Consequence, TooMild, consequence_of
from inspections.models import Draft, Finding, Record
from inspections.queries.rope_list import rope_rows
from inspections.queries.rope_trends import rope_trends
from inspections.queries.state import state_of
from inspections.regime_files import regimes
from tests.guards import unguarded
from tests.house import make_house
from tests.inspections.test_journey import photograph
from tests.inspections.test_messages_from_phones import message, phone_of, put
from tests.inspections.test_moving_parts import look_at
from venue.models import Competence

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house() -> Any:
    house, now = make_house(), timezone.now()
    house.plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=now.date(), last_done_on=None,
        by=house.people["manager"], at=now,
    )  # fmt: skip
    house.task = house.plan.tasks.first()
    return house


def state(house: Any) -> str:
    return state_of(house.winch, timezone.now().date()).state


def found(house: Any, grade: str, order: str | None, days: int, restriction: str = "") -> Finding:
    now = timezone.now()
    bites = now.date() + timedelta(days=days) if order else None
    cured_by = bites - timedelta(days=1) if bites else None
    return finding_with_order(
        equipment=house.winch, part=None, record=None, answer=None, what="Guard loose", detail="",
        follows=Consequence(grade, order, bites, cured_by, restriction),
        by=house.people["competent"], at=now,
    )  # fmt: skip


def test_a_check_that_arrives_late_is_not_newer_than_the_one_made_after_it(house: Any) -> None:
    look_at(house, broken="1")
    assert state(house) == "watch"
    before = timezone.now() - timedelta(hours=1)
    late = message(house, task=None, saved_at=before.isoformat())
    receipt = put(phone_of(house, "second"), uuid4(), late | {"person": house.people["second"].pk})
    assert receipt.json()["state"] == "fit"
    assert Record.objects.count() == 2
    assert state(house) == "watch"
    today = timezone.now().date()
    assert state_of(house.winch, today).last_record.state == "watch"
    (rope,) = [row for row in rope_rows(house.venue, today) if row.rope == house.rope]
    assert rope.state == "watch"
    trends = rope_trends(house.rope, [house.rope], today)
    assert trends is not None
    newest, older = trends.rows
    assert "1" in newest.cells
    assert "1" not in older.cells


@pytest.mark.parametrize(
    ("grade", "order", "days"),
    [("observation", None, 0), ("used_until_date", "barred_from", 20)],
)
def test_what_was_found_and_not_cured_keeps_the_next_good_check_from_reading_in_order(
    house: Any, grade: str, order: str | None, days: int
) -> None:
    finding = found(house, grade, order, days)
    look_at(house)
    assert Record.objects.get().state == "fit"
    assert state(house) == "watch"
    record_remedy(
        finding=finding, what="Guard bolted on", evidence=[photograph()],
        by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    assert state(house) == ("watch" if order else "fit"), "an order is lifted by a second person"
    client = Client()
    client.force_login(house.people["stagehand"])
    page = client.get(f"/v/larkspur/equipment/{house.winch.pk}/").content.decode()
    assert ("<b>Open</b>" in page, "Cured and closed" in page) == (bool(order), not order)


def test_an_observation_alone_is_too_mild_for_what_restricts_use() -> None:
    today = timezone.now().date()
    checks = [check for regime in regimes().values() for check in regime.checks]
    restricting = [check for check in checks if check.on_fail in ("restricted", "used_until_date")]
    assert restricting
    for check in restricting:
        with pytest.raises(TooMild, match="not in order"):
            consequence_of(check, "restrict", {"grade": "observation"}, today)
        usual = consequence_of(check, "restrict", {}, today)
        assert usual is not None
        assert usual.order


def test_a_check_by_someone_whose_competence_lapsed_does_not_read_in_order(house: Any) -> None:
    yesterday = timezone.now().date() - timedelta(days=1)
    held = Competence.objects.filter(person=house.people["competent"])
    with unguarded():
        held.update(expires_on=yesterday)
    look_at(house)
    record = Record.objects.get()
    assert (record.state, record.may_sign) == ("fit", False)
    shown = state_of(house.winch, timezone.now().date())
    assert shown.state == "cannot be decided"
    assert "competence does not cover it" in shown.words
    with unguarded():
        held.update(expires_on=None)
    look_at(house)
    assert state(house) == "fit"


def test_a_list_of_checks_for_other_equipment_is_not_started(house: Any) -> None:
    client = phone_of(house, "stagehand")
    address = f"/v/larkspur/equipment/{house.winch.pk}/checks/"
    refused = client.post(address, {"regime": "walkway_before_use"})
    assert refused.url == f"/v/larkspur/t/{house.winch.tag}/"
    assert not Draft.objects.exists()
    assert "/checks/" in client.post(address, {"regime": "winch_before_use"}).url


def test_each_count_of_tonight_leads_to_its_list(house: Any) -> None:
    client = Client()
    client.force_login(house.people["stagehand"])
    page = client.get("/v/larkspur/").content.decode()
    ways = re.findall(r'<dt><a href="([^"]+)">([^<]+)</a></dt>', page)
    assert [words for _, words in ways] == ["out of service", "late", "restricted", "open findings"]
    assert [client.get(way).status_code for way, _ in ways] == [200] * 4


def test_restricted_and_late_hide_neither_each_other_nor_what_is_not_known(house: Any) -> None:
    today = timezone.now().date()
    found(house, "restricted", "restricted", 0, "At half speed.")
    told = state_of(house.winch, today)
    assert (told.state, told.words) == ("restrict", "Restricted; otherwise not known")
    late = state_of(house.winch, today + timedelta(days=900))
    assert (late.state, late.words) == ("late", "Restricted, and inspection late")
