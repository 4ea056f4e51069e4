"""A phone for measuring: a real Chromium with a finger, 390 by 844, and nothing kept on it."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from bench.screenshots import CHROMIUM_FLAGS, sign_in

SCREEN = {"width": 390, "height": 844}
ROUND = "/v/larkspur/round/"
WHOLE = "This round is on the phone"


class NoBrowser(RuntimeError):
    """Nothing can be measured without a browser; no number is made up."""


@contextmanager
def chromium() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    program = shutil.which("chromium") or shutil.which("chromium-browser")
    if program is None:
        raise NoBrowser("Chromium is not installed: apt-get install chromium")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=CHROMIUM_FLAGS)
        yield browser
        browser.close()


def new_phone(browser: Any, address: str, **more: Any) -> Any:
    settings = {"base_url": address, "viewport": SCREEN, "has_touch": True, "is_mobile": True}
    context = browser.new_context(**settings | more)
    context.set_default_timeout(20000)
    return context


def phone_with_round(browser: Any, address: str, **more: Any) -> Any:
    """Signed in, with the round of the day taken along; gives its tab."""
    tab = new_phone(browser, address, **more).new_page()
    sign_in(tab)
    take_along(tab)
    return tab


def take_along(tab: Any) -> None:
    """The round is kept only once the worker has its files."""
    tab.goto(ROUND)
    tab.evaluate("navigator.serviceWorker.ready.then(() => true)")
    tab.reload()
    tab.get_by_text(WHOLE).wait_for()
