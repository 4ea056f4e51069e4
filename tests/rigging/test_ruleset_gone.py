"""A chosen rule set whose file is no longer there is never passed over."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client

from rigging.engine import RopeObservation, judge_rope
from rigging.models import RuleChoice
from rigging.queries.ropes import rope_facts, rulesets_in_force
from tests.guards import unguarded
from tests.house import TODAY, make_house
from tests.inspections.test_moving_parts import look_at

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house() -> Any:
    house = make_house()
    one, *rest = RuleChoice.objects.filter(venue=house.venue)
    RuleChoice.objects.filter(pk__in=[each.pk for each in rest]).update(ended_on=TODAY)
    with unguarded():
        RuleChoice.objects.filter(pk=one.pk).update(ruleset="house-rule-of-old")
    return house


def test_a_rope_is_not_decided_by_a_rule_set_that_is_gone_and_the_page_says_why(house: Any) -> None:
    (gone,) = rulesets_in_force(house.venue, TODAY)
    look_at(house)
    client = Client()
    client.force_login(house.people["manager"])
    page = client.get(f"/v/larkspur/equipment/{house.winch.pk}/", follow=True)
    assert page.status_code == 200
    record = house.winch.records.get()
    assert record.state == "cannot be decided"
    shown = client.get(f"/v/larkspur/records/{record.pk}/").content.decode()
    assert "its file is not in this release" in shown
    assert gone.slug == "house-rule-of-old"


def test_a_condition_seen_still_takes_it_out_of_service(house: Any) -> None:
    (gone,) = rulesets_in_force(house.venue, TODAY)
    seen = RopeObservation(conditions={"broken_strand": True})
    assert judge_rope(rope_facts(house.rope), seen, gone).state == "out of service"


@pytest.mark.parametrize("where", ["rules", "rules/house-rule-of-old", "sync/rules"])
def test_no_page_breaks(house: Any, where: str) -> None:
    client = Client()
    client.force_login(house.people["manager"])
    assert client.get(f"/v/larkspur/{where}/").status_code in (200, 404)


def test_every_rule_page_names_it(house: Any) -> None:
    look_at(house)
    client = Client()
    client.force_login(house.people["manager"])
    page = client.get(f"/v/larkspur/ropes/{house.rope.pk}/every-rule/")
    assert page.status_code == 200
    assert "house-rule-of-old" in page.content.decode()
