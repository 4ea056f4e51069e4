"""A register file that was tried is kept until it is confirmed, then cleared; evidence never is."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from pytest_django import Settings

from venue.actions.tried_files import (
    KEPT_FOR,
    KeptFileGone,
    keep_for_later,
    kept_for_later,
    remove_old_tried_files,
)
from venue.file_store import keep_bytes, path_of
from venue.forms_register import GOOD_FOR_SECONDS

AT = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
FILE = b"tag,name\nCW-01,Canopy winch\n"


@pytest.fixture(autouse=True)
def store(settings: Settings, tmp_path: Path) -> Path:
    settings.LOFTBOOK_FILES = tmp_path
    return tmp_path


def test_a_tried_file_outlives_its_confirmation_and_is_then_removed() -> None:
    assert timedelta(seconds=GOOD_FOR_SECONDS) < KEPT_FOR
    sha256 = keep_for_later(content=FILE, at=AT)
    assert remove_old_tried_files(at=AT + KEPT_FOR) == 0
    assert kept_for_later(sha256) == FILE
    assert remove_old_tried_files(at=AT + KEPT_FOR + timedelta(seconds=1)) == 1
    with pytest.raises(KeptFileGone, match="Send it again"):
        kept_for_later(sha256)


def test_a_file_tried_again_is_kept_from_its_last_trial() -> None:
    sha256 = keep_for_later(content=FILE, at=AT)
    keep_for_later(content=FILE, at=AT + KEPT_FOR)
    assert remove_old_tried_files(at=AT + KEPT_FOR + timedelta(days=1)) == 0
    assert kept_for_later(sha256) == FILE


def test_the_same_bytes_kept_as_evidence_stay(store: Path) -> None:
    sha256 = keep_bytes(store, FILE)
    assert keep_for_later(content=FILE, at=AT) == sha256
    assert remove_old_tried_files(at=AT + timedelta(days=400)) == 1
    assert path_of(store, sha256).read_bytes() == FILE


def test_a_damaged_tried_file_is_never_applied(store: Path) -> None:
    sha256 = keep_for_later(content=FILE, at=AT)
    path_of(store / "tried", sha256).write_bytes(FILE + b"CW-02,Another\n")
    with pytest.raises(KeptFileGone, match="damaged"):
        kept_for_later(sha256)
