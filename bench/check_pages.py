"""The pages of a check for `bench.every_page`: no link leads to them, a person at work does.

The round, a tag, the kept check question by question to the end, saved without signal and sent, and
its signing, on a phone with the round taken along; then the same check begun online, and its review.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any
from uuid import UUID

from bench.pocket import SCREEN, new_phone, take_along
from bench.screenshots import sign_in
from bench.steps import ROPES, Steps, plan_for_today

Take = Callable[[Any, str], None]
LAST_SENT = (
    "SELECT record_id FROM inspections_sent WHERE record_id IS NOT NULL ORDER BY rowid DESC LIMIT 1"
)
# As without a script: the form itself is sent, and no page of the phone takes its place.
BEGIN_ONLINE = "(task) => document.querySelector(`form[action$='/tasks/${task}/check/']`).submit()"


class CheckPages(Steps):
    """The steps of `bench.steps`, each handed on by its name instead of kept as one picture."""

    def __init__(self, tab: Any, taken: Take) -> None:
        super().__init__(tab, "", Path())
        self.taken = taken

    def keep(self, name: str, *, whole: bool = False) -> None:
        self.tab.wait_for_timeout(300)
        self.taken(self.tab, f"check: {name}")
        self.tab.set_viewport_size(SCREEN)

    def open_page(self, address: str) -> None:
        """An error is no picture of a page."""
        answer = self.tab.goto(address)
        if answer is None or not answer.ok:
            raise RuntimeError(f"{address} did not open.")


def take_check_pages(browser: Any, address: str, database: Path, taken: Take) -> None:
    task = plan_for_today(database)[ROPES]
    phone = new_phone(browser, address)
    phone.set_default_timeout(90_000)  # nothing is timed
    tab = phone.new_page()
    sign_in(tab)
    take_along(tab)
    steps = CheckPages(tab, taken)
    steps.keep("01-round taken along")
    steps.open_page("/v/larkspur/t/W1/")
    steps.keep("02-tag")
    steps.questions(task, "question")
    steps.to_the_end(task)
    steps.open_page(f"/v/larkspur/records/{_last_sent(database)}/sign/")
    steps.keep("10-sign")
    steps.out_of_service()
    _online(steps, plan_for_today(database)[ROPES])
    phone.close()


def _online(steps: CheckPages, task: int) -> None:
    """Another task: the one before is done."""
    tab = steps.tab
    steps.open_page(f"/v/larkspur/tasks/{task}/")
    tab.evaluate(BEGIN_ONLINE, task)
    tab.wait_for_url("**/checks/*/")
    steps.keep("13-online")
    steps.open_page(f"{tab.url}review/")
    steps.keep("14-online, look it over")


def _last_sent(database: Path) -> str:
    with closing(sqlite3.connect(database)) as connection:
        found = connection.execute(LAST_SENT).fetchone()
    if found is None:
        raise RuntimeError("The check that was saved did not arrive.")
    return str(UUID(found[0]))
