"""The pages of the calculators: one for each, the answer in the address, for every member."""

from __future__ import annotations

from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from rigging.calculators import answer, load_calculators, read_values
from rigging.calculators.showing import figure_text
from tests.house import make_house
from venue.models import Person

pytestmark = pytest.mark.django_db

CALCULATORS = list(load_calculators().values())


@pytest.fixture
def house() -> Any:
    return make_house()


@pytest.fixture
def auditor(house: Any) -> Client:
    client = Client()
    client.force_login(house.people["auditor"])
    return client


def page(client: Client, house: Any, slug: str, **typed: str) -> str:
    got = client.get(reverse("calculator", args=[house.venue.slug, slug]), typed)
    assert got.status_code == 200
    return unescape(got.content.decode())


def test_the_list_leads_to_each_and_the_menu_leads_to_the_list(house: Any, auditor: Client) -> None:
    address = reverse("calculators", args=[house.venue.slug])
    shown = auditor.get(address).content.decode()
    for one in CALCULATORS:
        assert f'href="{reverse("calculator", args=[house.venue.slug, one.slug])}"' in shown
    overview = auditor.get(reverse("overview", args=[house.venue.slug])).content.decode()
    assert f'href="{address}"' in overview


def test_an_empty_page_asks_and_answers_nothing(house: Any, auditor: Client) -> None:
    for one in CALCULATORS:
        shown = page(auditor, house, one.slug)
        assert all(f'name="{asked.slug}"' in shown for asked in one.inputs), one.slug
        assert "the answer stands here" in shown, one.slug
        assert "<dl" not in shown, one.slug


def test_the_answer_is_said_in_the_language_of_whoever_looks(house: Any, auditor: Client) -> None:
    Person.objects.filter(pk=house.people["auditor"].pk).update(language="de")
    shown = page(auditor, house, "impairment-hours", outages="9 h to 12.983333 h", rule="alarm_4")
    assert "3,983 h innerhalb von 24 h gegenüber höchstens 4 h." in shown
    assert "3983" not in shown  # a comma is no mark of thousands here
    shown = page(auditor, house, "fleet-angle", offset="4 in", distance="12' 6\"", drum="smooth")
    assert "<b>1,53°</b>" in shown
    assert '<title id="drawing-title">Ablenkwinkel</title>' in shown
    assert 'value="4 in"' in shown
    assert "DGUV Vorschrift 54, Durchführungsanweisung, as in force, to § 20" in shown


def test_the_address_carries_the_answer(house: Any, auditor: Client) -> None:
    seen = 0
    for one in CALCULATORS:
        for example in one.examples[:3]:
            shown = page(auditor, house, one.slug, **example.typed)
            found = answer(one, read_values(one, example.typed))
            told = [*found.working, *found.assumptions, *found.limits, *found.warnings]
            told += [figure.label for figure in found.figures]
            told += [figure_text(figure) for figure in found.figures]
            told += [missing.sentence for missing in found.cannot]
            told += [str(source) for source in one.sources]
            assert [line for line in told if line not in shown] == [], (one.slug, example.name)
            assert found.caution in shown
            assert ('class="drawing"' in shown) == (found.diagram is not None)
            seen += 1
    print(f"{seen} answers on pages")
    assert seen >= len(CALCULATORS) > 0


def test_a_faulty_field_is_named_and_no_answer_is_shown(house: Any, auditor: Client) -> None:
    for one in CALCULATORS:
        typed = {**one.examples[0].typed, one.inputs[0].slug: "banana"}
        shown = page(auditor, house, one.slug, **typed)
        assert "put right what is marked" in shown, one.slug
        assert 'class="field faulty"' in shown, one.slug
        assert "<dl" not in shown, one.slug
        assert 'class="drawing"' not in shown, one.slug


def test_what_was_typed_is_escaped_and_what_is_not_asked_is_passed_over(
    house: Any, auditor: Client
) -> None:
    address = reverse("calculator", args=[house.venue.slug, "fleet-angle"])
    shown = auditor.get(address, {"offset": "<b>1", "utm": "x"}).content.decode()
    assert "<b>1" not in shown
    assert "&lt;b&gt;1" in shown


def test_a_calculator_that_there_is_not_is_not_found(house: Any, auditor: Client) -> None:
    assert auditor.get(reverse("calculator", args=[house.venue.slug, "none"])).status_code == 404
