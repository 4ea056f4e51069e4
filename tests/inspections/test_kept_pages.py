"""What a phone takes along: the pages of the round, the rule sets, the scripts."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from django.test import Client
from django.utils import timezone

from inspections.actions.plans import apply_regime
from inspections.models import Draft
from inspections.phone_files import files_for_phone, release_of, worker_script
from tests.house import make_equipment, make_house, make_rope
from venue.front_files import look_address, script_address, style_address

pytestmark = pytest.mark.django_db


@pytest.fixture
def house() -> Any:
    house, now = make_house(), timezone.now()
    house.plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=now.date(), last_done_on=None,
        by=house.people["manager"], at=now,
    )  # fmt: skip
    house.task = house.plan.tasks.first()
    return house


def phone_of(house: Any, who: str = "stagehand") -> Client:
    client = Client()
    client.force_login(house.people[who])
    return client


def test_every_page_of_the_round_opens_and_looking_begins_nothing(house: Any) -> None:
    phone = phone_of(house)
    round_ = phone.get("/v/larkspur/sync/round/").json()
    assert [task["tag"] for task in round_["tasks"]] == ["W1"]
    assert len(round_["pages"]) == 5
    assert f"/v/larkspur/kept/use/{house.winch.pk}/winch_before_use/" in round_["pages"]
    assert {phone.get(page).status_code for page in round_["pages"]} == {200}
    assert not Draft.objects.exists()


def test_a_kept_page_holds_what_the_phone_judges_by(house: Any) -> None:
    page = phone_of(house).get(f"/v/larkspur/kept/{house.task.pk}/").content.decode()
    told = json.loads(
        page.split('<script id="kept-check" type="application/json">')[1].split("</script>")[0]
    )
    assert told["person"] == house.people["stagehand"].pk
    assert told["regime"] == house.plan.version.hash
    ropes = [each for each in told["questions"] if each["answer"] == "rope"]
    assert ropes[0]["rope"]["nominal_diameter"]["typed"] == "1/4 in"


def test_the_rule_sets_in_force_go_along_with_their_hashes(house: Any) -> None:
    rules = phone_of(house).get("/v/larkspur/sync/rules/").json()["rulesets"]
    assert set(rules) == {"us-osha-1926-1413", "us-msha-30cfr-56-19024"}
    assert all(len(each["hash"]) == 64 and each["criteria"] for each in rules.values())


def test_the_round_costs_the_same_number_of_queries_for_one_thing_and_for_six(
    house: Any, django_assert_max_num_queries: Any
) -> None:
    phone, now = phone_of(house), timezone.now()
    for number in range(2, 7):
        winch = make_equipment(house.venue, f"W{number}")
        make_rope(winch)
        apply_regime(
            equipment=winch, regime=house.regime, anchor=now.date(), last_done_on=None,
            by=house.people["manager"], at=now,
        )  # fmt: skip
    with django_assert_max_num_queries(12):
        round_ = phone.get("/v/larkspur/sync/round/").json()
    assert len(round_["tasks"]) == 6


def test_the_worker_names_its_release_and_only_files_that_are_there() -> None:
    answer = Client().get("/sw.js")
    assert answer["Content-Type"] == "text/javascript"
    text = answer.content.decode()
    assert text.startswith(f'let RELEASE="{release_of(settings.BASE_DIR)}";')
    files, _ = json.JSONDecoder().raw_decode(text.split("let FILES=")[1])
    assert files[:3] == [script_address(), style_address(), look_address()]
    names = [file.removeprefix("/static/") for file in files[3:]]
    assert names == files_for_phone(Path(settings.BASE_DIR) / "static")
    assert "img/marks.svg" in names


def test_another_release_is_another_worker() -> None:
    root = Path(settings.BASE_DIR) / "static"
    assert worker_script("a", [], root) != worker_script("b", [], root)


def test_the_manifest_names_icons_that_are_there() -> None:
    told = json.loads(Client().get("/manifest.webmanifest").content)
    assert told["display"] == "standalone"
    root = Path(settings.BASE_DIR)
    assert all((root / icon["src"].lstrip("/")).is_file() for icon in told["icons"])
    assert [icon["sizes"] for icon in told["icons"]] == ["192x192", "512x512"]
