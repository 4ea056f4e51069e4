"""A check of the old rope says nothing about the new one."""

from __future__ import annotations

from datetime import timedelta

import pytest
from django.utils import timezone

from inspections.actions.move_part import move_sound_part
from inspections.models import Record
from inspections.queries.changed_parts import changed_since_looked_at
from inspections.queries.state import state_of
from tests.guards import unguarded
from tests.house import make_equipment, make_house, make_rope
from tests.inspections.test_moving_parts import look_at
from venue.actions.parts import retire_part
from venue.models import Part

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]


@pytest.fixture
def house():
    house = make_house()
    look_at(house)
    return house


def state(equipment) -> str:
    return state_of(equipment, timezone.now().date()).state


def replaced(house):
    new = retire_part(
        part=house.rope, why="Worn", successor_identifier="R-2", installed_on=None,
        by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    Part.objects.filter(pk=new.pk).update(fields=house.rope.fields)
    new.refresh_from_db()
    return new


def test_a_new_rope_that_nobody_looked_at_is_not_known(house):
    assert state(house.winch) == "fit"
    house.rope = replaced(house)
    shown = state_of(house.winch, timezone.now().date())
    assert shown.state == "cannot be decided"
    assert shown.words == "A part was changed since the last look"
    look_at(house)
    assert state(house.winch) == "fit"


def test_a_rope_that_came_from_elsewhere_is_looked_at_anew_and_so_is_what_it_left(house):
    second = make_equipment(house.venue, "W2")
    first_rope = house.rope
    house.winch, house.rope, home = second, make_rope(second), house.winch
    look_at(house)
    assert (state(home), state(second)) == ("fit", "fit")
    tomorrow = timezone.now() + timedelta(days=1)
    move_sound_part(
        part=first_rope, to=second, code="line 2", moved_on=str(tomorrow.date()), why="Spare",
        by=house.people["manager"], at=tomorrow,
    )  # fmt: skip
    assert changed_since_looked_at([home.pk, second.pk]) == {home.pk, second.pk}
    assert {state(home), state(second)} == {"cannot be decided"}


def test_a_later_check_that_did_not_reach_the_new_rope_says_nothing_about_it(house):
    replaced(house)
    with unguarded():
        Record.objects.update(done_on=timezone.now().date() + timedelta(days=3))
    assert state(house.winch) == "cannot be decided"


def test_a_part_that_no_check_asks_about_was_there_at_a_later_check(house):
    brake = make_rope(house.winch, "drum end")
    Part.objects.filter(pk=brake.pk).update(kind="brake")
    brake.refresh_from_db()
    retire_part(
        part=brake, why="Worn", successor_identifier="B-2", installed_on=None,
        by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    assert state(house.winch) == "cannot be decided"
    with unguarded():
        Record.objects.update(done_on=timezone.now().date() + timedelta(days=1))
    assert state(house.winch) == "fit"


def test_a_part_that_was_only_taken_out_is_a_change_until_the_next_look(house):
    tomorrow = timezone.now() + timedelta(days=1)
    retire_part(
        part=house.rope, why="Line not needed", successor_identifier="", installed_on=None,
        by=house.people["manager"], at=tomorrow,
    )  # fmt: skip
    assert state(house.winch) == "cannot be decided"
    with unguarded():
        Record.objects.update(done_on=tomorrow.date())
    assert state(house.winch) == "cannot be decided", "the check of that day was begun before"
    with unguarded():
        Record.objects.update(started_at=tomorrow + timedelta(minutes=1))
    assert state(house.winch) == "fit"


def test_equipment_without_a_change_is_left_alone_in_one_query(house, django_assert_num_queries):
    others = [make_equipment(house.venue, f"Z{number}").pk for number in range(9)]
    with django_assert_num_queries(1):
        assert changed_since_looked_at([house.winch.pk, *others]) == set()
