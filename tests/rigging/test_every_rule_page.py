"""One rope, every rule: all verdicts side by side, those in force first, the rest as comparison."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from rigging.engine import load_rulesets
from rigging.models import RopeObserved
from rigging.queries.every_rule import every_rule, observations_of
from rigging.queries.ropes import rope_facts
from tests.guards import unguarded
from tests.house import NOW, TODAY, make_house
from tests.rigging.ropes import lay, make_observation

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> Any:
    found = make_house()
    found.observed = observe(found, counts=[lay(6, 2)])
    return found


def observe(house: Any, days: int = 0, **seen: Any) -> RopeObserved:
    return RopeObserved.objects.create(
        part=house.rope, by=house.people["competent"], at=NOW + timedelta(days=days),
        rope=rope_facts(house.rope).to_dict(), body=make_observation(**seen).to_dict(),
    )  # fmt: skip


def page_of(house: Any, who: str = "stagehand", **asked: Any) -> Any:
    client = Client(raise_request_exception=False)
    client.force_login(house.people[who])
    return client.get(reverse("every_rule", args=[house.venue.slug, house.rope.pk]), asked)


def verdicts_of(house: Any) -> dict[str, Any]:
    whole = every_rule(house.venue, house.rope, house.observed, [house.observed], TODAY)
    return {each.rules.slug: each for each in whole.verdicts}


def test_every_rule_set_gives_its_verdict_with_clause_and_margin(house):
    found = verdicts_of(house)
    assert set(found) == set(load_rulesets())
    states = {slug: each.judged.state for slug, each in found.items()}
    # Six broken wires in one lay of a 7x19 running rope.
    assert states["us-osha-1926-1413"] == states["us-faa-ac-43-13-1b"] == "retire"
    assert states["asme-b30-5"] == "retire"
    assert states["asme-b30-2"] == "cannot be decided"  # twelve, and it says nothing of wear
    assert found["us-osha-1926-1413"].judged.margin == "exactly at the limit"
    assert all(each.judged.clause for each in found.values())


def test_what_is_in_force_comes_first_and_the_rest_is_said_to_be_comparison(house):
    shown = page_of(house).content.decode()
    force, compare = shown.index("In force here"), shown.index("Not in force here: to compare")
    chosen = {choice.ruleset for choice in house.venue.rule_choices.all()}
    assert chosen
    for slug, rules in load_rulesets().items():
        place = shown.index(f"/rules/{slug}/")
        assert (force < place < compare) == (slug in chosen), rules.title
    assert shown.count("Not chosen here.") == len(load_rulesets()) - len(chosen)


def test_what_cannot_be_decided_says_what_is_missing(house):
    shown = page_of(house).content.decode()
    assert "To decide it needs:" in shown
    assert "known here from memory only" in shown
    assert "the greatest force in the rope, dynamic effects included" in shown


def test_the_latest_observation_is_judged_unless_another_is_chosen(house):
    observe(house, days=1, counts=[lay(0, 0)])
    latest, first = page_of(house), page_of(house, observation=house.observed.pk)
    assert latest.context["whole"].observed != house.observed
    assert first.context["whole"].observed == house.observed


def test_a_fact_learned_since_is_used_and_named(house):
    house.observed.rope["baseline_diameter"] = None
    whole = every_rule(house.venue, house.rope, house.observed, [], TODAY)
    assert whole.known_since == ["the baseline diameter, measured on this rope when new"]
    found = {each.rules.slug: each.judged for each in whole.verdicts}
    assert not [word for word in found["us-msha-30cfr-56-19024"].missing if "baseline" in word]


def test_a_rope_never_looked_at_says_so_and_an_unknown_observation_is_not_found(house):
    assert page_of(house, observation=99999).status_code == 404
    with unguarded():
        RopeObserved.objects.all().delete()
    assert "never been looked at" in page_of(house).content.decode()


def test_the_page_costs_the_same_at_three_observations_and_at_nine(
    house, django_assert_num_queries
):
    costs = []
    for more in (2, 6):
        for day in range(more):
            observe(house, days=day + 1)
        with CaptureQueriesContext(connection) as asked:
            assert page_of(house).status_code == 200
        costs.append(len(asked))
    assert observations_of(house.rope, house.people["manager"]).count() == 9
    assert costs[0] == costs[1]
