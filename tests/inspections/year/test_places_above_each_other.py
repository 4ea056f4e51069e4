"""Nobody works above people; where nobody has said what lies above what, anything may."""

from __future__ import annotations

from typing import Any

import pytest

from inspections.queries.house_of import house_of
from tests.house import NOW, make_equipment
from tests.inspections.year.year_house import DAYS, MONDAY, make_draft, make_plan, make_year_house
from venue.models import Place

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> Any:
    """The stage with its winch, and the grid with another; where they lie is not said."""
    house = make_year_house()
    house.stage = house.winch.place
    house.grid = a_place(house, "Grid")
    return house


def a_place(house: Any, name: str, parent: Place | None = None, level: int = 0) -> Place:
    place = Place.objects.create(
        venue=house.venue, slug=name.lower(), name=name, parent=parent, level=level
    )
    winch = make_equipment(house.venue, f"W-{name}")
    type(winch).objects.filter(pk=winch.pk).update(place=place)
    winch.refresh_from_db()
    make_plan(winch, "winch_ropes_monthly", house)
    return place


def clashing(house: Any) -> set[frozenset[str]]:
    """The names of places that are never worked in at once."""
    found = house_of(house.venue, MONDAY, DAYS, NOW)
    where: dict[Any, set[str]] = {}
    for plan in found.house.plans:
        name = found.starts[plan.key].plan.equipment.place.name
        for use in plan.zones:
            where.setdefault(use, set()).add(name)
    return {
        frozenset((one, other))
        for clash in found.house.clashes
        for one in where[sorted(clash)[0]]
        for other in where[sorted(clash)[-1]]
    }


def unsaid(house: Any) -> list[str]:
    words = house_of(house.venue, MONDAY, DAYS, NOW).unknowns
    return [each for each in words if "height" in each]


def test_places_of_a_flat_list_are_kept_apart_and_the_plan_says_so(house: Any) -> None:
    assert clashing(house) == {frozenset(("Stage", "Grid"))}
    assert unsaid(house) == [
        "What lies above what is not said for: Grid; Stage. Nobody is planned there while somebody "
        "is planned in another place. Say under House, Places what each is part of, and its height "
        "order."
    ]
    plan = make_draft(house)
    half_days: dict[Any, set[str]] = {}
    for row in plan.planned.select_related("equipment__place"):
        half_days.setdefault((row.day, row.half), set()).add(row.equipment.place.name)
    assert {name for names in half_days.values() for name in names} == {"Stage", "Grid"}
    assert max(len(names) for names in half_days.values()) == 1


def test_what_stands_alone_is_kept_apart_from_a_tree_too_and_two_trees_from_each_other_not(
    house: Any,
) -> None:
    tower = a_place(house, "Tower", level=3)
    for name, level in (("Gallery", 2), ("Pit", 0), ("Trap", 0)):
        a_place(house, name, tower, level)
    a_place(house, "Catwalk", a_place(house, "Auditorium", level=3), 3)
    found = clashing(house)
    assert {names for names in found if "Stage" in names} == {
        frozenset(("Stage", other))
        for other in ("Grid", "Tower", "Gallery", "Pit", "Trap", "Auditorium", "Catwalk")
    }
    assert frozenset(("Gallery", "Pit")) in found
    assert frozenset(("Pit", "Trap")) not in found, "side by side, at one height"
    assert frozenset(("Gallery", "Catwalk")) not in found, "under another top"
    assert "Grid; Stage." in unsaid(house)[0]


def test_a_tree_without_any_height_keeps_all_its_places_apart(house: Any) -> None:
    Place.objects.filter(pk=house.grid.pk).update(parent=house.stage)
    assert clashing(house) == {frozenset(("Stage", "Grid"))}
    assert unsaid(house) == [
        "No height order is given for: Grid; Stage. No two of them that are part of the same place "
        "are worked in at once. Give each its height order; what lies on one floor has the same "
        "one, and not 0."
    ]
    Place.objects.update(level=1)
    assert clashing(house) == set()
    assert unsaid(house) == []
    Place.objects.filter(pk=house.grid.pk).update(level=5)
    assert clashing(house) == {frozenset(("Stage", "Grid"))}
    assert unsaid(house) == []


def test_a_place_with_work_and_one_without_have_nothing_to_keep_apart() -> None:
    house = make_year_house()
    Place.objects.create(venue=house.venue, slug="store", name="Store", parent=house.winch.place)
    tower = Place.objects.create(venue=house.venue, slug="tower", name="Tower", level=3)
    a_place(house, "Gallery", tower, 2)
    assert clashing(house) == set()
    assert unsaid(house) == []
