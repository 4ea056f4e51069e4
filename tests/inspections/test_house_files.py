"""Every file of the house on one page: what it is, what it belongs to, how large it is, who and when."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta
from html import unescape
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.open_finding import take_out_of_service
from inspections.models import (
    CheckFile,
    Countersignature,
    Disposal,
    Remedy,
    RemedyFile,
    Report,
    SentPhotograph,
)
from inspections.queries import house_files
from tests.house import make_house
from tests.inspections.kinds_house import measure
from venue.models import EquipmentFile, KeptFile, PartFile

pytestmark = [pytest.mark.django_db, pytest.mark.both_databases]

AT = datetime(2026, 2, 10, 9, 30, tzinfo=UTC)
PAGE = "/v/larkspur/files/"


@pytest.fixture
def house() -> Any:
    return make_house()


def kept(house: Any, name: str, what: str = "photograph", **more: Any) -> KeptFile:
    digest = uuid.uuid4().hex * 2
    known = {
        "venue": house.venue, "what": what, "name": name, "media_type": "image/jpeg", "size": 1200,
        "sha256": digest, "shown_sha256": digest, "shown_media_type": "image/jpeg",
        "by": house.people["competent"], "at": AT,
    }  # fmt: skip
    return KeptFile.objects.create(**known | more)


def of_the_winch(house: Any, name: str, **more: Any) -> KeptFile:
    file = kept(house, name, **more)
    EquipmentFile.objects.create(equipment=house.winch, kept_file=file, caption="", at=AT)
    return file


def page(house: Any, who: str = "auditor", **asked: str) -> str:
    client = Client()
    client.force_login(house.people[who])
    answer = client.get(PAGE, asked)
    assert answer.status_code == 200
    return unescape(answer.content.decode())


def row_of(text: str, name: str) -> str:
    (row,) = [each for each in text.split("<tr")[1:] if name in each]
    return row


def make_report(
    house: Any, file: KeptFile, number: int = 7, title: str = "Checks of the day"
) -> Report:
    person = house.people["competent"]
    return Report.objects.create(
        venue=house.venue, number=number, what="day", title=title, examined_on=AT.date(),
        signer=person, signer_name=person.name, signer_role="Competent person", meaning="Examined",
        at=AT, record_json="{}", record_sha256="0" * 64, kept_file=file,
    )  # fmt: skip


def test_each_file_leads_to_what_it_belongs_to(house: Any) -> None:
    by, slug = house.people["competent"], house.venue.slug
    of_the_winch(house, "plate.jpg")
    PartFile.objects.create(
        part=house.rope, kept_file=kept(house, "certificate.pdf", "document"), at=AT,
        caption="Certificate of the rope",
    )  # fmt: skip
    finding = take_out_of_service(equipment=house.winch, why="It drags.", by=by, at=AT)
    remedy = Remedy.objects.create(finding=finding, what="New linings", by=by, at=AT)
    RemedyFile.objects.create(remedy=remedy, kept_file=kept(house, "linings.jpg"))
    report = make_report(house, kept(house, "report-7.pdf", "report", size=2_500_000))
    Countersignature.objects.create(
        report=report, number=1, signer=by, signer_name="x", signer_role="x", meaning="x", at=AT,
        kept_file=kept(house, "report-7-countersigned.pdf", "report"),
    )  # fmt: skip
    record = measure(house, "0.2550 in", "0", AT)
    CheckFile.objects.create(
        check_id=record.pk, venue=house.venue, by=by, what="voice", sha256="1" * 64,
        kept_file=kept(house, "note.webm", "voice_note"), received_at=AT,
    )  # fmt: skip
    SentPhotograph.objects.create(
        check_id=uuid.uuid4(), venue=house.venue, by=by, question="brake", sha256="2" * 64,
        kept_file=kept(house, "under-way.jpg"), received_at=AT,
    )  # fmt: skip
    text = page(house)
    for name, words, url in (
        ("plate.jpg", "W1 Winch W1", reverse("equipment", args=[slug, house.winch.pk])),
        ("certificate.pdf", "Certificate of the rope", reverse("part", args=[slug, house.rope.pk])),
        ("linings.jpg", "It drags.", reverse("finding", args=[slug, finding.pk])),
        ("report-7.pdf", "7 Checks of the day, 10 Feb 2026", reverse("report", args=[slug, 7])),
        ("report-7-countersigned.pdf", "7 Checks", reverse("report", args=[slug, 7])),
        ("note.webm", record.version.title, reverse("record", args=[slug, record.pk])),
    ):  # fmt: skip
        row = row_of(text, f">{name}<")
        assert words in row, name
        assert f'href="{url}"' in row, name
        assert by.name in row
    assert "2.4\xa0MB" in row_of(text, ">report-7.pdf<")
    assert "A check that is not in the book yet" in row_of(text, ">under-way.jpg<")
    assert "7 files" in text


def test_a_report_whose_title_tells_its_day_does_not_tell_it_twice(house: Any) -> None:
    title = "Inspection day 10 February 2026, 4 checks"
    make_report(house, kept(house, "day.pdf", "report"), title=title)
    assert "7 Inspection day 10 February 2026, 4 checks</a>" in row_of(page(house), ">day.pdf<")


def test_a_file_of_several_things_leads_to_each(house: Any) -> None:
    file = of_the_winch(house, "both.jpg")
    PartFile.objects.create(part=house.rope, kept_file=file, at=AT, caption="The rope, too")
    row = row_of(page(house), ">both.jpg<")
    for name, pk in (("equipment", house.winch.pk), ("part", house.rope.pk)):
        assert f'href="{reverse(name, args=[house.venue.slug, pk])}"' in row


def test_what_was_disposed_of_stays_known_and_is_not_offered(house: Any) -> None:
    report = make_report(house, kept(house, "old.pdf", "report"))
    Disposal.objects.create(
        venue=house.venue, report=report, kept_file=report.kept_file, by=house.people["manager"],
        at=AT, kept_until=AT.date(), rule="Ten years", why="The time is over.",
    )  # fmt: skip
    row = row_of(page(house), "old.pdf")
    assert "Disposed of after its time" in row
    assert reverse("kept_file", args=[house.venue.slug, report.kept_file_id]) not in row


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({"kind": "document"}, {"manual.pdf"}),
        ({"piece": "W1 Winch W1"}, {"plate.jpg"}),
        ({"since": "2026-02-11"}, {"manual.pdf"}),
        ({"until": "2026-02-10"}, {"plate.jpg", "loose.jpg"}),
        ({"words": "winch"}, {"plate.jpg"}),
        ({"by": "Nobody"}, set()),
    ],
)
def test_it_is_filtered_by_kind_piece_day_person_and_words(
    house: Any, asked: dict[str, str], found: set[str]
) -> None:
    of_the_winch(house, "plate.jpg")
    kept(house, "loose.jpg")
    kept(house, "manual.pdf", "document", at=AT + timedelta(days=1))
    text = page(house, **asked)
    names = ("plate.jpg", "loose.jpg", "manual.pdf")
    assert {name for name in names if f">{name}<" in text} == found
    assert "Nothing leads to it" in page(house)


@pytest.mark.parametrize("who", ["manager", "competent", "stagehand", "examiner", "auditor"])
def test_whoever_sees_the_pages_sees_the_files(house: Any, who: str) -> None:
    of_the_winch(house, "plate.jpg")
    assert ">plate.jpg<" in page(house, who)


def test_a_stranger_and_another_house_see_none(house: Any) -> None:
    of_the_winch(house, "plate.jpg")
    client = Client()
    assert client.get(PAGE).status_code == 302
    client.force_login(house.people["other manager"])
    assert client.get(PAGE).status_code == 404
    assert "plate.jpg" not in client.get("/v/tern-studio/files/").content.decode()


def test_nine_files_cost_as_many_questions_as_three(house: Any) -> None:
    def asked() -> int:
        client = Client()
        client.force_login(house.people["auditor"])
        client.get(PAGE)
        with CaptureQueriesContext(connection) as found:
            client.get(PAGE)
        return len(found)

    counts = []
    for last in (3, 9):
        for number in range(KeptFile.objects.count(), last):
            file = of_the_winch(house, f"{number}.jpg", at=AT + timedelta(hours=number))
            PartFile.objects.create(part=house.rope, kept_file=file, at=AT)
            make_report(house, kept(house, f"{number}.pdf", "report"), number + 1)
        counts.append(asked())
    assert counts[0] == counts[1]
    assert counts[0] <= 25


def test_a_long_list_is_read_in_stretches_to_its_end(house: Any, monkeypatch: Any) -> None:
    monkeypatch.setattr(house_files, "FILES_AT_ONCE", 2)
    for number in range(5):
        of_the_winch(house, f"{number}.jpg", at=AT + timedelta(hours=number))
    seen, past, turns = [], "", 0
    while turns == 0 or past:
        read = house_files.house_files(house.venue, house.people["auditor"], past)
        seen += [row.kept.name for row in read.rows]
        assert all(row.uses for row in read.rows)
        past, turns = read.more, turns + 1
    assert seen == ["4.jpg", "3.jpg", "2.jpg", "1.jpg", "0.jpg"]
    assert turns == 3
