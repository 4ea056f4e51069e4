"""The page of a rope shows it over time, in a picture, in words and in figures, and calls nothing fit."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.queries.rope_trends import rope_trends
from rigging.models import RopeObserved
from rigging.queries.ropes import rope_facts
from tests.house import NOW, TODAY, make_house
from tests.rigging.ropes import lay, make_observation
from venue.models import Part, Person

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> Any:
    found = make_house()
    for number in range(3):
        observe(found, number)
    return found


def observe(house: Any, number: int) -> None:
    seen = make_observation(
        counts=[lay(number, 0)], instrument_uncertainty="0.001 in",
        diameters=[{"a": "0.255 in", "b": "0.255 in"}],
    )  # fmt: skip
    RopeObserved.objects.create(
        part=house.rope, by=house.people["competent"], at=NOW + timedelta(days=30 * number),
        rope=rope_facts(house.rope).to_dict(), body=seen.to_dict(),
    )  # fmt: skip


def section_of(house: Any, part: Part) -> str:
    client = Client()
    client.force_login(house.people["stagehand"])
    html = client.get(reverse("part", args=[house.venue.slug, part.pk])).content.decode()
    found = re.search(r'<section class="section" id="trends">.*?</section>', html, re.DOTALL)
    return found[0] if found else ""


def test_it_is_told_in_a_picture_in_words_and_in_figures(house: Any) -> None:
    html = section_of(house, house.rope)
    assert html.count('role="img"') >= 2
    words = [
        re.sub(r"\s+", " ", one) for one in re.findall(r"<desc[^>]*>(.*?)</desc>", html, re.DOTALL)
    ]
    assert any("3 looks." in one and "First 0, last 2." in one for one in words)
    assert any("Limit A: less than 0.2375 in, 29 CFR 1926.1413." in one for one in words)
    assert html.count('<th scope="row"') == 3
    assert "0.255 ± 0.001 in" in html
    assert "style=" not in html


@pytest.mark.parametrize("language", ["de", "es"])
def test_where_lines_lie_is_written_alike_in_every_language(house: Any, language: str) -> None:
    """A decimal comma in a place of the drawing would leave the line out."""
    english = section_of(house, house.rope)
    Person.objects.update(language=language)
    other = section_of(house, house.rope)
    places = re.compile(r' (?:d|x|y|cx|cy|width)="([^"]*)"')
    assert places.findall(other) == places.findall(english)
    assert any("." in place for place in places.findall(english))


def test_it_calls_nothing_fit_and_says_what_a_curve_does_not_say(house: Any) -> None:
    html = section_of(house, house.rope)
    assert "does not say that the rope may stay" in html
    assert not re.search(r"\b(fit|safe|good|OK)\b", re.sub(r"<[^>]+>", " ", html))


def test_what_nobody_counted_is_not_known(house: Any) -> None:
    html = section_of(house, house.rope)
    assert "not known" not in html.split("<tbody>")[1]
    RopeObserved.objects.create(
        part=house.rope, by=house.people["competent"], at=NOW + timedelta(days=200),
        rope={}, body=make_observation(counts=[], diameters=[]).to_dict(),
    )  # fmt: skip
    assert section_of(house, house.rope).split("<tbody>")[1].count("not known") >= 2


def test_a_rope_never_looked_at_says_so_and_another_part_has_no_trends(house: Any) -> None:
    rope = Part.objects.create(
        equipment=house.winch, code="line 2", kind="wire_rope", kind_hash="", name="Wire rope"
    )
    assert "Nothing was measured or counted" in section_of(house, rope)
    brake = Part.objects.create(
        equipment=house.winch, code="brake", kind="brake", kind_hash="", name="Brake"
    )
    assert section_of(house, brake) == ""


def test_it_costs_the_same_however_often_it_was_looked_at(house: Any) -> None:
    asked = []
    for number in range(3, 12):
        observe(house, number)
        if number in (3, 11):
            with CaptureQueriesContext(connection) as queries:
                rope_trends(house.rope, [house.rope], TODAY)
            asked.append(len(queries))
    assert len(set(asked)) == 1
    assert asked[0] <= 4
