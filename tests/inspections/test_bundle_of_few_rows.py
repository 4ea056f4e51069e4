"""What of the rows of some days is in a bundle, where a test makes the rows itself."""

from __future__ import annotations

import hashlib
from datetime import UTC, date, datetime
from pathlib import Path
from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pytest_django import Settings

from inspections.actions.receive_message import keep_aside
from inspections.actions.venue_seal import venue_seal
from tests.inspections.proof_house import (
    AT,
    House,
    answer_said,
    make_finding,
    make_proof_house,
    make_record,
)
from tests.inspections.season import (
    completeness,
    make_bundle,
    table,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def house(settings: Settings, tmp_path_factory: pytest.TempPathFactory) -> House:
    settings.LOFTBOOK_FILES = tmp_path_factory.mktemp("files")
    return make_proof_house()


def test_both_days_are_included_and_days_are_the_venues_own(house: House, tmp_path: Path) -> None:
    house.venue.time_zone = "America/New_York"
    house.venue.save(update_fields=["time_zone"])
    for day in (9, 10, 11, 12):
        make_record(house, answers=[], done_on=date(2026, 2, day))
    # 23:30 on the 11th in New York is the 12th in UTC; 00:30 on the 12th there is outside.
    make_finding(house, None, at=datetime(2026, 2, 12, 4, 30, tzinfo=UTC), what="last evening")
    make_finding(house, None, at=datetime(2026, 2, 12, 5, 30, tzinfo=UTC), what="next morning")
    bundle = make_bundle(house, tmp_path, date(2026, 2, 10), date(2026, 2, 11))
    assert [row["day"] for row in table(bundle, "records")] == ["2026-02-10", "2026-02-11"]
    assert [row["what"] for row in table(bundle, "findings")] == ["last evening"]


def test_record_bodies_are_the_very_bytes_that_were_hashed(house: House, tmp_path: Path) -> None:
    record = make_record(house)
    body = (make_bundle(house, tmp_path) / "data" / "records" / f"{record.pk}.json").read_bytes()
    assert hashlib.sha256(body).hexdigest() == record.sha256


def test_an_export_asks_the_same_number_of_questions_for_three_records_and_for_nine(
    house: House, tmp_path: Path
) -> None:
    asked = []
    venue_seal(house.venue, AT)  # made and noted once
    make_bundle(house, tmp_path)  # after which the log knows how to refer to who asks
    for number in (3, 6):
        for _ in range(number):
            make_record(house, answers=[answer_said("Is the brake dry?", "fit")])
        with CaptureQueriesContext(connection) as queries:
            make_bundle(house, tmp_path)
        asked.append(len(queries))
    assert asked[0] == asked[1]
    assert asked[0] > 30


def test_what_nothing_could_be_made_of_is_in_the_bundle_to_the_letter(
    house: House, tmp_path: Path
) -> None:
    text, zone = '{"answers": "Ünreadable"', house.venue.zone
    for number, at in enumerate((AT, AT, AT.astimezone(zone).replace(year=2025))):
        keep_aside(
            venue=house.venue, pk=UUID(int=number), text=text, why="Not whole.", by=house.tam, at=at
        )
    bundle = make_bundle(house, tmp_path)
    first, second = table(bundle, "messages_kept_aside")
    assert (first["sent by"], first["why"]) == (house.tam.name, "Not whole.")
    assert first["sha256"] == second["sha256"]
    (file,) = (bundle / "data" / "messages-kept-aside").iterdir()
    assert file.read_text() == text
    assert file.stem == first["sha256"] == hashlib.sha256(file.read_bytes()).hexdigest()
    assert completeness(bundle)["counts"]["messages_kept_aside"] == {
        "in this bundle": 2, "counted in these days": 2, "in the whole book": 3
    }  # fmt: skip
