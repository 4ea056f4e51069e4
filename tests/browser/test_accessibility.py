"""axe-core on every page, in every look, on a phone and at a desk: it finds nothing.

The rules are those of WCAG 2.0 to 2.2, A and AA, and axe-core's best practices; what a machine can
see of accessibility is about half of it.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest
from django.db import connections

from tests.browser.test_phone_check import sign_in
from tests.test_walk import OPEN, POST_ONLY, PUT_ONLY, address, house_with_everything, patterns
from venue.roles import may

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

COUNT = Path(__file__).resolve().parents[2] / "var" / "axe.txt"
SIZES = {"phone": (390, 844), "desk": (1440, 900)}
LOOKS = ("light", "dark", "stage-blue")
NOT_PAGES = {
    "find_now", "first_person", "health", "home", "look_script", "manifest", "one_script",
    "one_style", "phone_worker", "task_feed",
}  # fmt: skip
SCRIPT = (files("axe_playwright_python") / "axe.min.js").read_text(encoding="utf-8")
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
RUN = """async (options) => {
    const told = await axe.run(document, options);
    return told.violations.map(({ id, nodes }) => `${id}: ${nodes[0].html.slice(0, 160)} (${nodes.length})`);
}"""


@pytest.fixture
def house(live_server: Any) -> Any:
    """Made in a thread of its own: a report is signed in an event loop, and the browser's driver
    keeps one in this thread."""

    def make() -> Any:
        try:
            return house_with_everything()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(1) as thread:
        return thread.submit(make).result()


def findings(page: Any) -> Iterator[str]:
    """All rules in the first look; in the others what a look can change, which is contrast."""
    page.evaluate(SCRIPT)
    for look in LOOKS:
        page.evaluate("(look) => { document.documentElement.dataset.theme = look; }", look)
        options: dict[str, Any] = {"runOnly": {"type": "tag", "values": TAGS}}
        if look != LOOKS[0]:
            options = {"runOnly": {"type": "rule", "values": ["color-contrast"]}}
        for found in page.evaluate(RUN, options | {"resultTypes": ["violations"]}):
            yield f"{look}: {found}"


def pages(house: Any, who: str) -> dict[str, str]:
    """The address of every page that this person may open, by name."""
    return {
        name: address(name, pattern, house, who)
        for name, pattern in patterns().items()
        if name not in NOT_PAGES | POST_ONLY | PUT_ONLY
        and (name in OPEN or may(who, pattern.callback.needs))
    }


def is_page(page: Any, where: str) -> bool:
    """Whether the address shows a page; a download or JSON has nothing for axe-core."""
    told = page.request.get(where)
    return told.ok and "text/html" in told.headers.get("content-type", "")


@pytest.mark.long
@pytest.mark.parametrize("size", SIZES)
def test_axe_finds_nothing_on_any_page_in_any_look(
    house: Any, chromium: Any, live_server: Any, size: str
) -> None:
    width, height = SIZES[size]
    context = chromium.new_context(
        base_url=live_server.url,
        viewport={"width": width, "height": height},
        reduced_motion="reduce",
    )
    page = context.new_page()
    wrong, seen = [f"sign-in {each}" for each in _sign_in_page(page)], 1
    sign_in(page, "competent", "/v/larkspur/")
    known: set[str] = set()
    for who in ("competent", "manager"):
        if who == "manager":
            context.clear_cookies()
            sign_in(page, "manager", "/v/larkspur/")
        for name, where in pages(house, who).items():
            if name in known or not is_page(page, where):
                continue
            known.add(name)
            page.goto(where)
            page.wait_for_load_state("load")
            wrong += [f"{name} {each}" for each in findings(page)]
            seen += 1
    context.close()
    _write_count(size, seen, len(wrong))
    assert wrong == []
    assert seen >= 45


def _sign_in_page(page: Any) -> list[str]:
    page.goto("/account/login/")
    return list(findings(page))


def _write_count(size: str, seen: int, wrong: int) -> None:
    """For `make axe`, which tells both sizes in one line."""
    COUNT.parent.mkdir(exist_ok=True)
    told = json.loads(COUNT.read_text()) if COUNT.exists() else {}
    told[size] = {"pages": seen, "looks": len(LOOKS), "findings": wrong}
    COUNT.write_text(json.dumps(told))
