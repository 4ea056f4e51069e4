"""The joined scripts in each language: a rope is judged without signal on the phone, in its words."""

from __future__ import annotations

from typing import Any

import pytest
from django.utils.translation import override

from tests.browser.round_on_a_phone import SOUND
from tests.browser.test_phone_check import choose, sign_in
from venue.language_now import said
from venue.models import Person

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.mark.parametrize("language", ["en", "de", "es"])
def test_a_rope_is_judged_without_signal(house: Any, phone: Any, language: str) -> None:
    Person.objects.update(language=language)
    page, faults = phone.new_page(), list[str]()
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    sign_in(page, "competent", "/v/larkspur/round/")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.reload()
    kept = page.locator("[data-round-kept]")
    whole = kept.get_attribute("data-whole")
    page.get_by_text(whole).wait_for()
    phone.set_offline(True)
    page.reload()
    page.locator("[data-kept-page] button").first.click()
    page.wait_for_url("**/kept/*/")
    assert page.evaluate("document.documentElement.lang").startswith(language)
    key = f"running_rope.{house.rope.pk}"
    page.locator(f'[name="{key}:broken_lay"]').wait_for()
    for name, value in (SOUND | {"broken_lay": "6"}).items():
        page.fill(f'[name="{key}:{name}"]', value)
    choose(page, f"{key}:looked", "yes")
    verdict = page.locator(f'[data-question="{key}"] [data-verdict][data-state="retire"]')
    verdict.wait_for()
    with override(language):
        assert said("Retire") in verdict.inner_text()
    assert faults == []
