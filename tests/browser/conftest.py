"""Tabs of a real browser that may not complain."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
import time_machine
from django.utils import timezone

from inspections.actions.plans import apply_regime
from tests.conftest import PATIENCE
from tests.house import make_house

LONGEST_WALK = timedelta(minutes=10)


def is_complaint(said: Any) -> bool:
    """A refusal in words (422) is a page like any other; the browser calls it an error."""
    return said.type == "error" and "status of 422" not in said.text


for part in ("house", "manager", "stage", "proof"):
    pytest.register_assert_rewrite(f"tests.browser.walk_{part}")
pytest.register_assert_rewrite("tests.browser.insurers_desk")


@pytest.fixture
def tab(chromium: Any, live_server: Any) -> Iterator[Callable[..., Any]]:
    """Opens tabs, each with a session of its own; none may have complained in its console."""
    complaints: list[str] = []
    contexts: list[Any] = []

    def open_tab(size: dict[str, int], script: bool = True) -> Any:
        context = chromium.new_context(
            base_url=live_server.url, viewport=size, java_script_enabled=script
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.on("console", lambda said: is_complaint(said) and complaints.append(said.text))
        page.on("pageerror", lambda fault: complaints.append(str(fault)))
        page.on(
            "response",
            lambda got: got.status >= 500 and complaints.append(f"{got.status} {got.url}"),
        )
        return page

    yield open_tab
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def house(live_server: Any) -> Any:
    """A house whose winch is due today."""
    house, now = make_house(), timezone.now()
    house.plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=now.date(), last_done_on=None,
        by=house.people["manager"], at=now,
    )  # fmt: skip
    return house


@pytest.fixture
def one_day() -> Iterator[None]:
    """Whoever would walk into the next day begins in it: the server's clock is put on a little."""
    now, ends = timezone.now(), timezone.now() + LONGEST_WALK
    zones = (UTC, ZoneInfo("Europe/London"))
    if all(now.astimezone(zone).date() == ends.astimezone(zone).date() for zone in zones):
        yield
        return
    with time_machine.travel(ends):
        yield


@pytest.fixture
def phone(chromium: Any, live_server: Any) -> Iterator[Any]:
    """The browser of one phone, in which service workers work."""
    context = chromium.new_context(base_url=live_server.url, viewport={"width": 390, "height": 844})
    context.set_default_timeout(PATIENCE)
    yield context
    context.close()
