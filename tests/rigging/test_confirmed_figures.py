"""Figures known from memory are switched on by a named person with the document, in one venue."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from rigging.actions.confirm_figures import (
    CannotConfirm,
    DocumentBefore,
    confirm_figures,
    end_confirmation,
)
from rigging.engine import confirmable, judge_rope, load_rulesets, with_confirmed
from rigging.models import FigureConfirmed
from rigging.queries.confirmations import as_confirmed, hashes_used, open_figures
from tests.guards import unguarded
from tests.house import NOW, TODAY, make_house
from tests.rigging.ropes import make_observation, make_rope
from venue.models import LogLine, Venue

pytestmark = pytest.mark.django_db
ISO = "iso-4309-2017-counts"
BEFORE = DocumentBefore("ISO 4309", "2017, third print", "tables 5 and 6", have_it=True)


@pytest.fixture
def house() -> Any:
    return make_house()


def confirm(house: Any, *criteria: str, **change: Any) -> list[FigureConfirmed]:
    given = {
        "venue": house.venue, "ruleset": ISO, "criteria": criteria, "before": BEFORE,
        "by": house.people["competent"], "at": NOW,
    }  # fmt: skip
    return confirm_figures(**(given | change))


def judged(house: Any, venue: Any = None, day: Any = TODAY, **seen: Any) -> Any:
    rules = as_confirmed(venue or house.venue, day, [load_rulesets()[ISO]])[0]
    # 6.1 mm when new, 5.6 mm now, of 6 mm nominal: 8.33 %, beyond 7.5 %.
    worn = make_observation(diameters=[{"a": "5.6 mm", "b": "5.6 mm"}], **seen)
    return judge_rope(make_rope(), worn, rules)


def test_a_worn_rope_is_undecided_until_the_figure_is_confirmed_and_retired_after(house):
    assert judged(house).state == "cannot be decided"
    confirm(house, "diameter-steel-core")
    after = judged(house)
    assert (after.state, after.limit, after.value) == ("retire", "7.5 %", "8.33 %")
    assert "confirmed by" in after.verified
    assert "ISO 4309, 2017, third print, tables 5 and 6" in after.verified


def test_another_venue_and_an_earlier_day_are_not_touched(house):
    confirm(house, "diameter-steel-core")
    other = Venue.objects.exclude(pk=house.venue.pk).get()
    assert judged(house, venue=other).state == "cannot be decided"
    assert judged(house, day=TODAY - timedelta(days=1)).state == "cannot be decided"


def test_the_hash_of_the_rule_set_says_what_was_confirmed(house):
    plain = load_rulesets()[ISO].hash
    confirm(house, "diameter-steel-core")
    one = judged(house).hash
    confirm(house, "combined")
    assert len({plain, one, judged(house).hash}) == 3


def test_the_log_says_who_confirmed_what_by_which_document(house):
    confirm(house, "combined", "corrosion-rough")
    lines = [line.body for line in LogLine.objects.all() if "confirm_figure" in line.body]
    assert len(lines) == 2
    assert all("ISO 4309" in body and "third print" in body for body in lines)
    assert "corrosion-rough" in lines[0] + lines[1]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"before": replace(BEFORE, document=" ")}, "Name the document"),
        ({"before": replace(BEFORE, edition="")}, "Name the document"),
        ({"before": replace(BEFORE, clause="")}, "Name the document"),
        ({"before": replace(BEFORE, have_it=False)}, "before you"),
        ({"criteria": ()}, "at least one"),
        ({"criteria": ("ordinary-6d",)}, "at least one"),
        ({"ruleset": "no-such"}, "no such"),
    ],
)
def test_without_its_document_or_a_figure_nothing_is_confirmed(house, change, says):
    with pytest.raises(CannotConfirm, match=says):
        confirm(house, "combined", **change)
    assert not FigureConfirmed.objects.exists()


def test_a_figure_is_confirmed_once_and_again_after_it_was_ended(house):
    row = confirm(house, "combined")[0]
    with pytest.raises(CannotConfirm, match="confirmed already"):
        confirm(house, "combined")
    with pytest.raises(CannotConfirm, match="Say why"):
        end_confirmation(row=row, why=" ", by=house.people["manager"], at=NOW)
    end_confirmation(row=row, why="A new edition.", by=house.people["manager"], at=NOW)
    assert not [
        each for each in open_figures(house.venue, TODAY, load_rulesets()[ISO]) if each.confirmed
    ]
    confirm(house, "combined")


def test_a_confirmation_of_a_figure_that_has_changed_since_does_not_hold(house):
    confirm(house, "combined")
    with unguarded():
        FigureConfirmed.objects.update(criterion_hash="0" * 64)
    rules = as_confirmed(house.venue, TODAY, [load_rulesets()[ISO]])[0]
    assert rules is load_rulesets()[ISO]
    confirm(house, "combined")
    assert FigureConfirmed.objects.filter(ended_on__isnull=True).count() == 1


def test_with_every_figure_confirmed_severities_add_up_at_one_place():
    iso = load_rulesets()[ISO]
    rules = with_confirmed(iso, {each.slug: "read" for each in confirmable(iso)})
    # 3 of 5 wires in 6 diameters are 60 %; 6.1 to 5.79 mm of 6 mm is 5.17 %, so 40 %.
    wires = [{"position": f"{place} mm", "strand": 1, "zone": "crown"} for place in (500, 510, 520)]
    there = {"a": "5.79 mm", "b": "5.79 mm", "position": "505 mm"}
    away, sound = there | {"position": "5 m"}, {"a": "6.1 mm", "b": "6.1 mm", "position": "505 mm"}
    for pairs, state, value in (
        ([there], "retire", "100 %"),
        # Worn somewhere else, and not measured where the wires are broken: nobody knows.
        ([away], "cannot be decided", "between 60 and 100 %"),
        ([away, sound], "watch", "between 60 and 80 %"),
    ):
        seen = make_observation(counts=[], broken_wires=wires, diameters=pairs)
        found = judge_rope(make_rope(), seen, rules)
        combined = next(each for each in found.results if each.slug == "combined")
        assert (found.state, combined.value) == (state, value)


def test_the_page_confirms_and_the_rule_set_says_so(house):
    client = Client()
    client.force_login(house.people["competent"])
    address = reverse("confirm_figures", args=[house.venue.slug, ISO])
    page = client.get(address).content.decode()
    assert "from 7.5 %: 100 % of discard" in page
    typed = {"criterion": ["diameter-steel-core"], "document": "ISO 4309", "edition": "2017"}
    refused = client.post(address, typed | {"clause": "Table 5"}).content.decode()
    assert "One thing to put right" in refused
    assert not FigureConfirmed.objects.exists()
    done = client.post(address, typed | {"clause": "Table 5", "have_it": "on"}, follow=True)
    assert "confirmed by" in done.content.decode().lower()
    assert FigureConfirmed.objects.get().confirmed_by == house.people["competent"]


@pytest.mark.parametrize(
    ("role", "status"), [("stagehand", 403), ("auditor", 403), ("manager", 200)]
)
def test_only_the_manager_and_the_competent_may_confirm(house, role, status):
    client = Client(raise_request_exception=False)
    client.force_login(house.people[role])
    address = reverse("confirm_figures", args=[house.venue.slug, ISO])
    assert client.get(address).status_code == status


def test_every_hash_that_judged_here_is_known_after_a_confirmation_ends(house):
    row = confirm(house, "combined")[0]
    used = judged(house).hash
    later = NOW + timedelta(days=3)
    end_confirmation(row=row, why="A new edition.", by=house.people["manager"], at=later)
    iso = load_rulesets()[ISO]
    assert hashes_used(house.venue, iso) == {iso.hash, used}
