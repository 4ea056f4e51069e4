"""The house in section: a page for everyone, and the manager's way in."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inspections.actions.open_finding import take_out_of_service
from inspections.actions.plans import apply_regime
from inspections.models import Task
from inspections.queries.house_section import house_section, where_it_is
from inspections.views.day import local_day
from tests.house import make_equipment, make_house
from venue.models import Equipment, Place

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> Any:
    house = make_house()
    stage = house.winch.place
    stage.access, stage.level = ["stage_clear"], 1
    stage.save()
    tower = Place.objects.create(venue=house.venue, slug="tower", name="Stage house", level=3)
    Place.objects.filter(pk=stage.pk).update(parent=tower)
    house.grid = Place.objects.create(
        venue=house.venue, slug="grid", name="Gridiron", level=4, parent=tower, walking_order=2
    )
    house.tower = tower
    return house


def page(house: Any, name: str, role: str = "manager", **asked: Any) -> str:
    client = Client()
    client.force_login(house.people[role])
    return client.get(reverse(name, args=[house.venue.slug]), asked).content.decode()


def drawings(html: str) -> list[str]:
    return re.findall(r'<svg class="section-drawing.*?</svg>\s', html, re.DOTALL)


def test_every_mark_is_a_way_to_its_equipment_with_its_state_in_words(house: Any) -> None:
    take_out_of_service(
        equipment=house.winch, part=None, why="Loft block worn.", by=house.people["competent"],
        at=timezone.now(),
    )  # fmt: skip
    both = drawings(page(house, "house_section"))
    assert len(both) == 2
    address = reverse("equipment", args=[house.venue.slug, house.winch.pk])
    for drawing in both:
        link = re.search(rf'<a href="{address}"[^>]*>', drawing)
        assert link
        assert 'aria-label="W1, Winch W1: Out of service"' in link[0]
        assert 'data-state="out-of-service"' in link[0]
        assert 'aria-label="Stage: 1 piece, 1 out of service"' in drawing
        assert drawing.index("Gridiron: nothing stands here") < drawing.index("Stage: 1 piece")
        assert "style=" not in drawing


def test_the_same_stands_below_in_words(house: Any) -> None:
    words = page(house, "house_section", "auditor").split("The same in words")[1]
    assert "Stage house / Stage" in words
    assert "1 not known" in words  # never checked: that is no pass
    assert "Only in the places inside it" in words


def test_the_side_of_a_place_is_said_and_of_what_stands_in_it_too(house: Any) -> None:
    html = page(house, "house_section")
    assert "stage right on the left" not in html
    Place.objects.filter(pk=house.tower.pk).update(side="stage left")
    Place.objects.filter(pk=house.grid.pk).update(side="stage right")
    html = page(house, "house_section")
    assert "as the house sees it: stage right on the left" in html
    assert 'aria-label="Stage, Stage left: 1 piece, 1 not known"' in html
    assert 'aria-label="Gridiron, Stage right: nothing stands here"' in html
    words = html.split("The same in words")[1]
    assert words.count("Stage left") == 1  # of the place of which somebody said so


def test_a_screen_reader_is_told_how_to_go_through_the_drawing(house: Any) -> None:
    html = page(house, "house_section")
    for drawing in drawings(html):
        assert 'role="group"' in drawing
        assert 'aria-describedby="section-keys"' in drawing
        assert drawing.count("<a ") == drawing.count('class="hit"')  # each has its measure
    assert 'id="section-keys"' in html
    assert "/scripts/section-keys.js" in html
    assert "/scripts/section-keys.js" in page(house, "overview")
    assert "/scripts/section-keys.js" not in page(house, "overview", "stagehand")


def test_the_manager_begins_with_the_drawing_and_others_with_their_lists(house: Any) -> None:
    assert len(drawings(page(house, "overview"))) == 2
    assert drawings(page(house, "overview", "stagehand")) == []
    assert len(drawings(page(house, "house_section", "stagehand"))) == 2


def test_what_is_due_within_two_weeks_is_marked_only_where_all_else_is_in_order(house: Any) -> None:
    day = local_day(house.venue)
    apply_regime(
        equipment=house.winch, regime=house.regime, anchor=day, last_done_on=None,
        by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    Task.objects.filter(equipment=house.winch).update(last_lawful_on=day + timedelta(days=3))
    chip = house_section(house.venue, day).desk.rooms[-1].chips[0].chip
    assert chip.state == "cannot be decided"
    assert "due by" in chip.said


def test_many_alike_become_one_number_that_leads_to_exactly_those(house: Any) -> None:
    for number in range(2, 30):
        make_equipment(house.venue, f"W{number}")
    html = drawings(page(house, "house_section"))[0]
    chip = re.search(r'<a href="([^"]*)" class="chip counted"[^>]*aria-label="([^"]*)"', html)
    assert chip
    assert chip[2] == "29 not known"
    client = Client()
    client.force_login(house.people["manager"])
    listed = client.get(chip[1].replace("&amp;", "&")).content.decode()
    assert "29 rows" in listed


def test_the_list_of_equipment_keeps_to_a_place_and_what_stands_in_it(house: Any) -> None:
    listed = "equipment_list"
    assert ">1 row<" in page(house, listed, place=house.tower.pk)
    assert "0 of 1 rows" in page(house, listed, place=house.tower.pk, alone=1)
    assert "0 of 1 rows" in page(house, listed, place=house.grid.pk)
    assert "0 of 1 rows" in page(house, listed, place="nonsense")
    assert "0 of 1 rows" in page(house, listed, place=house.tower.pk, state="fit")
    assert "0 of 1 rows" in page(house, listed, place=house.tower.pk, state="due")


def test_a_house_whose_heights_are_all_the_same_is_told_how_to_become_a_section(house: Any) -> None:
    assert "same height order" not in page(house, "house_section")
    Place.objects.filter(venue=house.venue).update(level=0)
    assert "same height order" in page(house, "house_section")
    assert "same height order" not in page(house, "house_section", "auditor")


def test_a_house_without_places_says_where_they_come_from(house: Any) -> None:
    client = Client()
    client.force_login(house.people["other manager"])
    html = client.get(reverse("house_section", args=[house.other.slug])).content.decode()
    assert drawings(html) == []
    assert "No places yet" in html
    assert reverse("spreadsheet", args=[house.other.slug]) in html


def test_it_costs_the_same_however_much_stands_in_the_house(house: Any) -> None:
    asked = []
    for number in (2, 3, 9):
        make_equipment(house.venue, f"W{number}")
        with CaptureQueriesContext(connection) as queries:
            house_section(house.venue, local_day(house.venue))
        asked.append(len(queries))
    assert asked == [8, 8, 8]


def small_on_page_of(house: Any, piece: Any) -> str:
    client = Client()
    client.force_login(house.people["stagehand"])
    html = client.get(reverse("equipment", args=[house.venue.slug, piece.pk])).content.decode()
    found = re.search(r'<a class="section-small".*?</a>', html, re.DOTALL)
    return found[0] if found else ""


def test_the_page_of_a_thing_shows_where_it_is_as_one_way_to_the_drawing(house: Any) -> None:
    small = small_on_page_of(house, house.winch)
    assert f'href="{reverse("house_section", args=[house.venue.slug])}"' in small
    assert 'aria-label="Stage house / Stage, in the section of the house"' in small
    assert small.count("here-room") == 1
    assert small.count("<a ") == 1
    house.winch.place = house.tower
    house.winch.save()
    assert "Stage house, in the section" in small_on_page_of(house, house.winch)
    assert (
        where_it_is(make_equipment(house.other)) is None
    )  # a house of one place: it tells nothing


def test_where_it_is_costs_two_queries_however_many_places_there_are(house: Any) -> None:
    for number in range(6):
        Place.objects.create(venue=house.venue, slug=f"p{number}", name=f"Place {number}")
    with CaptureQueriesContext(connection) as queries:
        where_it_is(Equipment.objects.get(pk=house.winch.pk))
    assert len(queries) == 3  # the first is the equipment itself
