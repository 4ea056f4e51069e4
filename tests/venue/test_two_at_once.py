"""Two people send the register's forms at the same moment, each in a transaction of their own."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connections
from django.utils import timezone

from tests.house import make_house
from tests.venue.test_equipment_on_screen import TYPED
from venue.actions.equipment import add_equipment, change_equipment
from venue.actions.parts import PartRefused, replace_part, retire_part
from venue.actions.register_entry import ChangedMeanwhile, EntryRefused
from venue.forms_equipment import equipment_form
from venue.kind_files import kinds
from venue.models import Equipment, LogLine, Part
from venue.queries.register import cells_of_equipment

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.both_databases]

REFUSALS = (EntryRefused, ChangedMeanwhile, PartRefused)


@pytest.fixture
def house() -> Any:
    return make_house()


def at_once(*deeds: Any) -> list[Any]:
    """Do them at the same moment; what each gave, or what refused it."""
    ready = Barrier(len(deeds))

    def act(deed: Any) -> Any:
        ready.wait(timeout=60)
        try:
            return deed()
        except REFUSALS as refusal:
            return type(refusal)
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(deeds)) as pool:
        return list(pool.map(act, deeds))


def adding(house: Any, name: str) -> Any:
    form = equipment_form(
        TYPED | {"name": name},
        venue=house.venue, kind=kinds()["drum_winch"], cells={}, new=True,
    )  # fmt: skip
    assert form.is_valid()
    typed = form.typed() | {"kind": "drum_winch"}
    return lambda: add_equipment(
        venue=house.venue, typed=typed, by=house.people["manager"], at=timezone.now()
    )


def test_the_same_form_twice_at_once_makes_one_thing(house):
    first, second = at_once(adding(house, "Paint frame"), adding(house, "Paint frame"))
    assert first.pk == second.pk
    assert Equipment.objects.filter(tag="W7").count() == 1
    assert LogLine.objects.filter(did="add_equipment").count() == 1


def test_one_tag_for_two_things_at_once_is_given_to_one(house):
    made = at_once(adding(house, "Paint frame"), adding(house, "Cloth winch"))
    assert sorted(isinstance(one, Equipment) for one in made) == [False, True]
    assert EntryRefused in made
    assert Equipment.objects.filter(tag="W7").count() == 1


def test_of_two_changes_at_once_one_is_told_and_nothing_is_overwritten(house):
    cells = cells_of_equipment(house.winch)

    def changing(name: str) -> Any:
        return lambda: change_equipment(
            equipment=house.winch, typed=cells | {"name": name}, shown=cells,
            by=house.people["manager"], at=timezone.now(),
        )  # fmt: skip

    told = at_once(changing("Front winch"), changing("Back winch"))
    assert sorted(one is ChangedMeanwhile for one in told) == [False, True]
    winner = ("Front winch", "Back winch")[told.index(None)]
    house.winch.refresh_from_db()
    assert house.winch.name == winner


def test_a_rope_replaced_by_two_at_once_has_one_successor(house):
    def replacing(identifier: str) -> Any:
        typed = {
            "identifier": identifier, "field: construction": "7x19", "field: duty": "running",
            "field: nominal_diameter": "1/4 in",
        }  # fmt: skip
        return lambda: replace_part(
            part=house.rope, typed=typed, why="Worn", taken_out_on="",
            by=house.people["manager"], at=timezone.now(),
        )  # fmt: skip

    made = at_once(replacing("R-2"), replacing("R-3"))
    assert PartRefused in made
    assert Part.objects.filter(equipment=house.winch).count() == 2
    assert Part.objects.filter(equipment=house.winch, retired_on__isnull=True).count() == 1


def test_a_rope_replaced_and_retired_at_once_ends_once(house):
    typed = {
        "identifier": "R-2", "field: construction": "7x19", "field: duty": "running",
        "field: nominal_diameter": "1/4 in",
    }  # fmt: skip
    by = house.people["manager"]
    made = at_once(
        lambda: replace_part(
            part=house.rope, typed=typed, why="Worn", taken_out_on="", by=by, at=timezone.now()
        ),
        lambda: retire_part(
            part=house.rope,
            why="Kinked",
            successor_identifier="",
            installed_on=None,
            by=by,
            at=timezone.now(),
        ),
    )
    assert made.count(PartRefused) == 1
    assert LogLine.objects.filter(did__in=["replace_part", "retire_part"]).count() == 1
