"""Odile Varga, facilities manager: what is in the house, which rules apply, what is due."""

from __future__ import annotations

from datetime import timedelta
from itertools import pairwise

import segno

from inspections.models import Plan, Task
from inspections.queries.state import state_of
from tests.browser.hands import Person
from tests.browser.walk_house import REGISTER, House, V
from tests.venue.register_samples import csv_of
from venue.models import Equipment, Part, Place


def odile_brings_in_the_register(house: House) -> None:
    odile = house.odile
    odile.sign_in(V + "register/")
    send_register(odile, [*REGISTER[:-1], REGISTER[-1] | {"field: height": "eleven"}])
    said = odile.looks("register-faults")
    assert "One fault; nothing is changed" in said, said
    assert "field: height" in said
    assert not Equipment.objects.exists()
    send_register(odile, REGISTER)
    said = odile.looks("register-trial")
    assert "No faults. Nothing is changed yet." in said
    assert "To be created: 4 places, 2 pieces of equipment, 1 part." in said
    assert "field: nominal_diameter: 3/8 in" in said
    assert not Equipment.objects.exists()
    odile.press("Apply the file")
    assert "Created: 4 places, 2 pieces of equipment, 1 part." in odile.reads()
    send_register(odile, REGISTER)
    assert "The file changes nothing: the house holds all of it already." in odile.reads()
    counts = [rows.objects.count() for rows in (Place, Equipment, Part)]
    assert counts == [4, 2, 1]


def send_register(person: Person, rows: list[dict[str, str]]) -> None:
    person.go(V + "register/")
    file = {"name": "larkspur.csv", "mimeType": "text/csv", "buffer": csv_of(*rows)}
    person.enclose("file", file)
    person.press("Try the file")


def odile_puts_rules_in_force(house: House) -> None:
    for title in ("us-osha-1926-1413", "us-msha-30cfr-56-19024"):
        house.odile.go(f"{V}rules/{title}/")
        house.odile.type(why="The insurer asks for it.")
        house.odile.press("Put it in force")
    assert house.odile.looks("rules").count("In force") == 2


def odile_makes_dated_tasks_of_regimes(house: House) -> None:
    odile, winch = house.odile, house.winch
    apply(odile, winch, "winch_ropes_monthly")
    apply(odile, Equipment.objects.get(tag="C1"), "walkway_weekly")
    odile.go(V + "tasks/")
    odile.press("Make the tasks of the coming 15 months")
    assert "Every task of the coming 15 months is there already." in odile.looks("tasks")
    monthly = Task.objects.filter(plan__regime="winch_ropes_monthly").order_by("due_on")
    assert [task.number for task in monthly] == list(range(1, 17))  # today, and 15 months more
    assert monthly[0].due_on == house.today
    weekly = list(Task.objects.filter(plan__regime="walkway_weekly").order_by("due_on"))
    gaps = {later.due_on - task.due_on for task, later in pairwise(weekly)}
    assert gaps == {timedelta(days=7)}
    assert 64 <= len(weekly) <= 67
    odile.go(f"{V}tasks/{monthly[0].pk}/")
    odile.page.select_option("[name=person]", label="Priya Kestrel")
    odile.press("Save")
    odile.press("Save")  # sent back untouched, the form changes nothing
    odile.looks("task")
    assert Task.objects.get(person__name="Priya Kestrel") == monthly[0]


def apply(person: Person, equipment: Equipment, regime: str) -> None:
    person.go(f"{V}equipment/{equipment.pk}/")
    person.follow("Apply a regime")
    person.page.select_option("[name=regime]", value=regime)
    person.looks(f"apply-{regime}")
    person.press("Apply it and make its tasks")
    assert Plan.objects.filter(regime=regime, equipment=equipment).count() == 1


def odile_books_a_dark_day(house: House) -> None:
    odile, day = house.odile, house.today + timedelta(days=3)
    odile.go(V + "bookings/")
    odile.follow("Add a booking")
    odile.page.select_option("[name=what]", value="dark")
    odile.type(title="Dark", starts=f"{day}T08:00", ends=f"{day}T18:00")
    odile.tick("leaves_accessible", "grid_empty")
    odile.looks("booking")
    odile.press("Save")
    odile.page.wait_for_url("**/bookings/")
    said = odile.looks("bookings")
    assert f"{day:%a} {day.day} {day:%b %Y} 08:00" in said
    assert "Grid free to work on" in said


def the_address_on_the_label(house: House) -> str:
    """The code printed on the winch's label is the code of the address that a camera opens."""
    house.odile.go(V + "labels/")
    house.odile.looks("labels")
    label = house.odile.page.locator(".label-tag", has_text="W4")
    address = f"{house.address}{V}t/W4/"
    drawn = segno.make(address, error="q", micro=False).svg_inline(border=2, scale=4)
    path = drawn.split(' d="')[1].split('"')[0]
    assert path in label.inner_html()
    return address


def odile_enters_the_new_rope(house: House) -> None:
    odile, old = house.odile, Part.objects.get()
    odile.go(f"{V}parts/{old.pk}/")
    odile.follow("Replace it")
    odile.type(
        why="Six broken wires in one lay", identifier="R-8", field_baseline_diameter="9.5 mm"
    )
    odile.page.fill("[name=installed_on]", str(house.today))
    odile.looks("replace-part")
    odile.press("Save")
    assert "R-8" in odile.looks("part-new")
    new = Part.objects.get(retired_on=None)
    assert (new.identifier, new.fields["construction"]) == ("R-8", old.fields["construction"])
    assert state_of(house.winch, house.today).out
