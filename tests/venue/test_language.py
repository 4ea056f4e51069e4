"""The language of a page: the person's own, else the house's, else what the browser asks for."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.translation import override

from tests.house import make_house
from venue.front_files import WHOLE, front_files
from venue.language_now import said
from venue.models import LogLine, Person, Venue

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
ROUND = reverse("round", args=["larkspur"])


@pytest.fixture
def house() -> Any:
    return make_house()


def shown_to(house: Any, browser: str = "en") -> str:
    client = Client(headers={"accept-language": browser})
    client.force_login(Person.objects.get(pk=house.people["competent"].pk))
    return client.get(ROUND).content.decode()


def test_what_the_browser_asks_for_counts_where_nobody_chose(house: Any) -> None:
    assert "My round" in shown_to(house)
    assert "Mein Rundgang" in shown_to(house, "de-CH,de;q=0.9")
    assert "Mi ronda" in shown_to(house, "es-MX")
    assert "My round" in shown_to(house, "fr")


def test_the_house_counts_before_the_browser_and_the_person_before_the_house(house: Any) -> None:
    Venue.objects.filter(slug="larkspur").update(language="de")
    assert "Mein Rundgang" in shown_to(house, "es")
    Person.objects.filter(pk=house.people["competent"].pk).update(language="es")
    assert "Mi ronda" in shown_to(house, "de")


def test_a_person_chooses_once_for_every_device_and_the_log_says_it(house: Any) -> None:
    client = Client()
    client.force_login(house.people["stagehand"])
    answer = client.post(f"{reverse('choose_language')}?next={ROUND}", {"language": "de"})
    assert (answer.status_code, answer["Location"]) == (302, ROUND)
    assert answer.cookies["language"].value == "de"
    assert Person.objects.get(pk=house.people["stagehand"].pk).language == "de"
    assert LogLine.objects.filter(did="choose_language").count() == 1
    client.post(reverse("choose_language"), {"language": "de"})
    assert LogLine.objects.filter(did="choose_language").count() == 1


def test_a_way_back_leads_to_no_other_house(house: Any) -> None:
    answer = Client().post(
        f"{reverse('choose_language')}?next=https://elsewhere.example/", {"language": "es"}
    )
    assert answer["Location"] == "/"
    assert Client().post(reverse("choose_language"), {"language": "xx"}).status_code == 200


def test_what_a_browser_asks_without_saying_who_has_the_language_of_the_page(house: Any) -> None:
    Venue.objects.filter(slug="larkspur").update(language="de")
    client = Client()
    client.force_login(house.people["competent"])
    assert client.get(ROUND)["Content-Language"] == "de"
    worker = client.get(reverse("phone_worker")).content.decode()
    assert "Kein Empfang" in worker
    assert "No signal" in Client().get(reverse("phone_worker")).content.decode()
    assert f"?de-{front_files('de')[WHOLE].digest}" in worker


def test_a_script_has_one_text_under_one_address_whoever_asks(house: Any) -> None:
    where = reverse("one_script")
    german = f"{where}?de-{front_files('de')[WHOLE].digest}"
    for client in (Client(), Client(headers={"accept-language": "es"})):
        answer = client.get(german)
        assert "Diese Prüfung speichern" in answer.content.decode()
        assert "immutable" in answer["Cache-Control"]
    assert (
        "Save this check" in Client(headers={"accept-language": "de"}).get(where).content.decode()
    )


TYPED = (
    "Rope line 3: two broken wires near the termination.",
    "Hook bent, , replaced.",
    "Spalt 1,250 mm",
    "Nur bis 1.250 kg",
    "CH1 Kettenzug 1.250 kg",
    "Remedy: Spiel auf 0,125 mm eingestellt",
    "0,125 in",
)


@pytest.mark.parametrize("language", ["de", "es"])
@pytest.mark.parametrize("typed", TYPED)
def test_what_somebody_typed_keeps_its_figures_and_breaks_no_page(
    language: str, typed: str
) -> None:
    figures = re.compile(r"\d[\d.,]*\d|\d")
    with override(language):
        assert figures.findall(str(said(typed))) == figures.findall(typed)
