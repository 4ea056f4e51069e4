"""A file is dropped on the page that asks for one; what takes long says that it is on its way."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest

from tests.browser.test_phone_check import sign_in
from tests.house import make_house

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

DESK = {"width": 1280, "height": 800}
PAGE = "/v/larkspur/register/spreadsheet/"
LIST = "Tag;Name;Kind\nCW1;Set 1;counterweight set\n"
NOT_SENT = "document.querySelector('main form').addEventListener('submit', (event) => event.preventDefault())"
DROP = """([where, names, text]) => {
    const carried = new DataTransfer();
    for (const name of names) carried.items.add(new File([text], name));
    for (const kind of ["dragover", "drop"])
        document.querySelector(where).dispatchEvent(
            new DragEvent(kind, { bubbles: true, cancelable: true, dataTransfer: carried }));
}"""


def drop(page: Any, where: str, *names: str) -> str:
    page.evaluate(DROP, [where, list(names), LIST])
    return page.inner_text(".drop-zone [role=status]")


def chosen(page: Any) -> list[str]:
    return page.evaluate(
        "[...document.querySelector('input[type=file]').files].map(({ name }) => name)"
    )


def test_a_list_dropped_anywhere_on_its_page_is_chosen_and_sent_by_the_button(
    tab: Callable[..., Any], live_server: Any
) -> None:
    make_house()
    page = tab(DESK)
    sign_in(page, "manager", PAGE)
    assert page.inner_text(".drop-zone [role=status]") == "Or drop the file here."
    assert "is not a file that is read here: .xlsx" in drop(page, "h1", "stage.jpg")
    assert drop(page, "h1", "a.csv", "b.csv") == "One file at a time."
    assert chosen(page) == []
    assert drop(page, "h1", "list.CSV") == (
        "“list.CSV” is chosen. It is sent when you press the button."
    )
    assert chosen(page) == ["list.CSV"]
    assert page.locator(".is-over").count() == 0
    page.get_by_role("button", name="Show how it is understood").click()
    page.get_by_text("list.CSV, sent").wait_for()


def test_what_takes_long_says_that_it_is_on_its_way(
    tab: Callable[..., Any], live_server: Any
) -> None:
    make_house()
    page = tab(DESK)
    sign_in(page, "manager", PAGE)
    line = page.locator("[data-under-way]")
    assert line.inner_text() == "This can take a minute; pressed once is enough."
    # It is sent as far as the page knows, and no answer ever comes.
    page.evaluate(NOT_SENT)
    drop(page, "h1", "list.csv")
    page.get_by_role("button", name="Show how it is understood").click()
    page.get_by_text("It is under way: leave this page open").wait_for()
    page.locator("[data-under-way]", has_text=re.compile(r" [1-9]\d* s$")).wait_for()
    assert line.get_attribute("role") == "status"


def test_without_script_the_words_stand_beside_the_button_and_nothing_promises_a_drop(
    tab: Callable[..., Any], live_server: Any
) -> None:
    make_house()
    page = tab(DESK, script=False)
    sign_in(page, "manager", PAGE)
    assert page.get_by_text("This can take a minute; pressed once is enough.").count() == 1
    assert page.get_by_text("Or drop the file here.").count() == 0
