"""Voice notes and drawn signatures: kept once, as sent, in the right name, and never executed."""

from __future__ import annotations

import io
import json
from datetime import timedelta
from hashlib import sha256
from pathlib import Path
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone
from PIL import Image

from inspections.actions.fill_check import start_task_check
from inspections.models import CheckFile, Draft, Record
from inspections.phone_message import FLAG_WORDS
from inspections.queries import evidence
from inspections.queries.evidence import Span
from inspections.queries.report_content import report_content
from inspections.reports.document import document_of
from tests.inspections.outside_tools import said_by, tool
from tests.inspections.test_messages_from_phones import (
    answers,
    house,
    message,
    phone_of,
    photograph,
    put,
    send_photograph,
)
from venue.file_store import path_of
from venue.models import KeptFile, LogLine
from venue.voice_notes import NotAVoiceNote, media_type_of_voice

__all__ = ["house"]  # the fixture
pytestmark = pytest.mark.django_db

WEBM = b"\x1a\x45\xdf\xa3\x9f\x42\x82\x84webm" + b"\x00" * 40 + b"A_OPUS" + b"sound" * 30
OGG = b"OggS\x00\x02" + b"\x00" * 22 + b"OpusHead" + b"sound" * 30
MP4 = b"\x00\x00\x00\x1cftypM4A \x00\x00\x00\x00" + b"hdlr" + b"\x00" * 8 + b"soun" + b"\x00" * 30
FILM = MP4 + b"hdlr" + b"\x00" * 8 + b"vide"
KEY = "running_rope."


def drawing(size: tuple[int, int] = (600, 200)) -> bytes:
    out = io.BytesIO()
    picture = Image.new("RGB", size, "white")
    picture.paste((0, 0, 0), (10, 90, 400, 96))
    picture.save(out, "PNG")
    return out.getvalue()


def send(client: Client, pk: UUID, what: str, content: bytes, question: str = "") -> Any:
    digest = sha256(content).hexdigest()
    address = f"/v/larkspur/sync/checks/{pk}/along/{what}/{digest}/?question={question}"
    return client.put(address, content, content_type="audio/webm")


def announced(what: str, content: bytes, question: str = "") -> dict[str, Any]:
    return {"what": what, "question": question, "sha256": sha256(content).hexdigest(), "seconds": 4}


def record_page(client: Client, pk: UUID) -> str:
    return client.get(f"/v/larkspur/records/{pk}/").content.decode()


@pytest.mark.parametrize(
    ("content", "media_type"), [(WEBM, "audio/webm"), (OGG, "audio/ogg"), (MP4, "audio/mp4")]
)
def test_sound_is_told_by_its_bytes(content: bytes, media_type: str) -> None:
    assert media_type_of_voice(content, "a.exe") == media_type


@pytest.mark.parametrize(
    "content",
    [b"", b"MZ program", b"<html><script>", b"%PDF-1.7", FILM, WEBM[:40], OGG[:28],
     WEBM.replace(b"A_OPUS", b"V_VP8\x00"), WEBM.replace(b"A_OPUS", b"A_OPUSV_VP9"), MP4[:20],
     b"RIFF....WAVE", b"x" + WEBM],
)  # fmt: skip
def test_what_is_no_sound_or_has_a_picture_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(NotAVoiceNote, match="Send sound"):
        media_type_of_voice(content, "a.webm")


def test_a_voice_note_comes_before_its_check_or_after_and_is_kept_once(house: Any) -> None:
    pk, phone, question = uuid4(), phone_of(house, "competent"), f"{KEY}{house.rope.pk}"
    said = message(house, along=[announced("voice", WEBM, question), announced("voice", OGG)])
    assert send(phone, pk, "voice", WEBM, question).status_code == 200
    assert put(phone, pk, said).json()["stored"]
    assert FLAG_WORDS["voice_to_come"] in record_page(phone, pk)
    assert [send(phone, pk, "voice", OGG).status_code for _ in range(2)] == [200, 200]
    assert CheckFile.objects.filter(check_id=pk).count() == 2
    assert LogLine.objects.filter(did="keep_voice_note").count() == 2
    page = record_page(phone, pk)
    assert FLAG_WORDS["voice_to_come"] not in page
    assert page.count("<audio") == 2
    along = json.loads(Record.objects.get(pk=pk).body)["along"]
    assert [each["sha256"] for each in along] == [sha256(each).hexdigest() for each in (WEBM, OGG)]
    assert along[0]["question"] == question
    assert along[0]["asked"] in page.replace("&#x27;", "'")
    assert along[1]["asked"] == ""


def test_the_sound_is_served_as_it_came_in_ranges_and_as_nothing_else(house: Any) -> None:
    phone = phone_of(house, "competent")
    send(phone, uuid4(), "voice", OGG)
    kept = KeptFile.objects.get(what="voice_note")
    assert path_of(Path(settings.LOFTBOOK_FILES), kept.sha256).read_bytes() == OGG
    address = f"/v/larkspur/files/{kept.pk}/"
    whole = phone.get(address)
    assert (whole.status_code, whole.content) == (200, OGG)
    assert whole["Content-Type"] == "audio/ogg"
    assert whole["X-Content-Type-Options"] == "nosniff"
    assert whole["Content-Disposition"] == f'attachment; filename="{kept.sha256[:12]}.ogg"'
    part = phone.get(address, headers={"range": "bytes=0-3"})
    assert (part.status_code, part.content) == (206, b"OggS")
    assert part["Content-Range"] == f"bytes 0-3/{len(OGG)}"


def test_only_the_pages_that_play_sound_may(house: Any) -> None:
    pk, phone = uuid4(), phone_of(house, "competent")
    put(phone, pk, message(house))
    policies = {
        address: phone.get(address)["Content-Security-Policy"]
        for address in (f"/v/larkspur/records/{pk}/", f"/v/larkspur/kept/{house.task.pk}/", "/v/larkspur/round/")
    }  # fmt: skip
    found = [policy.partition("media-src ")[2].partition(";")[0] for policy in policies.values()]
    assert found == ["'self'", "blob:", ""]


@pytest.mark.parametrize(
    ("what", "content", "status"),
    [
        ("voice", b"MZ program", 422),
        ("voice", drawing(), 422),
        ("voice", WEBM + b"\x00" * 5_000_000, 413),
        ("drawn", WEBM, 422),
        ("drawn", drawing((1300, 200)), 422),
        ("drawn", drawing() + b"\x00" * 200_000, 422),
        ("program", b"MZ", 422),
    ],
)
def test_what_is_bad_is_refused_in_words_and_nothing_is_kept(
    house: Any, what: str, content: bytes, status: int
) -> None:
    answer = send(phone_of(house, "competent"), uuid4(), what, content)
    assert answer.status_code == status
    assert answer.json()["words"]
    assert not CheckFile.objects.exists()
    assert not KeptFile.objects.exists()


def test_what_was_damaged_on_its_way_is_asked_for_again(house: Any) -> None:
    address = f"/v/larkspur/sync/checks/{uuid4()}/along/voice/{'0' * 64}/"
    answer = phone_of(house, "competent").put(address, WEBM, content_type="audio/webm")
    assert answer.status_code == 400
    assert "damaged" in answer.json()["words"]


def test_another_person_adds_nothing_to_a_check(house: Any) -> None:
    pk = uuid4()
    put(phone_of(house, "competent"), pk, message(house))
    for what, content in (("voice", WEBM), ("drawn", drawing())):
        answer = send(phone_of(house, "stagehand"), pk, what, content)
        assert answer.status_code == 403
        assert "another person" in answer.json()["words"]
    assert not CheckFile.objects.exists()
    # Come before the check, and then the check is another person's: it is not shown there.
    other = uuid4()
    assert send(phone_of(house, "stagehand"), other, "voice", WEBM).status_code == 200
    put(phone_of(house, "competent"), other, message(house, task=None))
    assert "<audio" not in record_page(phone_of(house, "competent"), other)


def test_a_record_says_what_came_for_it_without_being_named(house: Any) -> None:
    pk, phone = uuid4(), phone_of(house, "competent")
    put(phone, pk, message(house))
    send(phone, pk, "voice", WEBM)
    assert "the record does not name it" in record_page(phone, pk)


@pytest.mark.parametrize("along", ["none", [1], [{"what": "voice"}], {"a": 1}])
def test_an_announcement_nobody_can_read_is_kept_aside_with_its_check(
    house: Any, along: Any
) -> None:
    answer = put(phone_of(house, "competent"), uuid4(), message(house, along=along))
    assert answer.status_code == 422
    assert answer.json()["kept_aside"]


def test_the_report_says_where_a_voice_note_is_and_shows_the_drawn_signature(
    house: Any, tmp_path: Path
) -> None:
    pk, phone, question = uuid4(), phone_of(house, "competent"), f"{KEY}{house.rope.pk}"
    picture = photograph("red")
    pictures = [{"question": question, "sha256": sha256(picture).hexdigest()}]
    along = [announced("voice", WEBM, question), announced("drawn", drawing())]
    put(phone, pk, message(house, along=along, photographs=pictures))
    send(phone, pk, "voice", WEBM, question)
    send(phone, pk, "drawn", drawing())
    send_photograph(phone, pk, question, picture)
    record = Record.objects.get(pk=pk)
    report = report_content(house.venue, [record], timezone.now())
    sheet = report.sheets[0]
    assert [note.sha256 for note in sheet.voice_notes] == [sha256(WEBM).hexdigest()]
    assert sheet.drawn_signature
    assert sheet.drawn_signature.original_sha256 == sha256(drawing()).hexdigest()
    # A photograph that came after its check is in the report, too.
    shown = [photo for answer in sheet.answers for photo in answer.photographs]
    assert [photo.original_sha256 for photo in shown] == [sha256(picture).hexdigest()]
    assert all(photo.sha256 for photo in shown)
    pdf = tmp_path / "report.pdf"
    pdf.write_bytes(document_of(report, "A4", timezone.now()).pdf)
    text = " ".join(said_by(tool("pdftotext", "poppler-utils"), "-layout", pdf, "-").split())
    assert "in the folder voice-notes" in text
    assert "It proves less than the sign-in" in text


def test_the_bundle_of_its_days_holds_them_and_another_does_not(house: Any) -> None:
    pk, phone = uuid4(), phone_of(house, "competent")
    put(phone, pk, message(house))
    send(phone, pk, "voice", WEBM)
    send(phone, uuid4(), "voice", OGG)  # of a check that never came
    day = Record.objects.get(pk=pk).done_on
    span = Span(house.venue, day, day)
    assert [row.sha256 for row in evidence.check_files(span)] == [sha256(WEBM).hexdigest()]
    later = Span(house.venue, day + timedelta(days=1), day + timedelta(days=1))
    assert not evidence.check_files(later).exists()
    name = "voice_notes_and_drawn_signatures"
    assert evidence.counts_in_all(house.venue)[name] == 2
    assert evidence.counts_in_all(house.venue)["photographs_and_documents"] == 0


def test_without_script_a_sound_file_goes_with_a_question_and_with_the_whole_check(
    house: Any,
) -> None:
    draft = start_task_check(task=house.task, by=house.people["competent"], at=timezone.now())
    client, key = phone_of(house, "competent"), f"{KEY}{house.rope.pk}"
    typed = {
        f"{question}:{name}": text
        for question, fields in answers(house).items()
        for name, text in fields.items()
    }
    spoken = SimpleUploadedFile("note.webm", WEBM, "text/html")
    address = f"/v/larkspur/checks/{draft.pk}/"
    bad = client.post(address, typed | {f"{key}:voice": SimpleUploadedFile("x.webm", b"MZ")})
    assert bad.status_code == 422
    assert "Send sound as WebM, Ogg or MP4" in bad.content.decode()
    client.post(address, typed | {f"{key}:voice": spoken})
    assert "Kept: voice note" in client.get(address).content.decode()
    submit = f"{address}submit/"
    refused = client.post(submit, {"remark": "Dark.", ":voice": SimpleUploadedFile("x.ogg", b"MZ")})
    assert refused["Location"].endswith("/review/")
    assert Draft.objects.get(pk=draft.pk).remark == "Dark."
    client.post(submit, {"remark": "Dark.", ":voice": SimpleUploadedFile("all.ogg", OGG)})
    named = json.loads(Record.objects.get(pk=draft.pk).body)["along"]
    assert [(each["question"], each["sha256"]) for each in named] == [
        (key, sha256(WEBM).hexdigest()), ("", sha256(OGG).hexdigest())
    ]  # fmt: skip
