"""Bytes stay while anything needs them: also what was disposed of once and sent again."""

from __future__ import annotations

import os
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction

from inspections.actions.remove_bytes import remove_disposed_bytes
from inspections.models import AnswerPhoto, Record
from inspections.queries.bytes_needed import bytes_nobody_needs
from inspections.queries.evidence import disposed_words
from tests.inspections.proof_house import AT, DAY, House, answer_said, make_photograph, make_record
from tests.inspections.test_disposal import dispose, old_record, store
from tests.inspections.test_retention import follow, hold, house
from venue.file_store import keep_bytes, path_of
from venue.models import EquipmentFile, KeptFile, Venue

__all__ = ["house", "store"]  # the fixtures
FIRST = AT + timedelta(days=365 * 5)
LATER = FIRST + timedelta(days=30)


def sent_again(house: House) -> tuple[KeptFile, Record]:
    """A photograph that was disposed of, and again in a record made after that."""
    photo = make_photograph(house, "photograph.jpg")
    record = old_record(house, photo)
    follow(house)
    assert dispose(house, record, at=FIRST) == 1
    again = make_photograph(house, "photograph.jpg")
    answer = answer_said("Is the rope sound?", "fit", photographs=[again.sha256])
    newest = make_record(house, answers=[answer], done_on=LATER.date(), at=LATER)
    return again, newest


def old_record_with(house: House, kept: KeptFile, **fields: Any) -> Record:
    """With that very row, of several with the same bytes."""
    record = make_record(house, answers=[answer_said("Is the rope sound?", "fit")], **fields)
    AnswerPhoto.objects.create(answer=record.answers.get(), kept_file=kept)
    make_record(house, answers=[], done_on=DAY + timedelta(days=30), **fields)
    return record


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("held", [False, True])
def test_a_file_sent_again_after_its_disposal_keeps_its_bytes_when_a_twin_is_disposed_of(
    house: House, store: Path, held: bool
) -> None:
    again, _ = sent_again(house)
    paths = [path_of(store, each) for each in (again.sha256, again.shown_sha256)]
    twin = make_photograph(house, "line 3.jpg")
    other = house.venue.equipment.create(
        place=house.winch.place, tag="CW-02", name="Other", kind="multi_line_winch",
        kind_hash="0" * 64,
    )  # fmt: skip
    old = old_record_with(house, twin, equipment=other)
    if held:
        hold(house, equipment=house.winch)
    assert twin.pk != again.pk
    assert dispose(house, old, at=LATER) == 1
    assert all(path.is_file() for path in paths)


@pytest.mark.django_db(transaction=True)
def test_a_file_disposed_of_and_never_sent_again_holds_back_no_twin(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "a.jpg")
    first = old_record(house, photo)
    second = old_record_with(house, make_photograph(house, "b.jpg"))
    follow(house)
    assert dispose(house, first) == 1
    assert path_of(store, photo.sha256).is_file()  # b.jpg is the same
    assert dispose(house, second) == 1
    assert not path_of(store, photo.sha256).exists()


@pytest.mark.django_db
def test_the_same_file_hung_anew_on_what_it_was_disposed_of_with_is_needed_again(
    house: House, store: Path
) -> None:
    again, _ = sent_again(house)
    alone = make_photograph(house, "alone.jpg", shade=40)
    record = old_record(house, alone)
    assert dispose(house, record) == 1
    assert bytes_nobody_needs({alone.sha256, again.sha256}) == {alone.sha256}
    EquipmentFile.objects.create(equipment=house.winch, kept_file=alone, at=LATER)
    assert bytes_nobody_needs({alone.sha256}) == set()


@pytest.mark.django_db(transaction=True)
def test_what_is_kept_between_the_rows_of_a_disposal_and_the_removal_of_its_bytes_stays(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    record = old_record(house, photo)
    follow(house)
    with transaction.atomic():
        transaction.on_commit(lambda: make_photograph(house, "the same.jpg") and None)
        assert dispose(house, record) == 1
    assert KeptFile.objects.filter(sha256=photo.sha256).count() == 2
    assert path_of(store, photo.sha256).is_file()


@pytest.mark.django_db(transaction=True)
def test_bytes_that_are_brought_again_before_their_row_is_there_outlive_a_disposal_meanwhile(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    record = old_record(house, photo)
    follow(house)
    path = path_of(store, photo.sha256)
    os.utime(path, (AT.timestamp(), AT.timestamp()))
    keep_bytes(store, path.read_bytes())  # somebody sends it, and its row comes a moment later
    assert path.stat().st_mtime > AT.timestamp(), "the file says so"
    os.utime(path, (LATER.timestamp(), LATER.timestamp()))
    assert dispose(house, record, at=LATER + timedelta(minutes=2)) == 1
    assert path.is_file()
    assert not path_of(store, photo.shown_sha256).exists(), "its other bytes nobody brought"
    assert remove_disposed_bytes(at=LATER + timedelta(minutes=50)) == 0
    assert remove_disposed_bytes(at=LATER + timedelta(minutes=61)) == 1, "nobody came for them"
    assert not path.exists()


@pytest.mark.django_db(transaction=True)
def test_what_a_killed_process_did_not_remove_is_removed_later_and_what_was_hung_up_stays(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    record = old_record(house, photo)
    follow(house)
    content = path_of(store, photo.sha256).read_bytes()
    assert dispose(house, record, at=LATER) == 1
    keep_bytes(store, content)
    EquipmentFile.objects.create(equipment=house.winch, kept_file=photo, at=LATER)
    assert remove_disposed_bytes(at=LATER + timedelta(days=2)) == 0
    EquipmentFile.objects.all().delete()
    path = path_of(store, photo.sha256)
    path.replace(
        path.with_suffix(".going")
    )  # as a process that is killed while it removes leaves it
    assert remove_disposed_bytes(at=LATER + timedelta(days=2)) == 1
    assert list(path.parent.glob(f"{photo.sha256}*")) == []


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("brought_anew", [False, True])
def test_what_a_killed_process_put_aside_comes_back_where_it_is_needed(
    house: House, store: Path, brought_anew: bool
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    record = old_record(house, photo)
    follow(house)
    path = path_of(store, photo.sha256)
    content = path.read_bytes()
    assert dispose(house, record, at=LATER) == 1
    keep_bytes(store, content)
    path.replace(path.with_suffix(".going"))
    EquipmentFile.objects.create(equipment=house.winch, kept_file=photo, at=LATER)
    if brought_anew:
        keep_bytes(store, content)
    assert remove_disposed_bytes(at=LATER + timedelta(minutes=5)) == 0
    assert list(path.parent.glob(f"{photo.sha256}*")) == [path]
    assert path.read_bytes() == content


@pytest.mark.django_db(transaction=True)
def test_bytes_left_by_a_process_that_was_off_for_weeks_go_at_night(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    record = old_record(house, photo)
    follow(house)
    path = path_of(store, photo.sha256)
    content = path.read_bytes()
    assert dispose(house, record, at=LATER) == 1
    keep_bytes(store, content)
    os.utime(path, (LATER.timestamp(), LATER.timestamp()))
    day = (LATER + timedelta(days=20)).replace(hour=12, minute=4)
    assert remove_disposed_bytes(at=day) == 0
    assert remove_disposed_bytes(at=day.replace(hour=3)) == 1
    assert not path.exists()


@pytest.mark.django_db
def test_a_bundle_tells_only_of_disposals_of_its_own_house_and_of_none_where_a_twin_is_kept(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "line 3.jpg")
    record = old_record(house, photo)
    follow(house)
    assert dispose(house, record) == 1
    studio = Venue.objects.get(slug="tern-studio")
    assert disposed_words(house.venue, photo.sha256).startswith("disposed of on 2031-02-09")
    assert disposed_words(studio, photo.sha256) == ""
    make_photograph(house, "twin.jpg")
    assert disposed_words(house.venue, photo.sha256) == ""
