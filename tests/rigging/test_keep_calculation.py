"""An answer of a calculator is kept on a piece of equipment, as it stood, with its log line."""

from __future__ import annotations

from datetime import timedelta
from fractions import Fraction
from html import escape
from typing import Any
from urllib.parse import parse_qsl

import pytest
from django.db import transaction
from django.db.utils import IntegrityError
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inspections.actions.fill_check import keep_answer, start_use_check
from inspections.actions.submit_check import submit_check
from inspections.queries.report_content import report_content
from rigging.actions.keep_calculation import CannotKeep, keep_calculation
from rigging.calculators import load_calculators, read_values
from rigging.models import CalculationKept
from rigging.queries.calculations import calculations_for, calculations_of, calculations_of_day
from tests.house import make_house
from tests.test_walk import rope_answers
from venue.models import LogLine

pytestmark = pytest.mark.django_db

TYPED = {"offset": "4 in", "distance": "12' 6\"", "drum": "smooth"}


@pytest.fixture
def house() -> Any:
    return make_house()


def keep(house: Any, at: Any = None, **change: Any) -> CalculationKept:
    asked: dict[str, Any] = {
        "equipment": house.winch, "calculator": load_calculators()["fleet-angle"], "typed": TYPED,
        "why": "New block above the paint frame", "by": house.people["competent"],
        "at": at or timezone.now(),
    }  # fmt: skip
    return keep_calculation(**{**asked, **change})


def send(house: Any, who: str, **change: str) -> Any:
    client = Client()
    client.force_login(house.people[who])
    address = reverse("keep_calculation", args=[house.venue.slug, "fleet-angle"])
    sent = {**TYPED, "equipment": str(house.winch.pk), "why": "New block", **change}
    return client.post(address, sent)


def test_it_is_kept_as_it_stood_with_its_line_in_the_log(house: Any) -> None:
    row = keep(house)
    line = LogLine.objects.filter(did="keep_calculation").get()
    assert row.typed == TYPED
    assert row.said["figures"][0]["shown"] == "1.53°"
    assert row.said["caution"]
    assert row.said["sources"]
    assert "New block above the paint frame" in line.body
    assert "1.53°" in line.body
    shown = calculations_of(house.winch)[0]
    assert shown.line.startswith("Fleet angle. Smooth drum: beyond")
    assert "offset=4+in" in shown.query


@pytest.mark.parametrize(
    "change",
    [{"why": " "}, {"typed": {**TYPED, "offset": "banana"}}, {"typed": {}}],
    ids=["no reason", "a faulty field", "nothing typed"],
)
def test_what_has_no_answer_or_no_reason_is_not_kept(house: Any, change: dict[str, Any]) -> None:
    with pytest.raises(CannotKeep):
        keep(house, **change)
    assert not CalculationKept.objects.exists()
    assert not LogLine.objects.filter(did="keep_calculation").exists()


def test_the_database_too_wants_a_reason(house: Any) -> None:
    row = keep(house)
    with pytest.raises(IntegrityError), transaction.atomic():
        CalculationKept.objects.create(
            equipment=house.winch, calculator="x", typed={}, said=row.said, why="", by=row.by,
            by_name="x", at=row.at,
        )  # fmt: skip


def test_an_answer_that_cannot_be_decided_is_kept_as_such(house: Any) -> None:
    keep(house, typed={"offset": "4 in", "drum": "smooth"})
    assert "cannot be decided" in calculations_of(house.winch)[0].line


@pytest.mark.parametrize("who", ["manager", "competent", "stagehand", "examiner"])
def test_whoever_carries_out_checks_keeps_from_the_page(house: Any, who: str) -> None:
    client = Client()
    client.force_login(house.people[who])
    address = reverse("calculator", args=[house.venue.slug, "fleet-angle"])
    assert "Keep this calculation" in client.get(address, TYPED).content.decode()
    answered = send(house, who)
    assert answered.url == reverse("equipment", args=[house.venue.slug, house.winch.pk])
    assert CalculationKept.objects.get().by == house.people[who]


def test_an_auditor_reads_and_keeps_nothing(house: Any) -> None:
    client = Client()
    client.force_login(house.people["auditor"])
    address = reverse("calculator", args=[house.venue.slug, "fleet-angle"])
    assert "Keep this calculation" not in client.get(address, TYPED).content.decode()
    assert send(house, "auditor").status_code == 403
    assert send(house, "other manager").status_code == 404
    assert not CalculationKept.objects.exists()


def test_a_refusal_leads_back_to_what_was_typed(house: Any) -> None:
    answered = send(house, "competent", why="")
    assert "offset=4+in" in answered.url
    for wrong in ("", "0", "none", "9" * 30):
        assert send(house, "competent", equipment=wrong).status_code == 404
    assert not CalculationKept.objects.exists()


def test_only_those_of_the_day_stand_in_its_report(house: Any) -> None:
    now = timezone.now()
    draft = start_use_check(
        equipment=house.winch, regime=house.regime, by=house.people["competent"], at=now
    )
    for key, typed in rope_answers(house, "6").items():
        keep_answer(draft=draft, key=key, typed=typed, at=now)
    record = submit_check(draft=draft, by=house.people["competent"], at=now)
    keep(house, at=now)
    keep(house, at=now - timedelta(days=2), why="An older block")
    later = now + timedelta(minutes=1)
    told = report_content(house.venue, [record], later).sheets[0].calculations
    assert len(told) == 1
    assert "Fleet angle 1.53°" in told[0]
    assert "Worked out for: New block above the paint frame" in told[0]
    before = now - timedelta(minutes=1)
    assert calculations_of_day(house.winch, record.done_on, before) == []


def test_a_rope_s_page_leads_to_calculators_with_what_is_known_of_it(house: Any) -> None:
    client = Client()
    client.force_login(house.people["auditor"])
    address = reverse("part", args=[house.venue.slug, house.rope.pk])
    shown = client.get(address).content.decode()
    links = {one.slug: one for one in calculations_for(house.rope)}
    diameter = house.rope.fields["nominal_diameter"]
    for one in links.values():
        at = reverse("calculator", args=[house.venue.slug, one.slug])
        assert f"{at}?{escape(one.query)}" in shown
        opened = client.get(f"{at}?{one.query}").content.decode()
        assert "faulty" not in opened
        read = read_values(load_calculators()[one.slug], dict(parse_qsl(one.query)))
        assert read["diameter"] == Fraction(diameter["si"])


def test_another_part_leads_to_none(house: Any) -> None:
    house.rope.kind = "block"
    assert calculations_for(house.rope) == []
