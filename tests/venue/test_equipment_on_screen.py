"""Equipment added and changed on screen: the register's own words, nothing typed is lost."""

from __future__ import annotations

from fractions import Fraction

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.house import make_equipment, make_house
from tests.venue.register_samples import faults_of
from tests.venue.screens import faults, send, shown, signed_in, words
from venue.actions.import_register import import_register
from venue.kind_files import kinds
from venue.models import Equipment, LogLine
from venue.quantities import Quantity
from venue.queries.register import register_rows_of

pytestmark = pytest.mark.django_db

ADD = "/v/larkspur/equipment/add/?kind=drum_winch"
TYPED = {
    "tag": "W7", "name": "Paint frame winch", "place": "Stage", "rated_whole": "500 kg",
    "rated_source_whole": "Name plate 1998", "field_service": "normal", "field_line_count": "2",
    "field_over_people": "no", "field_travel": "9,5", "field_rated_speed": "0.2 m/s",
}  # fmt: skip


@pytest.fixture
def house():
    return make_house()


@pytest.fixture
def manager(house):
    return signed_in(house.people["manager"])


def change_of(equipment: Equipment) -> str:
    return f"/v/larkspur/equipment/{equipment.pk}/change/"


def test_a_kind_is_chosen_first(manager):
    page = manager.get("/v/larkspur/equipment/add/")
    assert "Drum winch" in words(page)
    assert page.content.decode().count('href="?kind=') == len(kinds()) == 16
    assert manager.get("/v/larkspur/equipment/add/?kind=teapot").status_code == 200


def test_equipment_comes_in_with_its_own_fields_and_rated_loads(house, manager):
    answer = send(manager, ADD, **TYPED)
    winch = Equipment.objects.get(tag="W7")
    assert answer.url == f"/v/larkspur/equipment/{winch.pk}/"
    assert (winch.name, winch.kind, winch.place.name) == (
        "Paint frame winch",
        "drum_winch",
        "Stage",
    )
    travel = Quantity.from_stored(winch.fields["travel"])
    assert (travel.typed, travel.unit, travel.si) == ("9,5", "m", Fraction(19, 2))
    load = winch.rated_loads.get()
    assert (load.purpose, load.quantity["typed"], load.source) == (
        "whole", "500 kg", "Name plate 1998",
    )  # fmt: skip
    line = LogLine.objects.get(did="add_equipment")
    assert line.by.name == "Manager"
    assert '"field: travel":"9,5 m"' in line.body


def test_a_form_sent_twice_makes_one_thing_and_says_nothing_is_wrong(manager):
    first, second = send(manager, ADD, **TYPED), send(manager, ADD, **TYPED)
    assert first.url == second.url
    assert Equipment.objects.filter(tag="W7").count() == 1
    assert LogLine.objects.filter(did="add_equipment").count() == 1


def test_a_tag_that_is_taken_is_refused_and_everything_typed_stays(house, manager):
    refused = send(manager, ADD, **TYPED | {"tag": "W1"})
    assert faults(refused)["tag"] == [
        "W1 is in the house already: Winch W1. A tag names one thing."
    ]
    form = refused.context["form"]
    assert {name: form[name].value() for name in TYPED} == TYPED | {"tag": "W1"}
    assert (
        "differs only by capitals" in faults(send(manager, ADD, **TYPED | {"tag": "w1"}))["tag"][0]
    )
    assert Equipment.objects.in_venue(house.venue).count() == 1


WRONG = (
    ("field_travel", "nine", "field: travel", "nine"),
    ("field_travel", "-3 m", "field: travel", "-3 m"),
    ("field_travel", "4 ton", "field: travel", "4 ton"),
    ("field_installed_on", "2023-02-30", "field: installed_on", "2023-02-30"),
    ("field_line_count", "two", "field: line_count", "two"),
    ("field_service", "brutal", "field: service", "brutal"),
    ("rated_whole", "0 kg", "rated: whole", "0 kg"),
    ("rated_per_line", "12 ton", "rated: per_line", "12 ton"),
    ("walking_order", "first", "walking order", "first"),
    ("standing", "broken", "standing", "broken"),
    ("name", "CafÃ© winch", "name", "CafÃ© winch"),
    ("serial", "x" * 121, "serial", "x" * 121),
    ("made_on", "m" * 41, "made on", "m" * 41),
    ("tag", "t" * 41, "tag", "t" * 41),
)


@pytest.mark.parametrize(("name", "text", "column", "cell"), WRONG)
def test_a_screen_refuses_in_the_words_in_which_a_file_is_refused(
    manager, name, text, column, cell
):
    row = {
        "row": "equipment", "tag": "W7", "name": "Paint frame winch", "place": "Stage",
        "kind": "drum_winch", "field: service": "normal", "field: line_count": "2",
        "field: over_people": "no",
    }  # fmt: skip
    [in_file] = faults_of(row | {column: cell})
    refused = send(manager, ADD, **TYPED | {name: text})
    [on_screen] = faults(refused)[name]
    assert in_file.endswith(on_screen)
    assert len(on_screen) > 15
    assert refused.context["form"][name].value() == text
    assert not Equipment.objects.filter(tag="W7").exists()


def test_what_is_needed_and_left_empty_is_said_field_by_field(manager):
    empty = dict.fromkeys(TYPED, "")
    found = faults(manager.post(ADD, empty))
    assert set(found) == {"tag", "name", "place", "field_service", "field_line_count",
                          "field_over_people"}  # fmt: skip


def test_a_place_the_house_does_not_have_is_refused_not_made(house, manager):
    found = faults(send(manager, ADD, **TYPED | {"place": "Stage / Cellar"}))
    assert found == {"place": ["is none of the places of the house. Add the place first."]}
    assert house.venue.places.count() == 1


def test_a_change_touches_what_was_typed_and_keeps_the_rest_as_it_was_stored(house, manager):
    send(manager, ADD, **TYPED)
    winch = Equipment.objects.get(tag="W7")
    before = dict(winch.fields)
    send(manager, change_of(winch), name="Frame winch", field_drum_count="1")
    winch.refresh_from_db()
    assert winch.name == "Frame winch"
    assert winch.fields == before | {"drum_count": 1}
    assert winch.fields["travel"]["typed"] == "9,5"
    line = LogLine.objects.get(did="change_equipment")
    assert '"name":"Paint frame winch"' in line.body
    assert "travel" not in line.body


def test_a_new_figure_keeps_the_text_as_typed_and_its_exact_value(house, manager):
    send(manager, change_of(house.winch), field_brake_drift_limit="1 1/16 in")
    house.winch.refresh_from_db()
    limit = Quantity.from_stored(house.winch.fields["brake_drift_limit"])
    assert (limit.typed, limit.value, limit.unit) == ("1 1/16 in", Fraction(17, 16), "in")


def test_a_field_that_is_emptied_is_not_known_any_more(house, manager):
    send(manager, change_of(house.winch), serial="LT-1", field_drum_count="1")
    send(manager, change_of(house.winch), serial="", field_drum_count="")
    house.winch.refresh_from_db()
    assert house.winch.serial == ""
    assert "drum_count" not in house.winch.fields
    refused = send(manager, change_of(house.winch), field_service="")
    assert faults(refused) == {"field_service": ["this is needed."]}


def test_a_rated_load_is_corrected_and_never_removed(house, manager):
    send(manager, change_of(house.winch), rated_whole="500 kg", rated_source_whole="Name plate")
    send(manager, change_of(house.winch), rated_whole="450 kg")
    load = house.winch.rated_loads.get()
    assert (load.quantity["typed"], load.source) == ("450 kg", "Name plate")
    refused = send(manager, change_of(house.winch), rated_whole="")
    assert "never removed" in faults(refused)["rated_whole"][0]


def test_a_figure_typed_without_a_unit_is_never_shown_without_one(house, manager):
    send(manager, change_of(house.winch), rated_whole="450", field_travel="9.5")
    page = words(manager.get(f"/v/larkspur/equipment/{house.winch.pk}/"))
    assert "Rated load, whole load 450 kg Basis not known" in page
    assert "Full travel 9.5 m" in page


def test_saving_what_is_there_changes_nothing_and_writes_no_line(house, manager):
    lines = LogLine.objects.count()
    assert send(manager, change_of(house.winch)).status_code == 302
    assert LogLine.objects.count() == lines


def test_the_second_of_two_editors_is_told_and_loses_nothing(house, manager):
    address = change_of(house.winch)
    mine = shown(manager, address)
    send(manager, address, name="Hoist", serial="LT-9")  # someone else, in between
    told = manager.post(address, mine | {"name": "Front winch", "made_on": "1997"})
    found = faults(told)
    assert "Someone changed this while you were typing" in found["__all__"][0]
    assert found["name"] == ["was “Winch W1”, someone else made it “Hoist”."]
    assert found["serial"] == ["was “empty”, someone else made it “LT-9”."]
    form = told.context["form"]
    held = {name: form[name].value() for name in ("name", "serial", "made_on")}
    assert held == {"name": "Front winch", "serial": "LT-9", "made_on": "1997"}
    house.winch.refresh_from_db()
    assert (house.winch.name, house.winch.made_on) == ("Hoist", "")
    again = {bound.name: bound.value() for bound in form if bound.value() is not None}
    assert manager.post(address, again).status_code == 302
    house.winch.refresh_from_db()
    assert (house.winch.name, house.winch.serial, house.winch.made_on) == (
        "Front winch", "LT-9", "1997",
    )  # fmt: skip


def test_a_change_sent_twice_is_done_once_and_nobody_is_blamed(house, manager):
    mine = shown(manager, change_of(house.winch)) | {"name": "Hoist", "field_travel": "9.5"}
    assert manager.post(change_of(house.winch), mine).status_code == 302
    assert manager.post(change_of(house.winch), mine).status_code == 302
    assert LogLine.objects.filter(did="change_equipment").count() == 1


def test_a_form_whose_memory_was_tampered_with_does_not_overwrite(house, manager):
    mine = shown(manager, change_of(house.winch)) | {"name": "Hoist", "shown": "nonsense"}
    assert (
        "Someone changed this" in faults(manager.post(change_of(house.winch), mine))["__all__"][0]
    )
    house.winch.refresh_from_db()
    assert house.winch.name == "Winch W1"


def test_what_a_screen_wrote_a_file_reads_as_unchanged(house, manager):
    send(manager, ADD, **TYPED)
    content = manager.get("/v/larkspur/register/export/").content
    done = import_register(
        venue=house.venue, content=content, file_name="r.csv", by=None,
        at=LogLine.objects.latest("number").at,
    )  # fmt: skip
    assert done.changes_nothing
    assert done.unchanged["equipment"] == 2


def test_hostile_text_is_shown_as_text(house, manager):
    send(manager, change_of(house.winch), name="<script>x</script>")
    page = manager.get(change_of(house.winch)).content.decode()
    assert "&lt;script&gt;x" in page
    assert "<script>x" not in page
    assert faults(send(manager, change_of(house.winch), serial="a\0b"))["serial"]


@pytest.mark.parametrize("role", ["competent", "stagehand", "examiner", "auditor"])
def test_only_the_manager_writes(house, role):
    client = signed_in(house.people[role])
    for address in (ADD, change_of(house.winch)):
        assert client.get(address).status_code == 403
        assert client.post(address, TYPED).status_code == 403
    assert Equipment.objects.in_venue(house.venue).count() == 1


def test_equipment_of_another_venue_does_not_exist(house):
    other = make_equipment(house.other, "X1")
    manager = signed_in(house.people["manager"])
    assert manager.get(change_of(other)).status_code == 404
    stranger = signed_in(house.people["other manager"])
    assert stranger.post(change_of(house.winch), {"name": "Mine"}).status_code == 404
    address = f"/v/tern-studio/equipment/{house.winch.pk}/change/"
    assert stranger.post(address, {"name": "Mine"}).status_code == 404


def test_the_form_costs_the_same_in_any_house(house, manager):
    address, costs = change_of(house.winch), []
    for count in (3, 9):
        for number in range(count):
            make_equipment(house.venue, f"Z{count}{number}")
        mine = shown(manager, address) | {"name": f"Winch {count}"}
        with CaptureQueriesContext(connection) as looked:
            manager.get(address)
        with CaptureQueriesContext(connection) as saved:
            manager.post(address, mine)
        costs.append((len(looked), len(saved)))
    print(costs)
    assert costs[0] == costs[1]
    assert costs[0][0] <= 12
    assert costs[0][1] <= 24


def test_only_what_is_asked_about_is_read(house):
    make_equipment(house.venue, "W2")
    rows = register_rows_of(house.venue, LogLine.objects.latest("number").at.date(), {"W2"})
    assert set(rows.house.equipment) == {"W2"}
    assert rows.house.parts == {}
