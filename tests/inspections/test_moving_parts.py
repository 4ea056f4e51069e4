"""A part goes to other equipment: where it was stays known, and nothing condemned goes along."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from inspections.actions.fill_check import keep_answer, start_use_check
from inspections.actions.open_finding import take_out_of_service
from inspections.actions.submit_check import submit_check
from inspections.queries.equipment import part_whole
from tests.house import TODAY, make_equipment, make_house, make_rope
from tests.venue.screens import faults, send, shown, signed_in, words
from venue.models import Equipment, LogLine, Part

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house():
    house = make_house()
    house.second = make_equipment(house.venue, "W2")
    Part.objects.filter(pk=house.rope.pk).update(installed_on=today() - timedelta(900))
    house.rope.refresh_from_db()
    return house


@pytest.fixture
def manager(house):
    return signed_in(house.people["manager"])


def today():
    return timezone.now().date()


def move(house, client, **changed):
    typed = {"tag": "W2", "part_code": "line 4", "why": "W1 is rebuilt", "installed_on": ""}
    return send(client, f"/v/larkspur/parts/{house.rope.pk}/move/", **typed | changed)


def look_at(house, broken: str = "0") -> None:
    """A check of the winch, with everything about the rope."""
    answers = {
        "dia_1_a": "0.26 in", "dia_1_b": "0.26 in", "instrument": "Caliper", "looked": "yes",
        "broken_lay": broken, "broken_strand_count": "0", "broken_valley": "0", "broken_end": "0",
    }  # fmt: skip
    by, at = house.people["competent"], timezone.now()
    draft = start_use_check(equipment=house.winch, regime=house.regime, by=by, at=at)
    keep_answer(draft=draft, key=f"running_rope.{house.rope.pk}", typed=answers, at=at)
    keep_answer(draft=draft, key=f"rope_identified.{house.rope.pk}", typed={"given": "yes"}, at=at)
    submit_check(draft=draft, by=by, at=at)


def test_a_moved_rope_keeps_where_it_was_and_every_figure(house, manager):
    send(manager, f"/v/larkspur/parts/{house.rope.pk}/change/", field_length="12,5")
    house.rope.refresh_from_db()
    figures = dict(house.rope.fields)
    assert figures["length"]["typed"] == "12,5"
    answer = move(house, manager)
    house.rope.refresh_from_db()
    moved = house.rope.successor
    assert answer.url == f"/v/larkspur/parts/{moved.pk}/"
    assert (house.rope.equipment, house.rope.code) == (house.winch, "line 1")
    assert (house.rope.retired_on, house.rope.retired_why) == (
        today(), "Moved to W2, line 4: W1 is rebuilt",
    )  # fmt: skip
    assert (moved.equipment, moved.code, moved.identifier) == (house.second, "line 4", "R-1")
    assert moved.installed_on == today()
    assert moved.fields == figures
    page = words(manager.get(answer.url))
    assert "W1, line 1 R-1; there from" in page
    line = LogLine.objects.get(did="move_part")
    assert '"tag":"W1"' in line.body
    assert '"tag":"W2"' in line.body


def test_what_was_seen_of_it_before_is_still_on_its_page_with_where(house, manager):
    look_at(house)
    move(house, manager)
    house.rope.refresh_from_db()
    seen = part_whole(house.rope.successor, TODAY).history
    assert [row["where"] for row in seen] == ["W1, line 1"]
    assert house.rope.observations.count() == 1


def test_a_rope_with_an_open_finding_goes_nowhere(house, manager):
    look_at(house, broken="9")
    assert house.rope.findings.exists()
    refused = move(house, manager)
    assert "A finding about this part is open" in faults(refused)["__all__"][0]
    assert refused.context["form"]["why"].value() == "W1 is rebuilt"
    assert Part.objects.get(pk=house.rope.pk).retired_on is None


def test_no_part_leaves_equipment_that_is_out_of_service(house, manager):
    take_out_of_service(
        equipment=house.winch, why="Frayed rope", by=house.people["stagehand"], at=timezone.now()
    )
    assert "W1 is under an order: “Frayed rope”" in faults(move(house, manager))["__all__"][0]
    assert house.second.parts.count() == 0


@pytest.mark.parametrize(
    ("changed", "field", "said"),
    [
        ({"tag": ""}, "tag", "is empty"),
        ({"part_code": ""}, "part_code", "is empty"),
        ({"part_code": "line 5"}, "part_code", "is in use"),
        ({"why": ""}, "why", "is empty"),
        ({"installed_on": "2999-01-01"}, "installed_on", "future"),
        ({"installed_on": "2020-02-31"}, "installed_on", "not a day"),
        ({"installed_on": "2001-01-01"}, "installed_on", "before the part came here"),
        ({"tag": "W1", "part_code": "line 1"}, "part_code", "where it is now"),
    ],
)
def test_a_move_that_cannot_be_right_changes_nothing(house, manager, changed, field, said):
    make_rope(house.second, "line 5")
    refused = move(house, manager, **changed)
    assert said in faults(refused)[field][0]
    assert len(faults(refused)[field]) == 1
    assert Part.objects.get(pk=house.rope.pk).retired_on is None
    assert Part.objects.count() == 2


def test_a_kind_of_equipment_without_such_a_part_does_not_take_it(house, manager):
    detector = make_equipment(house.venue, "BD1")
    Equipment.objects.filter(pk=detector.pk).update(kind="beam_smoke_detector")
    found = faults(move(house, manager, tag="BD1"))
    assert "is not a part of a beam_smoke_detector" in found["__all__"][0]


def test_a_move_sent_twice_moves_once(house, manager):
    address = f"/v/larkspur/parts/{house.rope.pk}/move/"
    mine = shown(manager, address) | {"tag": "W2", "part_code": "line 4", "why": "Rebuilt"}
    first, second = manager.post(address, mine), manager.post(address, mine)
    assert first.url == second.url
    assert Part.objects.count() == 2


def test_equipment_of_another_venue_is_no_place_to_move_to(house, manager):
    make_equipment(house.other, "X1")
    assert move(house, manager, tag="X1").status_code == 404
