"""Checks on a phone under faults, at random from a seed: what is entered is stored once."""

from __future__ import annotations

import random
import sqlite3
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from tests.trials.ledger import Count, Entered, count
from tests.trials.line import Line
from tests.trials.phone import Phone
from tests.trials.server import Server

# They may record but not sign, so the tasks stay open and on the round.
PEOPLE = ("stagehand", "helper")
LINE_FAULTS = ("refuse", "hang", "cut", "swallow", "slow")
FAULTS = (
    "none", "no line", *LINE_FAULTS, "page killed", "browser killed", "server killed",
    "500 before", "500 after", "saved twice", "session ended", "other person", "clock slow",
    "clock fast", "killed while saving",
)  # fmt: skip
SOUND = {
    "dia_1_a": "0.26 in", "dia_1_b": "0.26 in", "broken_lay": "0", "broken_strand_count": "0",
    "broken_valley": "0", "broken_end": "0", "looked": "yes",
}  # fmt: skip
DRAIN_EVERY, LONGEST_SENDING = 10, 600  # checks; fifths of a second on a busy machine


@dataclass
class Trials:
    server: Server
    line: Line
    phone: Phone
    chance: random.Random
    who: str = PEOPLE[0]
    entered: list[Entered] = field(default_factory=list)
    faults: dict[str, int] = field(default_factory=dict)
    tasks: list[tuple[int, int]] = field(default_factory=list)
    people: dict[str, int] = field(default_factory=dict)
    story: list[str] = field(default_factory=list)

    def begin(self) -> None:
        with self._rows() as rows:
            self.people = {
                email.split("@")[0]: pk
                for pk, email in rows.execute("SELECT id, email FROM venue_person")
                if email.endswith("@larkspur.example")
            }
            self.tasks = rows.execute(
                "SELECT t.id, p.id FROM inspections_task t JOIN venue_part p "
                "ON p.equipment_id = t.equipment_id WHERE t.number = 1 ORDER BY t.id"
            ).fetchall()
        self.phone.switch_on()
        self.sign_in(self.who)

    def sign_in(self, who: str) -> None:
        self.who = who
        self.phone.sign_in(who)
        self.phone.take_round()

    def one(self, number: int) -> None:
        """One check, with one fault at one moment."""
        fault = self.chance.choice(FAULTS)
        self.faults[fault] = self.faults.get(fault, 0) + 1
        task, rope = self.chance.choice(self.tasks)
        remark = f"trial {number} {self.chance.getrandbits(48):012x}"
        early = self.chance.random() < 0.5
        self.story.append(f"{number}: {fault}{' early' if early else ''}, {self.who}, task {task}")
        if early:
            self._strike(fault)
        self._open(task)
        if fault.startswith("clock"):
            self.phone.shift_clock(-259_200 if fault == "clock slow" else 7200)
        self.phone.fill(rope, SOUND | {"instrument": remark})
        if fault == "page killed":
            self.phone.kill_page()
            self._open(task)
            self._walk_to_the_end()
        self.phone.page.fill("#remark", remark)
        if not early:
            self._strike(fault)
        self.phone.save(twice=fault == "saved twice")
        self._note(fault, remark)

    def _note(self, fault: str, remark: str) -> None:
        if fault == "killed while saving":
            time.sleep(self.chance.random() * 0.2)
            saved = self._saved_already()
            self.phone.kill()
            self.phone.switch_on()
        else:
            saved = self.phone.acknowledged()
        if saved:
            self.entered.append(Entered(*saved, self.who, remark))
        if fault == "other person":
            # The phone goes into other hands with a check of the first person still on it.
            self.heal()
            self.sign_in(PEOPLE[1 - PEOPLE.index(self.who)])
        if fault == "browser killed":
            self.phone.kill()
            self.phone.switch_on()

    def _saved_already(self) -> tuple[str, str] | None:
        with suppress(Exception):
            if self.phone.page.locator("[data-saved]").count():
                return self.phone.acknowledged()
        return None

    def _open(self, task: int) -> None:
        self.phone.page.goto(f"/v/larkspur/kept/{task}/")

    def _walk_to_the_end(self) -> None:
        page = self.phone.page
        page.get_by_text("Question 1 of 2").wait_for()
        page.wait_for_timeout(620)
        page.get_by_role("button", name="Next", exact=True).click()
        self.phone.look_it_over()

    def _strike(self, fault: str) -> None:
        if fault in LINE_FAULTS:
            self.line.way = fault
        elif fault in ("no line", "other person"):
            self.phone.context.set_offline(True)
        elif fault == "server killed":
            self.server.kill()
        elif fault.startswith("500"):
            self.server.switch.write_text(fault.split()[1])
        elif fault == "session ended":
            with self._rows() as rows:
                rows.execute("DELETE FROM django_session")

    def heal(self) -> None:
        """The line whole, the server up, the browser on."""
        self.line.way = "through"
        self.server.switch.write_text("")
        if self.server.process is None:
            self.server.start(self.line.port)
        if self.phone.context is None:
            self.phone.switch_on()
        self.phone.context.set_offline(False)

    def after(self, number: int) -> None:
        """Now and then all is well and everything is sent; else the trouble goes on."""
        last_fault_stays = self.chance.random() < 0.3 and number % DRAIN_EVERY
        if last_fault_stays and self.server.process is not None:
            return
        self.heal()
        if number % DRAIN_EVERY == 0 or self.chance.random() < 0.1:
            self.drain()

    def drain(self) -> None:
        """Each person signs in and stays until nothing of theirs waits. A trial that was not
        signed in would prove keeping only, not sending: the sign-in is waited for."""
        for who in self.chance.sample(PEOPLE, len(PEOPLE)):
            self.sign_in(who)
            for _ in range(LONGEST_SENDING):
                if self.phone.waiting(self.people[who]) == 0:
                    break
                self.phone.page.wait_for_timeout(200)
            else:
                raise AssertionError(f"{who} still has checks that are not sent")

    def _rows(self) -> sqlite3.Connection:
        return sqlite3.connect(self.server.folder / "trials.sqlite3", timeout=30)


def run(trials: int, seed: int, folder: Path, driver: Any) -> Count:
    server = Server(folder)
    line = Line(server.port, seed)
    server.run(line.port, "django", "migrate", "-v", "0")
    server.run(line.port, "django", "createcachetable")
    server.run(line.port, "tests.trials.house")
    server.start(line.port)
    phone = Phone(driver, folder / "profile", f"http://localhost:{line.port}")
    mine = Trials(server, line, phone, random.Random(seed))
    try:
        mine.begin()
        for number in range(1, trials + 1):
            mine.one(number)
            mine.after(number)
        mine.heal()
        mine.drain()
    except Exception as trouble:
        raise AssertionError(phone.what_it_shows(mine.story)) from trouble
    finally:
        server.kill()
        phone.kill()
    found = count(mine.entered, folder / "trials.sqlite3", trials)
    found.faults = mine.faults
    found.sendings = server.log.read_text(errors="replace").count('"PUT /v/')
    return found
