"""Places added and changed on screen: parent, hazards, the access state they need."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.house import NOW, make_house, make_place
from tests.venue.register_samples import csv_of, faults_of
from tests.venue.screens import faults, send, shown, signed_in, words
from venue.actions.import_register import import_register
from venue.models import LogLine, Place

pytestmark = pytest.mark.django_db

ADD = "/v/larkspur/places/add/"
TYPED = {
    "place": "Gridiron", "place_level": "7", "walking_order": "30",
    "place_hazards": "Openings in the floor\nFalling tools",
    "place_access": ["grid_empty", "nobody_below"],
}  # fmt: skip


@pytest.fixture
def house():
    return make_house()


@pytest.fixture
def manager(house):
    return signed_in(house.people["manager"])


def change_of(place: Place) -> str:
    return f"/v/larkspur/places/{place.pk}/change/"


def test_a_place_comes_in_with_its_hazards_and_the_access_it_needs(house, manager):
    stage = house.winch.place
    assert shown(manager, f"{ADD}?in={stage.pk}")["parent"] == str(stage.pk)
    assert send(manager, ADD, parent=stage.pk, **TYPED).url == "/v/larkspur/house/"
    grid = Place.objects.get(name="Gridiron")
    assert (grid.parent, grid.level, grid.walking_order) == (stage, 7, 30)
    assert grid.hazards == ["Openings in the floor", "Falling tools"]
    assert grid.access == ["grid_empty", "nobody_below"]
    page = words(manager.get("/v/larkspur/house/"))
    assert "Stage / Gridiron" in page
    assert "Grid free to work on, Nobody below the work" in page
    assert LogLine.objects.get(did="add_place").label == "Gridiron"


@pytest.mark.parametrize(
    ("typed", "kept"),
    [("stage left", "stage left"), ("SL", "stage left"), ("House left", "stage right"),
     ("center", "centre"), ("stage_right", "stage right")],
)  # fmt: skip
def test_a_side_is_read_as_the_trade_says_it(house, typed, kept):
    row = {"row": "place", "place": "Gridiron", "tag": "", "place side": typed}
    assert faults_of(row) == []
    import_register(
        venue=house.venue, content=csv_of(row), file_name="r.csv", by=None, at=NOW
    )  # fmt: skip
    assert Place.objects.get(name="Gridiron").side == kept


def test_a_side_is_chosen_on_screen_and_taken_back(house, manager):
    send(manager, ADD, **TYPED | {"place_side": "stage left"})
    grid = Place.objects.get(name="Gridiron")
    assert grid.side == "stage left"
    assert "Stage left" in words(manager.get("/v/larkspur/house/"))
    line = LogLine.objects.get(did="add_place")
    assert '"place side":"stage left"' in line.body
    send(manager, change_of(grid), place_side="")
    grid.refresh_from_db()
    assert grid.side == ""


def test_a_place_form_sent_twice_makes_one_place(house, manager):
    send(manager, ADD, **TYPED)
    assert send(manager, ADD, **TYPED).status_code == 302
    assert Place.objects.filter(name="Gridiron").count() == 1
    assert LogLine.objects.filter(did="add_place").count() == 1


def test_a_name_that_is_taken_or_parts_levels_is_refused_and_nothing_is_lost(house, manager):
    refused = send(manager, ADD, **TYPED | {"place": "stage"})
    assert "“Stage” is there already" in faults(refused)["place"][0]
    form = refused.context["form"]
    assert form["place_hazards"].value() == TYPED["place_hazards"]
    assert form["place_access"].value() == TYPED["place_access"]
    assert "a name holds no “ / ”" in faults(send(manager, ADD, place="Stage / Pit"))["place"][0]
    assert faults(send(manager, ADD, place=""))["place"] == ["is empty; it is needed."]
    assert Place.objects.in_venue(house.venue).count() == 1


WRONG = (
    ("place_level", "high", "place level"),
    ("place_level", "1001", "place level"),
    ("place_access", ["moon_full"], "place access"),
    ("place_hazards", "CafÃ© smoke", "place hazards"),
    ("place_side", "left", "place side"),
    ("place", "x" * 201, "place"),
)


@pytest.mark.parametrize(("name", "text", "column"), WRONG)
def test_a_screen_refuses_in_the_words_in_which_a_file_is_refused(manager, name, text, column):
    cell = text[0] if isinstance(text, list) else text
    row = {"row": "place", "place": "Gridiron", "tag": ""} | {column: cell}
    [in_file] = faults_of(row)
    [on_screen] = faults(send(manager, ADD, **TYPED | {name: text}))[name]
    assert in_file.endswith(on_screen)
    assert not Place.objects.filter(name="Gridiron").exists()


def test_a_place_is_renamed_and_moved_with_what_stands_in_it(house, manager):
    send(manager, ADD, **TYPED)
    send(manager, ADD, place="Stage house")
    grid, above = Place.objects.get(name="Gridiron"), Place.objects.get(name="Stage house")
    send(manager, change_of(house.winch.place), place="Stage floor", parent=above.pk)
    send(manager, change_of(grid), parent=house.winch.place_id)
    assert "Stage house / Stage floor / Gridiron" in words(manager.get("/v/larkspur/house/"))
    line = LogLine.objects.filter(did="change_place").order_by("number")[0]
    assert '"place":"Stage house / Stage floor"' in line.body
    content = manager.get("/v/larkspur/register/export/").content
    done = import_register(
        venue=house.venue, content=content, file_name="r.csv", by=None, at=line.at
    )
    assert done.changes_nothing


def test_a_place_cannot_stand_in_itself_or_below_itself(house, manager):
    stage = house.winch.place
    send(manager, ADD, parent=stage.pk, **TYPED)
    grid = Place.objects.get(name="Gridiron")
    for inside in (stage, grid):
        found = faults(send(manager, change_of(stage), parent=inside.pk))
        assert found == {"parent": ["a place cannot stand in itself or in what stands in it."]}
    stage.refresh_from_db()
    assert stage.parent is None


def test_what_is_emptied_is_empty_and_what_is_left_stays(house, manager):
    send(manager, ADD, **TYPED)
    grid = Place.objects.get(name="Gridiron")
    send(manager, change_of(grid), place_hazards="", place_access=[])
    grid.refresh_from_db()
    assert (grid.hazards, grid.access, grid.level, grid.slug) == ([], [], 7, "gridiron")


def test_the_second_of_two_editors_is_told_and_loses_nothing(house, manager):
    address = change_of(house.winch.place)
    mine = shown(manager, address)
    send(manager, address, place_hazards="Moving load\nTrap open")
    told = manager.post(address, mine | {"place_level": "3"})
    found = faults(told)
    assert "someone else made it “Moving load | Trap open”" in found["place_hazards"][0]
    form = told.context["form"]
    assert form["place_hazards"].value() == "Moving load\nTrap open"
    assert form["place_level"].value() == "3"
    house.winch.place.refresh_from_db()
    assert house.winch.place.level == 0


def test_a_parent_in_another_venue_does_not_exist(house, manager):
    other = make_place(house.other)
    assert manager.post(ADD, TYPED | {"parent": other.pk}).status_code == 404
    assert manager.post(ADD, TYPED | {"parent": "9" * 30}).status_code == 404
    assert manager.post(ADD, TYPED | {"parent": "first"}).status_code == 404
    assert manager.get(change_of(other)).status_code == 404
    assert Place.objects.in_venue(house.venue).count() == 1


def test_the_form_of_a_place_costs_the_same_in_any_house(house, manager):
    costs = []
    for count in (3, 9):
        for number in range(count):
            send(manager, ADD, place=f"Bay {count}{number}", parent=house.winch.place_id)
        address = change_of(house.winch.place)
        mine = shown(manager, address) | {"place_hazards": f"Hazard {count}"}
        with CaptureQueriesContext(connection) as looked:
            manager.get(address)
        with CaptureQueriesContext(connection) as saved:
            manager.post(address, mine)
        costs.append((len(looked), len(saved)))
    print(costs)
    assert costs[0] == costs[1]
    assert costs[0][0] <= 8
    assert costs[0][1] <= 20


@pytest.mark.parametrize("role", ["competent", "stagehand", "examiner", "auditor"])
def test_others_read_places_and_cannot_write_them(house, role):
    client = signed_in(house.people[role])
    assert ADD not in client.get("/v/larkspur/house/").content.decode()
    for address in (ADD, change_of(house.winch.place)):
        assert client.get(address).status_code == 403
        assert client.post(address, TYPED).status_code == 403
    assert Place.objects.in_venue(house.venue).count() == 1
