"""A manager enters a winch, its rope and a photograph on a phone, with a slip on the way."""

from __future__ import annotations

import io
from typing import Any

import pytest
from PIL import Image

from tests.house import PASSWORD, make_house
from venue.models import Equipment, Part, PartFile

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


def photograph() -> dict[str, Any]:
    out = io.BytesIO()
    Image.new("RGB", (80, 60), "grey").save(out, "JPEG")
    return {"name": "rope.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def follow(page: Any, what: str) -> None:
    with page.expect_navigation():
        page.click(what)


def save(page: Any) -> None:
    follow(page, "main form .button.main")
    assert page.evaluate("document.documentElement.scrollWidth") == 390


def test_a_winch_its_rope_and_a_photograph_come_in_on_a_phone(page):
    house = make_house()
    page.goto("/account/login/")
    page.fill("[name=login]", house.people["manager"].email)
    page.fill("[name=password]", PASSWORD)
    page.press("[name=password]", "Enter")
    page.wait_for_url("**/v/larkspur/")

    page.goto("/v/larkspur/equipment/")
    follow(page, "text=Add equipment")
    follow(page, "text=Drum winch")
    page.fill("[name=tag]", "W7")
    page.fill("[name=name]", "Paint frame winch")
    page.select_option("[name=place]", "Stage")
    page.fill("[name=rated_whole]", "4 ton")
    page.select_option("[name=field_service]", "normal")
    page.fill("[name=field_line_count]", "2")
    page.select_option("[name=field_over_people]", "no")
    save(page)
    assert "different weights to different people" in page.inner_text(".error-summary")
    assert page.input_value("[name=name]") == "Paint frame winch"
    page.fill("[name=rated_whole]", "4 t")
    save(page)
    winch = Equipment.objects.get(tag="W7")
    assert page.url.endswith(f"/equipment/{winch.pk}/")

    follow(page, "text=Add a part")
    follow(page, ".row-name a >> text='Rope'")
    page.fill("[name=part_code]", "line 1")
    page.fill("[name=field_construction]", "7x19")
    page.fill("[name=field_nominal_diameter]", "1/4 in")
    page.select_option("[name=field_duty]", "running")
    save(page)
    rope = Part.objects.get(equipment=winch)
    assert page.url.endswith(f"/parts/{rope.pk}/")

    follow(page, "text=Add one")
    page.set_input_files("[name=file]", photograph())
    page.fill("[name=caption]", "End at the drum")
    save(page)
    assert "End at the drum" in page.inner_text("main")
    assert PartFile.objects.get().part == rope
