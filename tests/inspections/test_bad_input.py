"""What bad input gets: a clear sentence, and nothing that was typed is lost."""

from __future__ import annotations

import http.client
import io
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Any
from urllib.parse import urlsplit

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from PIL import Image

from inspections.actions.generate_tasks import generate_tasks
from inspections.actions.open_finding import take_out_of_service
from inspections.actions.plans import apply_regime
from inspections.models import Draft, Finding, Order, Plan, Record, Remedy, Report, Task
from inspections.regime_files import regimes
from inspections.reports.words import MEANINGS
from tests.guards import unguarded
from tests.house import make_house
from venue.models import Booking, Competence, Equipment, KeptFile

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

V = "/v/larkspur/"
PROGRAM = b"MZ\x90\x00\x03\x00\x00\x00\x04\x00\x00\x00\xff\xff\x00\x00" + b"\x00" * 4096
SLIPS = ("9999-12-31", "0001-01-01", "2026-02-30", "0206-05-04", "soon")


@pytest.fixture
def house() -> Any:
    house, now = make_house(), timezone.now()
    house.plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=now.date(), last_done_on=None,
        by=house.people["manager"], at=now,
    )  # fmt: skip
    house.task = Task.objects.earliest("number")
    house.key = f"running_rope.{house.rope.pk}"
    return house


def client_of(house: Any, who: str) -> Client:
    client = Client()
    client.force_login(house.people[who])
    return client


def begun(house: Any, who: str) -> tuple[Client, str]:
    """A check of the rope, begun on the plain form."""
    client = client_of(house, who)
    return client, client.post(f"{V}tasks/{house.task.pk}/check/").url


def typed(house: Any, **changed: str) -> dict[str, str]:
    sound = {
        "dia_1_a": "0.26 in", "dia_1_b": "0.26 in", "instrument": "Caliper", "broken_lay": "0",
        "broken_strand_count": "0", "broken_valley": "0", "broken_end": "0", "looked": "yes",
    }  # fmt: skip
    said = {f"{house.key}:{name}": text for name, text in (sound | changed).items()}
    return said | {f"rope_identified.{house.rope.pk}:given": "yes"}


def words_of(answer: Any) -> str:
    return answer.content.decode()


def picture(size: tuple[int, int] = (60, 40), form: str = "JPEG") -> bytes:
    out = io.BytesIO()
    Image.new("L", size).save(out, form)
    return out.getvalue()


NOT_PHOTOGRAPHS = {
    "a renamed program": ("rope.jpg", PROGRAM, "is not a photograph this can read"),
    "half a photograph": ("rope.jpg", picture((900, 900))[:900], "is not a photograph"),
    "a drawing with script": ("rope.png", b"<svg onload='x()'/>", "is not a photograph"),
    "an animation": ("rope.gif", picture(form="GIF"), "Send a JPEG, PNG or WebP picture"),
    "a picture of 81 megapixels": ("rope.png", picture((9000, 9000), "PNG"), "too many pixels"),
    "26 MB": ("rope.jpg", b"\xff\xd8" + b"x" * 26_000_000, "is 26 MB; a photograph may have 25"),
    "nothing": ("rope.jpg", b"", "is not a photograph"),
}


@pytest.mark.parametrize("sent", NOT_PHOTOGRAPHS)
def test_what_is_no_photograph_is_said_and_the_answers_beside_it_are_kept(
    house: Any, sent: str
) -> None:
    name, content, words = NOT_PHOTOGRAPHS[sent]
    client, check = begun(house, "competent")
    file = SimpleUploadedFile(name, content, "image/jpeg")
    answer = client.post(check, typed(house) | {f"{house.key}:photo": file})
    assert answer.status_code == 422
    assert words in words_of(answer)
    assert not KeptFile.objects.exists()
    assert Draft.objects.get().answers[house.key]["dia_1_a"] == "0.26 in"


@pytest.mark.parametrize("name", ["new rope.jpg", "certificate.pdf", "setup.exe"])
def test_a_program_is_no_evidence_under_any_name(house: Any, name: str) -> None:
    by = house.people["stagehand"]
    finding = take_out_of_service(equipment=house.winch, why="Noise", by=by, at=timezone.now())
    client, file = client_of(house, "competent"), SimpleUploadedFile(name, PROGRAM)
    answer = client.post(
        f"{V}findings/{finding.pk}/remedy/", {"what": "New rope", "evidence": file}
    )
    assert answer.status_code == 422
    assert name in words_of(answer)
    assert "New rope" in words_of(answer)
    assert not Remedy.objects.exists()
    assert not KeptFile.objects.exists()


@pytest.mark.parametrize("name", ["register.csv", "register.xlsx"])
def test_a_program_is_no_register(house: Any, name: str) -> None:
    answer = client_of(house, "manager").post(
        f"{V}register/try/", {"file": SimpleUploadedFile(name, PROGRAM)}
    )
    assert answer.status_code == 422
    assert Equipment.objects.count() == 1


def test_a_register_in_another_encoding_is_refused_with_what_to_do(house: Any) -> None:
    text = "row,tag,place,kind,name\nequipment,W9,Bühne,drum_winch,Züge\n"
    client = client_of(house, "manager")
    for encoding in ("latin-1", "utf-16"):
        file = SimpleUploadedFile("house.csv", text.encode(encoding))
        answer = client.post(f"{V}register/try/", {"file": file})
        assert answer.status_code == 422
        assert "UTF-8" in words_of(answer), encoding
    assert Equipment.objects.count() == 1


def test_a_reading_a_hundred_times_off_is_asked_again_and_then_believed(house: Any) -> None:
    client, check = begun(house, "competent")
    far = {"dia_1_a": "26 in", "dia_1_b": "26 in"}
    asked = client.post(check, typed(house, **far))
    assert asked.status_code == 200
    assert "26 in is far from what was expected here" in words_of(asked)
    client.post(check + "submit/")
    assert not Record.objects.exists()
    sure = {"sure_dia_1_a": "yes", "sure_dia_1_b": "yes"}
    assert client.post(check, typed(house, **far, **sure)).url == check + "review/"
    client.post(check + "submit/")
    readings = Record.objects.get().answers.get(order=1).readings
    assert {row.quantity["typed"] for row in readings.all()} == {"26 in"}


def test_who_lapsed_yesterday_may_record_and_may_neither_sign_nor_return(house: Any) -> None:
    yesterday = timezone.now().date() - timedelta(days=1)
    competent = house.people["competent"]
    with unguarded():
        Competence.objects.filter(person=competent).update(expires_on=yesterday)
    client, check = begun(house, "competent")
    client.post(check, typed(house, broken_lay="6"))
    client.post(check + "submit/")
    record = Record.objects.get()
    assert not record.may_sign
    assert f"lapsed on {yesterday}" in record.by_competence
    assert Order.objects.get().what == "out_of_service"  # a bad rope bites whoever saw it
    assert "may not sign, so the task stays open" in words_of(
        client.get(f"{V}tasks/{house.task.pk}/")
    )
    assert Task.objects.get(pk=house.task.pk).state == Task.State.OPEN
    sign = {"records": [str(record.pk)], "meaning": MEANINGS[2]}
    assert f"lapsed on {yesterday}" in words_of(
        client.post(f"{V}records/{record.pk}/report/", sign)
    )
    assert not Report.objects.exists()
    _mended(house)
    returned = client.post(
        f"{V}orders/{Order.objects.get().pk}/return/", {"statement": "Seen, in order."}
    )
    assert returned.status_code == 422
    assert "You cannot return this" in words_of(returned)
    assert "Seen, in order." in words_of(returned)


def _mended(house: Any) -> None:
    photo = SimpleUploadedFile("rope.jpg", picture(), "image/jpeg")
    where = f"{V}findings/{Finding.objects.get().pk}/remedy/"
    client_of(house, "stagehand").post(where, {"what": "New rope", "evidence": photo})
    assert Remedy.objects.count() == 1


def test_two_people_who_do_the_same_task_leave_two_records_and_one_task_done(house: Any) -> None:
    both = [begun(house, who) for who in ("competent", "second")]
    for client, check in both:
        client.post(check, typed(house))
        assert client.post(check + "submit/").status_code == 302
        assert client.post(check + "submit/").status_code == 302  # and each of them taps twice
    assert Record.objects.count() == 2
    done = Task.objects.filter(plan=house.plan, state=Task.State.DONE)
    assert [task.number for task in done] == [1]
    assert Task.objects.filter(plan=house.plan, state=Task.State.OPEN).count() == 15


def test_a_second_tap_on_out_of_service_or_on_a_remedy_finds_what_the_first_one_did(
    house: Any,
) -> None:
    client = client_of(house, "competent")
    for _ in range(2):
        client.post(f"{V}equipment/{house.winch.pk}/out/", {"why": "Noise at the drum"})
    assert Finding.objects.count() == Order.objects.count() == 1
    where = f"{V}findings/{Finding.objects.get().pk}/remedy/"
    for _ in range(2):
        photo = SimpleUploadedFile("bearing.jpg", picture(), "image/jpeg")
        assert client.post(where, {"what": "Bearing changed", "evidence": photo}).status_code == 302
    assert Remedy.objects.count() == 1
    client.post(f"{V}equipment/{house.winch.pk}/out/", {"why": "Something else"})
    assert Finding.objects.count() == 2


def test_a_day_of_cure_in_the_year_9999_is_asked_again_and_nothing_is_lost(house: Any) -> None:
    client, check = begun(house, "competent")
    key = f"rope_identified.{house.rope.pk}"
    wrong = {f"{key}:given": "no", f"{key}:grade": "used_until_date"}
    client.post(check, typed(house) | wrong | {f"{key}:cured_by": "9999-12-31"})
    refused = client.post(check + "submit/", follow=True)
    assert "choose a day within a year" in words_of(refused)
    assert not Record.objects.exists()
    near = str(timezone.now().date() + timedelta(days=14))
    client.post(check, typed(house) | wrong | {f"{key}:cured_by": near})
    client.post(check + "submit/")
    assert str(Order.objects.get().finding.cured_by) == near


def forms_with_a_day(house: Any, day: str) -> Iterator[tuple[str, dict[str, str]]]:
    other = next(r for r in regimes().values() if "winch" in r.families and r.interval == "P1Y")
    member = house.people["competent"].memberships.get()
    plans, people = f"equipment/{house.winch.pk}/plans/", f"people/{member.pk}/competence/"
    card = {"level": "trained_user", "certificate": "Card", "issued_by": "College"}
    yield plans, {"regime": other.slug, "last_done_on": day}
    yield plans, {"regime": other.slug, "anchor": day}
    dark = {"what": "dark", "title": "Dark", "starts": f"{day}T08:00", "ends": f"{day}T09:00"}
    yield "bookings/add/", dark
    yield f"tasks/{house.task.pk}/change/", {"planned_on": day, "why": "The set was up"}
    yield people, card | {"valid_from": day}
    yield people, card | {"valid_from": "2026-01-01", "expires_on": day}
    yield "evidence/", {"start": day, "end": "2026-05-04"}


@pytest.mark.parametrize("day", SLIPS)
def test_a_day_nobody_can_mean_is_refused_by_every_form(house: Any, day: str) -> None:
    client = client_of(house, "manager")
    counts = (Plan, Booking, Competence, Task)
    before = [rows.objects.count() for rows in counts]
    sent_to = list(forms_with_a_day(house, day))
    for where, sent in sent_to:
        answer = client.post(V + where, sent)
        assert answer.status_code in (200, 422), (where, sent)
        assert "field-error" in words_of(answer), (where, sent)
    assert len(sent_to) == 7
    assert [rows.objects.count() for rows in counts] == before


def test_a_first_day_two_intervals_ahead_or_done_tomorrow_is_asked_about(house: Any) -> None:
    client, today = client_of(house, "manager"), timezone.now().date()
    other = next(r for r in regimes().values() if "winch" in r.families and r.interval == "P1Y")
    where = f"{V}equipment/{house.winch.pk}/plans/"
    ahead = {"regime": other.slug, "anchor": str(today + timedelta(days=800))}
    assert "at most one interval from today" in words_of(client.post(where, ahead))
    tomorrow = {"regime": other.slug, "last_done_on": str(today + timedelta(days=2))}
    assert "has not come yet" in words_of(client.post(where, tomorrow))
    assert Plan.objects.count() == 1
    fine = {"regime": other.slug, "anchor": str(today + timedelta(days=300))}
    assert client.post(where, fine).status_code == 302


def test_an_impossible_day_that_is_there_already_stops_no_other_plan(house: Any) -> None:
    Plan.objects.filter(pk=house.plan.pk).update(last_done_on=date(9999, 12, 31))
    other = next(r for r in regimes().values() if "winch" in r.families and r.interval == "P1Y")
    now = timezone.now()
    plan = apply_regime(
        equipment=house.winch, regime=other, anchor=now.date(), last_done_on=None, by=None, at=now
    )
    with unguarded():
        plan.tasks.all().delete()
    assert generate_tasks(venue=house.venue, by=None, at=now) == plan.tasks.count() == 2


def test_the_character_zero_is_kept_as_unreadable_and_stops_nothing(house: Any) -> None:
    client, check = begun(house, "competent")
    client.post(check, typed(house, instrument="Cali\x00per") | {"rem\x00ark:x": "\x00"})
    assert Draft.objects.get().answers[house.key]["instrument"] == "Cali\ufffdper"
    client.post(check + "submit/", {"remark": "a\x00b"})
    assert Record.objects.get().remark == "a\ufffdb"
    client.post(f"{V}equipment/{house.winch.pk}/out/", {"why": "No\x00ise"})
    assert Order.objects.get().why == "No\ufffdise"
    client.post(f"{V}tasks/{Task.objects.latest('number').pk}/cancel/", {"why": "\x00"})
    for page in ("equipment/?words=%00", "equipment/?kind=%00", "tasks/?show=%00"):
        assert client.get(V + page).status_code == 200, page
    assert client.get(V + "t/%00/").status_code == 404


@pytest.mark.parametrize("place", ["equipment", "tasks", "findings", "files", "reports", "parts"])
def test_a_number_no_database_holds_is_not_found(house: Any, place: str) -> None:
    assert client_of(house, "manager").get(f"{V}{place}/{'9' * 30}/").status_code == 404


@pytest.mark.django_db(transaction=True)
def test_a_photograph_of_200_mb_is_refused_in_words_and_the_answers_are_kept(
    house: Any, live_server: Any
) -> None:
    client, check = begun(house, "competent")
    fields = typed(house) | {"csrfmiddlewaretoken": "t" * 32}
    cookies = {"session": client.cookies["session"].value, "csrf": "t" * 32}
    status, words = send_large(live_server.url, check, fields, cookies, f"{house.key}:photo")
    assert status == 422
    assert "is 200 MB; a photograph may have 25 MB. Take it again smaller." in words
    assert Draft.objects.get().answers[house.key]["dia_1_a"] == "0.26 in"
    assert not KeptFile.objects.exists()


def send_large(
    address: str, where: str, fields: dict[str, str], cookies: dict[str, str], name: str
) -> tuple[int, str]:
    """A form with a file of 200 MB, sent a megabyte at a time as a phone's browser would."""
    part = '--edge\r\nContent-Disposition: form-data; name="{}"{}\r\n\r\n'
    head = "".join(part.format(key, "") + text + "\r\n" for key, text in fields.items())
    head += part.format(name, '; filename="rope.jpg"\r\nContent-Type: image/jpeg')
    end, block = b"\r\n--edge--\r\n", b"\xff" * 1_000_000
    line = http.client.HTTPConnection(urlsplit(address).netloc, timeout=60)
    line.putrequest("POST", where)
    line.putheader("Content-Type", "multipart/form-data; boundary=edge")
    line.putheader("Content-Length", str(len(head.encode()) + 200 * len(block) + len(end)))
    line.putheader("Cookie", "; ".join(f"{key}={text}" for key, text in cookies.items()))
    line.endheaders(head.encode())
    for _ in range(200):
        line.send(block)
    line.send(end)
    answer = line.getresponse()
    return answer.status, answer.read().decode()
