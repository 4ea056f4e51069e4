"""Files of a record go after its time: rows, hashes and the log stay."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from inspections.actions.dispose import (
    CannotDispose,
    dispose_of_record_files,
)
from inspections.actions.retention import lift_hold
from inspections.models import CheckFile, Disposal, Draft, Record
from inspections.queries.disposal import files_of_record, records_that_may_go
from inspections.queries.log_check import check_log
from inspections.queries.retention import kept_record
from tests.inspections.proof_house import (
    AT,
    DAY,
    House,
    answer_said,
    make_photograph,
    make_record,
)
from tests.inspections.season import completeness, make_bundle, run
from tests.inspections.test_retention import after_three_years, another_manager, follow, hold, house
from tests.inspections.test_spoken_and_drawn import OGG, drawing
from venue.actions.keep_file import keep_drawn_signature, keep_voice_note
from venue.file_store import path_of
from venue.models import EquipmentFile, KeptFile, LogLine, Person

__all__ = ["house"]  # the fixture


@pytest.fixture
def store(settings: Settings, tmp_path: Path) -> Path:
    settings.LOFTBOOK_FILES = tmp_path / "files"
    return tmp_path / "files"


def old_record(house: House, *photographs: KeptFile) -> Record:
    """A record with photographs, and the next of its kind a month later."""
    answer = answer_said("Is the rope sound?", "fit")
    answer["photographs"] = [each.sha256 for each in photographs]
    record = make_record(house, answers=[answer])
    make_record(house, answers=[], done_on=DAY + timedelta(days=30))
    return record


def dispose(house: House, record: Record, **changed: Any) -> int:
    said = {"why": "Its time is over.", "at": AT + timedelta(days=365 * 5)} | changed
    return dispose_of_record_files(record=record, by=house.odile, **said)


@pytest.mark.django_db(transaction=True)
def test_photographs_go_after_their_time_and_hash_record_and_log_stay(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    record = old_record(house, photo)
    follow(house)
    paths = {path_of(store, each) for each in (photo.sha256, photo.shown_sha256)}
    assert all(path.is_file() for path in paths)
    assert dispose(house, record) == 1
    assert not any(path.exists() for path in paths)
    told = json.loads(LogLine.objects.get(did="dispose_of_files").body)["after"]
    assert told["files"] == sorted({photo.sha256, photo.shown_sha256})
    assert told["kept_until"] == str(after_three_years(DAY))
    assert "Limitation Act" in told["rule"]
    assert check_log(house.venue).faults == []
    assert KeptFile.objects.get(pk=photo.pk).sha256 == photo.sha256
    assert Record.objects.get(pk=record.pk).body == record.body
    with pytest.raises(CannotDispose, match="no file that only it leads to"):
        dispose(house, record)
    client = Client()
    client.force_login(house.odile)
    assert client.get(reverse("kept_file", args=["larkspur", photo.pk])).status_code == 404
    assert photo.sha256[:12] in client.get(reverse("retention", args=["larkspur"])).content.decode()
    bundle = make_bundle(house, store.parent, DAY, DAY)
    missing = completeness(bundle)["files that could not be included"]
    assert {each["why"].split(",")[0] for each in missing} == {"disposed of on 2031-02-09"}
    for script in ("verify_log.py", "verify_complete.py", "verify_tables.py"):
        assert run(f"python3 -I {script}", bundle).returncode == 0
    said = bundle / "data" / "completeness.json"
    said.write_text(said.read_text().replace(photo.shown_sha256, "0" * 64))
    done = run("python3 -I verify_complete.py", bundle)
    assert "does not tell that it was disposed of" in done.stdout


@pytest.mark.django_db
def test_disposal_is_refused_in_words_before_the_day_under_hold_and_where_nothing_is_known(
    house: House, store: Path
) -> None:
    record = old_record(house, make_photograph(house, "line 3.jpg"))
    with pytest.raises(CannotDispose, match="No rule"):
        dispose(house, record)
    follow(house)
    with pytest.raises(CannotDispose, match="kept until 10 February 2029"):
        dispose(house, record, at=AT)
    with pytest.raises(CannotDispose, match="Say why"):
        dispose(house, record, why=" ")
    held = hold(house)
    with pytest.raises(CannotDispose, match="A hold"):
        dispose(house, record)
    lift_hold(hold=held, why="Settled", by=another_manager(house), at=AT)
    newest = make_record(house, answers=[], done_on=DAY + timedelta(days=60))
    with pytest.raises(CannotDispose, match="next record of the same kind"):
        dispose(house, newest)
    follow(house, "ca-on")
    with pytest.raises(CannotDispose, match="for ever"):
        dispose(house, record)
    client = Client()
    client.force_login(house.odile)
    where = reverse("dispose_record_files", args=["larkspur", record.pk])
    assert "kept for ever" in client.post(where, {"why": "Over"}).content.decode()
    assert not Disposal.objects.exists()
    assert not LogLine.objects.filter(did="dispose_of_files").exists()


@pytest.mark.django_db(transaction=True)
def test_a_photograph_that_something_else_shows_stays(house: House, store: Path) -> None:
    alone, shared = (
        make_photograph(house, "a.jpg", shade=40),
        make_photograph(house, "b.jpg", shade=90),
    )
    record = old_record(house, alone, shared)
    EquipmentFile.objects.create(equipment=house.winch, kept_file=shared, at=AT)
    follow(house)
    assert dispose(house, record) == 1
    assert path_of(store, shared.sha256).is_file()
    assert not path_of(store, alone.sha256).exists()


@pytest.mark.django_db
def test_the_page_says_what_goes_and_what_stays_or_why_nothing_goes(
    house: House, store: Path
) -> None:
    recent = old_record(house, make_photograph(house, "a.jpg", shade=40))
    photo = make_photograph(house, "b.jpg", shade=90)
    answers = [answer_said("Is it dry?", "fit", photographs=[photo.sha256])]
    old = make_record(house, answers=answers, done_on=date(2019, 1, 7))
    follow(house)
    client = Client()
    client.force_login(house.odile)

    def page(record: Record) -> str:
        answer = client.get(reverse("dispose_record_files", args=["larkspur", record.pk]))
        return " ".join(answer.content.decode().split())

    assert "They stay" in page(recent)
    assert "Dispose of them" not in page(recent)
    assert "Photograph, as sent and as shown" in page(old)
    until = kept_record(old).kept.until
    assert until
    assert f"had to be kept until {until:%-d %B %Y}" in page(old)
    assert "Copies in backups" in page(old)


def spoken_and_drawn(house: House, record: Record, by: Person | None = None) -> list[CheckFile]:
    by = by or house.tam
    note = keep_voice_note(venue=house.venue, content=OGG, name="note", by=by, at=AT)
    drawn = keep_drawn_signature(venue=house.venue, content=drawing(), by=by, at=AT)
    return [
        CheckFile.objects.create(
            check_id=record.pk, venue=house.venue, by=by, what=what, sha256=kept.sha256,
            kept_file=kept, received_at=AT,
        )
        for what, kept in (("voice", note), ("drawn", drawn))
    ]  # fmt: skip


@pytest.mark.django_db
def test_the_draft_that_became_the_record_keeps_no_photograph_and_one_under_way_does(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    record = old_record(house, photo)
    known = {"equipment": house.winch, "version": house.version, "by": house.tam, "started_at": AT}
    own = Draft.objects.create(id=record.pk, submitted_at=AT, **known)
    own.photos.create(question="rope", kept_file=photo)
    assert files_of_record(record) == [photo]
    Draft.objects.create(**known).photos.create(question="rope", kept_file=photo)
    assert files_of_record(record) == []


@pytest.mark.django_db
def test_a_record_that_shares_each_photograph_with_another_is_not_listed_as_one_that_may_go(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    alone = old_record(house, make_photograph(house, "a.jpg", shade=40), photo)
    old_record(house, photo)
    follow(house)
    later = (AT + timedelta(days=365 * 5)).date()
    assert records_that_may_go(house.venue, later) == [alone]


@pytest.mark.django_db(transaction=True)
def test_voice_notes_and_the_drawn_signature_go_with_the_photographs_and_the_record_says_so(
    house: House, store: Path
) -> None:
    record = old_record(house)
    files = [row.kept_file for row in spoken_and_drawn(house, record)]
    follow(house)
    later = (AT + timedelta(days=365 * 5)).date()
    assert records_that_may_go(house.venue, later) == [record]
    assert dispose(house, record) == 2
    assert not any(path_of(store, each.sha256).exists() for each in files)
    assert records_that_may_go(house.venue, later) == []
    assert CheckFile.objects.count() == 2
    client = Client()
    client.force_login(house.odile)
    html = client.get(reverse("record", args=["larkspur", record.pk])).content.decode()
    assert html.count("Disposed of after its time") == 2
    assert "<audio" not in html
    bundle = make_bundle(house, store.parent, DAY, DAY)
    missing = completeness(bundle)["files that could not be included"]
    assert len(missing) == 2
    assert all(each["why"].startswith("disposed of on 2031-02-09") for each in missing)
    for script in ("verify_complete.py", "verify_tables.py"):
        done = run(f"python3 -I {script}", bundle)
        assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.django_db
def test_what_somebody_else_sent_under_the_number_of_a_check_is_not_of_its_record(
    house: House, store: Path
) -> None:
    record = old_record(house)
    spoken_and_drawn(house, record, by=house.priya)
    assert files_of_record(record) == []
