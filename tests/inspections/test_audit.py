"""An auditor sees what was due and done, and draws a sample that anybody can draw again."""

from __future__ import annotations

import html
import re
import subprocess
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from tests.inspections.proof_house import DAY, House, make_proof_house, make_record, make_task
from tests.inspections.test_bundle import make_bundle
from venue import long_table
from venue.models import LogLine, Person

pytestmark = pytest.mark.django_db
SPAN = {"start": "2026-02-01", "end": "2026-02-28"}


@pytest.fixture
def house(settings: Settings, tmp_path: Path) -> House:
    settings.LOFTBOOK_FILES, settings.LOFTBOOK_KEYS = tmp_path / "files", tmp_path / "keys"
    return make_proof_house()


def client_of(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def page(person: Person, name: str = "audit", **asked: str) -> str:
    answer = client_of(person).get(reverse(name, args=["larkspur"]), SPAN | asked)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_every_task_is_counted_by_its_outcome_and_opens_its_record(house: House) -> None:
    done = make_task(house, 1, DAY, state="done", done_on=DAY)
    record = make_record(house, answers=[], task=done)
    make_task(house, 2, date(2026, 2, 2), state="done", done_on=DAY)
    make_task(house, 3, date(2026, 2, 5), deferred_why="The set was up")
    make_task(house, 4, date(2026, 2, 20), state="cancelled", closed_why="Set struck")
    make_task(house, 5, date(2026, 5, 1))  # not of these days
    text = page(house.ines)
    for words in (
        "4 tasks",
        "Done in time 1",
        "Done late 1",
        "Missed, still open 1",
        "Cancelled 1",
    ):
        assert words in text
    assert reverse("record", args=["larkspur", record.pk]) in text
    assert "Put off: The set was up" in text
    late = page(house.ines, outcome="done late")
    assert late.count("<tr>") == 3  # with head and foot
    assert client_of(house.priya).get(reverse("audit", args=["larkspur"])).status_code == 403


def test_the_second_page_keeps_the_days_and_the_outcome(
    house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(long_table, "ROWS_A_PAGE", 50)
    for number in range(1, 53):
        make_task(house, number, date(2026, 2, 5))
    first = page(house.ines, outcome="missed, still open")
    (further,) = re.findall(r'rel="next" href="([^"]+)"', first)
    address = reverse("audit", args=["larkspur"]) + html.unescape(further)
    second = client_of(house.ines).get(address).content.decode()
    assert "52 tasks" in second
    assert second.count('data-label="Task"') == 2
    assert page(house.ines, outcome="done late").count('data-label="Task"') == 0


def test_a_sample_is_logged_and_the_command_on_its_page_draws_the_same_from_a_bundle(
    house: House, tmp_path: Path
) -> None:
    for number in range(1, 13):
        make_task(house, number, date(2026, 2, 1) + timedelta(days=number))
    asked = SPAN | {"seed": "tide-1847", "number": "5"}
    answer = client_of(house.ines).post(reverse("audit_sample", args=["larkspur"]), asked)
    assert answer.status_code == 302
    text = client_of(house.ines).get(answer.url).content.decode()
    assert "5 of 12 tasks" in text
    shown = re.findall(r'data-label="Task" class="number"><a href="[^"]+">(\d+)<', text)
    command = re.search(r"<code>(.*?)</code>", text, re.DOTALL)
    assert command
    bundle = make_bundle(house, tmp_path)
    drawn = subprocess.run(
        ["bash", "-c", html.unescape(command[1])], cwd=bundle, capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    assert drawn.stdout.split() == shown
    assert len(shown) == 5
    line = LogLine.objects.get(did="draw_sample")
    assert line.by == house.ines
    assert all(f'"{pk}"' in line.body for pk in shown)
    other = page(house.ines, "audit_sample", seed="tide-1848", number="5")
    assert re.findall(r'class="number"><a href="[^"]+">(\d+)<', other) != shown
    assert LogLine.objects.filter(did="draw_sample").count() == 1


@pytest.mark.parametrize("seed", ["", "'; rm -rf", "a b", "x" * 61])
def test_a_seed_that_nobody_could_type_again_is_refused(house: House, seed: str) -> None:
    asked = SPAN | {"seed": seed, "number": "5"}
    answer = client_of(house.ines).post(reverse("audit_sample", args=["larkspur"]), asked)
    assert answer.status_code == 200
    assert not LogLine.objects.filter(did="draw_sample").exists()
