"""An auditor asks, the house answers: both are evidence, told of in the log and in bundles."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.core import mail
from django.db import IntegrityError, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django_q.models import OrmQ

from inspections import jobs
from inspections.actions.ask_for_evidence import ask_for_evidence
from inspections.actions.audit_questions import answer_question, ask_question
from inspections.actions.desk_links import make_desk_link, revoke_desk_link
from inspections.models import AuditAnswer, AuditQuestion, Job
from inspections.queries.log_check import check_log
from tests.inspections.proof_house import AT, House, make_record, make_task
from tests.inspections.season import completeness, make_bundle, run, table
from venue.models import LogLine, Person

pytestmark = pytest.mark.django_db
HERE = ["larkspur"]
NOW = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
WHY = "Why was line 3 run until March?"
BECAUSE = "It was not; the winch was barred on the day."


@pytest.fixture
def house(season: House) -> House:
    return season


def client_of(person: Person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def ask(house: House, text: str = WHY, at: datetime = AT, **about: Any) -> AuditQuestion:
    return ask_question(venue=house.venue, about=about, text=text, by=house.ines, at=at)


def answer(house: House, question: AuditQuestion, text: str = BECAUSE, **said: Any) -> AuditAnswer:
    return answer_question(question=question, text=text, **{"by": house.tam, "at": AT} | said)


def body(did: str) -> dict[str, Any]:
    return json.loads(LogLine.objects.filter(did=did).latest("number").body)


def let_the_queue_work() -> None:
    for queued in OrmQ.objects.all():
        if "send_owed_mails" in str(queued.func()):
            jobs.send_owed_mails()
            queued.delete()


def places(house: House) -> dict[str, Any]:
    """One of each kind that can be asked about, with what its address says."""
    record = house.venue.records.get()
    found = record.findings.get()
    report = house.venue.reports.get()
    task = house.venue.tasks.earliest("pk")
    return {
        "record": (record, record.pk), "finding": (found, found.pk), "task": (task, task.pk),
        "report": (report, report.number),
    }  # fmt: skip


@pytest.mark.both_databases
@pytest.mark.parametrize("kind", ["record", "finding", "task", "report"])
def test_the_auditor_asks_from_the_page_of_a_thing_and_the_house_answers(
    house: House, kind: str
) -> None:
    thing, key = places(house)[kind]
    ines, where = client_of(house.ines), reverse(kind, args=["larkspur", key])
    address = f"{reverse('ask_question', args=HERE)}?{kind}={key}"
    assert address in ines.get(where).content.decode()
    asked = ines.post(address, {"question": WHY + "\r\nAnd who saw it?  "})
    question = AuditQuestion.objects.get()
    assert asked.url == reverse("audit_question", args=["larkspur", question.pk])
    assert (getattr(question, kind), question.text) == (thing, WHY + "\nAnd who saw it?")
    told = body("ask_question")
    assert (told["after"]["about"], told["by"][:7]) == (f"{kind} {key}", "person:")
    assert "not answered yet" in ines.get(where).content.decode()
    tam = client_of(house.tam)
    assert "Answer, as Tam Achterberg" in tam.get(asked.url).content.decode()
    tam.post(reverse("answer_question", args=["larkspur", question.pk]), {"answer": BECAUSE})
    shown = ines.get(where).content.decode()
    assert BECAUSE in shown
    assert "not answered yet" not in shown
    assert body("answer_question")["after"] == {"question": str(question.pk), "text": BECAUSE}
    assert check_log(house.venue).faults == []


def test_open_questions_are_counted_at_the_desk_and_for_whoever_answers(house: House) -> None:
    first, _ = ask(house), ask(house, "And the brake?")
    answer(house, first)
    ines = client_of(house.ines)
    assert (
        "Questions and answers (1 open)" in ines.get(reverse("audit", args=HERE)).content.decode()
    )
    listed = ines.get(reverse("audit_questions", args=HERE)).content.decode()
    assert "1 waits for an answer" in listed
    assert listed.index("And the brake?") < listed.index(WHY)
    for person, said in ((house.odile, True), (house.tam, True), (house.priya, False)):
        html = client_of(person).get(reverse("overview", args=HERE)).content.decode()
        assert ("1 question of an auditor waits" in html) == said


def test_who_may_ask_who_may_answer_and_who_may_neither(house: House) -> None:
    question = ask(house)
    page = reverse("audit_question", args=["larkspur", question.pk])
    to_ask = reverse("ask_question", args=HERE)
    to_answer = reverse("answer_question", args=["larkspur", question.pk])
    for person, statuses in (
        (house.odile, (200, 403, 302)), (house.ines, (200, 200, 403)),
        (house.priya, (403, 403, 403)), (house.stranger, (404, 404, 404)),
    ):  # fmt: skip
        client = client_of(person)
        sent = client.post(to_answer, {"answer": BECAUSE})
        found = (client.get(page).status_code, client.get(to_ask).status_code, sent.status_code)
        assert found == statuses, person
    assert AuditAnswer.objects.get().by == house.odile


@pytest.mark.parametrize("about", ["record=x", "report=99", "task=0", "finding=-1", "report=1e9"])
def test_nothing_is_asked_about_what_is_not_there(house: House, about: str) -> None:
    ines = client_of(house.ines)
    assert ines.get(f"{reverse('ask_question', args=HERE)}?{about}").status_code == 404


def test_words_are_needed_and_the_same_words_twice_are_one(house: House) -> None:
    ines, tam = client_of(house.ines), client_of(house.tam)
    to_ask = reverse("ask_question", args=HERE)
    assert "field-error" in ines.post(to_ask, {"question": "  "}).content.decode()
    for _ in range(2):
        ines.post(to_ask, {"question": WHY})
    question = AuditQuestion.objects.get()
    assert question.about == "the house"
    to_answer = reverse("answer_question", args=["larkspur", question.pk])
    assert tam.post(to_answer, {"answer": ""}).status_code == 422
    for _ in range(2):
        tam.post(to_answer, {"answer": BECAUSE})
    assert AuditAnswer.objects.count() == LogLine.objects.filter(did="answer_question").count() == 1
    ines.post(to_ask, {"question": WHY})  # asked again, now that there was an answer
    assert AuditQuestion.objects.count() == 2


def test_whoever_waits_for_many_answers_asks_no_more(house: House, monkeypatch: Any) -> None:
    monkeypatch.setattr("inspections.actions.audit_questions.MOST_OPEN", 2)
    first, _ = ask(house, "One?"), ask(house, "Two?")
    ines, to_ask = client_of(house.ines), reverse("ask_question", args=HERE)
    refused = ines.post(to_ask, {"question": "Three?"}).content.decode()
    assert "2 of your questions wait for an answer" in refused
    assert AuditQuestion.objects.count() == 2
    answer(house, first)
    assert ines.post(to_ask, {"question": "Three?"}).status_code == 302


@pytest.mark.both_databases
def test_neither_is_changed_or_removed_and_a_question_is_about_one_thing(house: House) -> None:
    answer(house, ask(house))
    for rows in (AuditQuestion.objects.all(), AuditAnswer.objects.all()):
        with pytest.raises(IntegrityError), transaction.atomic():
            rows.update(text="Something else")
        with pytest.raises(IntegrityError), transaction.atomic():
            rows._raw_delete(rows.db)
    found = places(house)
    with pytest.raises(IntegrityError), transaction.atomic():
        ask(house, "Both?", record=found["record"][0], task=found["task"][0])


@time_machine.travel(AT, tick=False)
def test_the_house_is_told_by_mail_when_asked_and_the_auditor_when_answered(
    house: House, settings: Any
) -> None:
    settings.LOFTBOOK_ADDRESS = "https://book.larkspur.example"
    question = ask(house)
    let_the_queue_work()
    answer(house, question)
    let_the_queue_work()
    to_house, to_auditor = mail.outbox
    assert (to_house.to, to_auditor.to) == ([house.odile.email], [house.ines.email])
    page = reverse("audit_question", args=["larkspur", question.pk])
    for letter, words in ((to_house, WHY), (to_auditor, BECAUSE)):
        assert f"https://book.larkspur.example{page}" in letter.body
        assert words in letter.body


@time_machine.travel(NOW, tick=False)
def test_whoever_came_by_a_link_asks_and_is_told_at_the_address_of_the_link_while_it_is_good(
    house: House,
) -> None:
    link, token = make_desk_link(
        venue=house.venue, name="Halloran and partners", address="desk@insurer.example",
        last_day=date(2026, 6, 14), by=house.odile, at=NOW,
    )  # fmt: skip
    guest = Client()
    guest.post(reverse("open_desk_link", args=[token]))
    guest.post(reverse("ask_question", args=HERE), {"question": WHY})
    question = AuditQuestion.objects.get()
    assert question.by == link.person
    answer(house, question, at=NOW)
    let_the_queue_work()
    letter = mail.outbox[-1]
    assert letter.to == ["desk@insurer.example"]
    assert "good until 14 June 2026" in letter.body
    revoke_desk_link(link=link, by=house.odile, at=NOW)
    answer(house, question, "And the rope was retired.", at=NOW)
    before = len(mail.outbox)
    let_the_queue_work()
    assert len(mail.outbox) == before


@time_machine.travel(NOW, tick=False)
def test_whoever_asks_for_a_bundle_at_the_desk_is_told_by_mail_when_it_is_ready(
    house: House,
) -> None:
    ines = client_of(house.ines)
    desk = ines.get(reverse("audit", args=HERE), {"start": "2026-02-01", "end": "2026-02-28"})
    address = f"{reverse('evidence', args=HERE)}?start=2026-02-01&amp;end=2026-02-28"
    assert address in desk.content.decode()
    form = ines.get(address.replace("&amp;", "&")).content.decode()
    assert 'value="2026-02-01"' in form
    assert 'value="2026-02-28"' in form
    job, _ = ask_for_evidence(
        venue=house.venue, start=date(2026, 2, 1), end=date(2026, 2, 2), by=house.ines, at=NOW
    )
    assert jobs.work_on(job.pk) == Job.State.DONE
    (letter,) = mail.outbox
    assert letter.to == [house.ines.email]
    assert reverse("evidence_job", args=["larkspur", job.pk]) in letter.body
    assert Job.objects.get(pk=job.pk).result["sha256"] in letter.body
    assert "8 June 2026 10:00" in letter.body  # seven days, by the clock of the house


def test_the_bundle_has_both_counted_and_its_scripts_hold_them_against_the_log(
    house: House, tmp_path: Path
) -> None:
    early = AT - timedelta(days=60)
    waiting, settled = ask(house, "Still open?", at=early), ask(house, "Long ago?", at=early)
    answer(house, settled, at=early)
    asked = ask(house, "=What of\nthe drum?", record=places(house)["record"][0])
    answer(house, asked, at=AT + timedelta(days=90))
    bundle = make_bundle(house, tmp_path)
    rows = table(bundle, "auditors_questions")
    assert [row["question"] for row in rows] == [str(waiting.pk), str(asked.pk)]
    assert [row["state"] for row in rows] == ["open", "answered"]
    assert rows[1]["about"] == f"record {asked.record_id}"
    assert [row["by"] for row in table(bundle, "answers_to_auditors")] == ["Tam Achterberg"]
    said = completeness(bundle)
    assert said["counts"]["auditors_questions"] == {
        "in this bundle": 2, "counted in these days": 2, "in the whole book": 3
    }  # fmt: skip
    assert said["by outcome"]["auditors_questions"] == {"open": 1, "answered": 1}
    for script in ("verify_complete.py", "verify_tables.py"):
        done = run(f"python3 -I {script}", bundle)
        assert done.returncode == 0, done.stdout + done.stderr
    _tampered(bundle, "auditors_questions", "the drum?", "the brake?", "another text than the log")
    _tampered(bundle, "answers_to_auditors", BECAUSE, "Yes.", "another text than the log")
    _tampered(bundle, "auditors_questions", ",open", ",answered", "another state than its answers")
    _row_left_out(bundle)


def _tampered(bundle: Path, name: str, old: str, new: str, words: str) -> None:
    path = bundle / "data" / f"{name}.csv"
    whole = path.read_bytes()
    assert old.encode() in whole
    path.write_bytes(whole.replace(old.encode(), new.encode()))
    done = run("python3 -I verify_tables.py", bundle)
    assert (done.returncode, words in done.stdout) == (1, True), done.stdout
    path.write_bytes(whole)


def _row_left_out(bundle: Path) -> None:
    path = bundle / "data" / "auditors_questions.csv"
    whole = path.read_text(encoding="utf-8-sig")
    path.write_text("\ufeff" + whole[: whole.index("'=What") - 100].rsplit("\n", 1)[0] + "\n")
    done = run("python3 -I verify_complete.py", bundle)
    assert done.returncode == 1
    assert "is in the log" in done.stdout
    assert "auditors_questions" in done.stdout


def test_the_list_asks_the_same_of_the_database_for_three_questions_and_for_nine(
    house: House,
) -> None:
    counts = []
    ines = client_of(house.ines)
    for number in range(9):
        record = make_record(
            house, answers=[], task=make_task(house, 20 + number, date(2026, 2, 9))
        )
        answer(house, ask(house, f"Why {number}?", record=record))
        if number in (2, 8):
            ines.get(reverse("audit_questions", args=HERE))
            with CaptureQueriesContext(jobs.transaction.get_connection()) as asked:
                ines.get(reverse("audit_questions", args=HERE))
            counts.append(len(asked))
    assert counts[0] == counts[1]
