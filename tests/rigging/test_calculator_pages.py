"""The pages of the calculators: one for each, the answer in the address, for every member."""

from __future__ import annotations

from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from rigging.calculators import Calculator, answer, load_calculators, read_values
from rigging.calculators.showing import figure_text
from tests.house import make_house

pytestmark = pytest.mark.django_db

CALCULATORS = list(load_calculators().values())
every_calculator = pytest.mark.parametrize("one", CALCULATORS, ids=lambda one: one.slug)


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


@every_calculator
def test_an_empty_page_asks_and_answers_nothing(house: Any, auditor: Client, one: Calculator):
    shown = page(auditor, house, one.slug)
    for asked in one.inputs:
        assert f'name="{asked.slug}"' in shown
    assert "the answer stands here" in shown
    assert "<dl" not in shown


@every_calculator
def test_the_address_carries_the_answer(house: Any, auditor: Client, one: Calculator) -> None:
    for example in one.examples:
        shown = page(auditor, house, one.slug, **example.typed)
        found = answer(one, read_values(one, example.typed))
        for figure in found.figures:
            assert figure.label in shown
            assert figure_text(figure) in shown
        for line in (*found.working, *found.assumptions, *found.limits, *found.warnings):
            assert line in shown
        assert all(missing.sentence in shown for missing in found.cannot)
        assert found.caution in shown
        assert ('class="drawing"' in shown.split('id="answer"')[1]) == (found.diagram is not None)
    for source in one.sources:
        assert str(source) in shown


@every_calculator
def test_a_faulty_field_is_named_and_no_answer_is_shown(
    house: Any, auditor: Client, one: Calculator
) -> None:
    for asked in one.inputs:
        shown = page(auditor, house, one.slug, **{**one.examples[0].typed, asked.slug: "banana"})
        assert "put right what is marked" in shown
        assert 'class="field faulty"' in shown
        assert "<dl" not in shown
        assert '<svg class="drawing"' not in shown


def test_what_was_typed_is_escaped_and_what_is_not_asked_is_passed_over(
    house: Any, auditor: Client
) -> None:
    address = reverse("calculator", args=[house.venue.slug, "fleet-angle"])
    shown = auditor.get(address, {"offset": "<b>1", "utm": "x"}).content.decode()
    assert "<b>1" not in shown
    assert "&lt;b&gt;1" in shown


def test_a_calculator_that_there_is_not_is_not_found(house: Any, auditor: Client) -> None:
    assert auditor.get(reverse("calculator", args=[house.venue.slug, "none"])).status_code == 404
