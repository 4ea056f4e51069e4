"""Files of remedies, of equipment that is gone and of parts that were taken out go after their time."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from inspections.actions.dispose import CannotDispose, dispose_of_thing_files
from inspections.actions.retention import lift_hold
from inspections.models import Disposal, Remedy, RemedyFile, ReturnToService
from inspections.queries.disposal_of_things import Thing, files_of_thing, things_that_may_go
from tests.inspections.proof_house import AT, DAY, House, make_finding, make_photograph, make_record
from tests.inspections.season import completeness, make_bundle, run
from tests.inspections.test_disposal import old_record, store
from tests.inspections.test_retention import after_three_years, another_manager, follow, hold, house
from venue.actions.log import write_line
from venue.file_store import path_of
from venue.models import Equipment, EquipmentFile, KeptFile, LogLine, Part, PartFile

__all__ = ["house", "store"]  # the fixtures
LATER = AT + timedelta(days=365 * 5)
MONTHS = timedelta(days=200)


def dispose(house: House, thing: Thing, **changed: Any) -> int:
    said = {"why": "Its time is over.", "at": LATER} | changed
    return dispose_of_thing_files(thing=thing, by=house.odile, **said)


def remedy_of(house: House, photo: KeptFile, *, returned: bool = True) -> Remedy:
    """Of a finding of an old record, and the equipment returned some months later."""
    finding = make_finding(house, old_record(house))
    remedy = Remedy.objects.create(finding=finding, what="Rope changed", by=house.odile, at=AT)
    RemedyFile.objects.create(remedy=remedy, kept_file=photo)
    if returned:
        ReturnToService.objects.create(
            order=finding.orders.get(), remedy=remedy, remedied_by=house.odile, by=house.tam,
            by_name="Tam", by_competence="Competent", statement="In order.", at=AT + MONTHS,
        )  # fmt: skip
    return remedy


def part_of(house: House, photo: KeptFile, **fields: Any) -> Part:
    part = Part.objects.create(
        equipment=house.winch, code="line 3", kind="wire_rope", kind_hash="0" * 64, name="Rope",
        **fields,
    )  # fmt: skip
    PartFile.objects.create(part=part, kept_file=photo, at=AT)
    return part


def gone(house: House, at: Any = AT + MONTHS) -> Equipment:
    """Written off on that day."""
    Equipment.objects.filter(pk=house.winch.pk).update(standing=Equipment.Standing.GONE)
    with transaction.atomic():
        write_line(venue=house.venue, by=house.odile, at=at, did="take_out", subject=house.winch)
    house.winch.refresh_from_db()
    return house.winch


@pytest.mark.django_db(transaction=True)
def test_files_of_a_remedy_go_after_its_record_counted_from_the_last_return(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "new rope.jpg")
    remedy = remedy_of(house, photo)
    follow(house)
    until = after_three_years((AT + MONTHS).date())
    with pytest.raises(CannotDispose, match="next record of the same kind"):
        dispose(house, remedy)  # the one that came next was made before it was returned
    make_record(house, answers=[], done_on=(AT + MONTHS).date() + timedelta(days=30))
    with pytest.raises(CannotDispose, match=f"kept until {until:%-d %B %Y}"):
        dispose(house, remedy, at=AT + timedelta(days=365 * 3 + 30))
    assert things_that_may_go(house.venue, until) == []
    assert things_that_may_go(house.venue, LATER.date()) == [("remedy", remedy)]
    assert path_of(store, photo.sha256).is_file()
    assert dispose(house, remedy) == 1
    assert not path_of(store, photo.sha256).exists()
    told = json.loads(LogLine.objects.get(did="dispose_of_files").body)
    assert told["subject"] == f"inspections.remedy {remedy.pk}"
    assert told["after"]["kept_until"] == str(until)
    assert Disposal.objects.get().remedy == remedy
    assert things_that_may_go(house.venue, LATER.date()) == []
    client = Client()
    client.force_login(house.odile)
    page = client.get(reverse("finding", args=["larkspur", remedy.finding_id])).content.decode()
    assert "Evidence 1: disposed of" in page
    bundle = make_bundle(house, store.parent, DAY, DAY)
    missing = completeness(bundle)["files that could not be included"]
    assert {each["why"].split(",")[0] for each in missing} == {"disposed of on 2031-02-09"}
    done = run("python3 -I verify_complete.py", bundle)
    assert "does not tell" not in done.stdout


@pytest.mark.django_db
def test_files_of_a_remedy_stay_while_an_order_is_in_force_or_a_hold_stands_or_no_record_is_known(
    house: House, store: Path
) -> None:
    follow(house)
    ordered = remedy_of(house, make_photograph(house, "a.jpg", shade=40), returned=False)
    with pytest.raises(CannotDispose, match="An order of its finding is in force"):
        dispose(house, ordered)
    cleared = remedy_of(house, make_photograph(house, "b.jpg", shade=90))
    held = hold(house)
    with pytest.raises(CannotDispose, match="A hold stands"):
        dispose(house, cleared)
    lift_hold(hold=held, why="Settled", by=another_manager(house), at=AT)
    make_record(house, answers=[], done_on=(AT + MONTHS).date() + timedelta(days=30))
    assert dispose(house, cleared) == 1
    finding = make_finding(house, None)
    alone = Remedy.objects.create(finding=finding, what="Cleaned", by=house.odile, at=AT)
    ReturnToService.objects.create(
        order=finding.orders.get(), remedy=alone, remedied_by=house.odile, by=house.tam,
        by_name="Tam", by_competence="Competent", statement="In order.", at=AT,
    )  # fmt: skip
    with pytest.raises(CannotDispose, match="No record hangs on it"):
        dispose(house, alone)


@pytest.mark.django_db(transaction=True)
def test_files_of_equipment_go_only_when_it_is_gone_and_everything_counted_from_that_day_is_over(
    house: House, store: Path
) -> None:
    photo = make_photograph(house, "type plate.jpg")
    EquipmentFile.objects.create(equipment=house.winch, kept_file=photo, at=AT)
    old_record(house)
    with pytest.raises(CannotDispose, match="not gone from the house"):
        dispose(house, house.winch)
    winch = gone(house)
    with pytest.raises(CannotDispose, match="No rule"):
        dispose(house, winch)
    follow(house)
    until = after_three_years((AT + MONTHS).date())
    with pytest.raises(CannotDispose, match=f"kept until {until:%-d %B %Y}"):
        dispose(house, winch, at=AT + timedelta(days=365 * 3 + 30))
    assert things_that_may_go(house.venue, LATER.date()) == [("equipment", winch)]
    assert dispose(house, winch) == 1
    assert not path_of(store, photo.sha256).exists()
    assert KeptFile.objects.get(pk=photo.pk).disposal.of == "CW-01 Canopy winch"
    client = Client()
    client.force_login(house.odile)
    page = client.get(reverse("equipment", args=["larkspur", winch.pk])).content.decode()
    assert "(disposed of after its time)" in page
    assert "CW-01 Canopy winch: photograph" in (
        client.get(reverse("retention", args=["larkspur"])).content.decode()
    )


@pytest.mark.django_db
def test_files_of_a_part_stay_while_it_is_fitted_and_go_counted_from_the_day_it_was_taken_out(
    house: House, store: Path
) -> None:
    old_record(house)
    follow(house)
    fitted = part_of(house, make_photograph(house, "certificate.jpg"))
    with pytest.raises(CannotDispose, match="has not been taken out"):
        dispose(house, fitted)
    Part.objects.filter(pk=fitted.pk).update(retired_on=date(2026, 9, 1), retired_why="Worn")
    fitted.refresh_from_db()
    with pytest.raises(CannotDispose, match="kept until 1 September 2029"):
        dispose(house, fitted, at=AT + timedelta(days=365 * 3 + 100))
    assert things_that_may_go(house.venue, LATER.date()) == [("part", fitted)]
    client = Client()
    client.force_login(house.odile)
    where = reverse("dispose_part_files", args=["larkspur", fitted.pk])
    assert "They stay" in client.get(where).content.decode()
    assert dispose(house, fitted) == 1
    page = client.get(reverse("part", args=["larkspur", fitted.pk])).content.decode()
    assert "(disposed of after its time)" in page


@pytest.mark.django_db
def test_a_part_that_went_on_to_another_place_is_in_use_and_its_files_stay(
    house: House, store: Path
) -> None:
    follow(house)
    old_record(house)
    other = house.venue.equipment.create(
        place=house.winch.place, tag="CW-02", name="Other", kind="multi_line_winch",
        kind_hash="0" * 64,
    )  # fmt: skip
    here = Part.objects.create(
        equipment=other, code="line 1", kind="wire_rope", kind_hash="0" * 64, name="Rope"
    )
    photo = make_photograph(house, "certificate.jpg")
    before = part_of(house, photo, retired_on=DAY, retired_why="Moved", successor=here)
    assert things_that_may_go(house.venue, LATER.date()) == []
    with pytest.raises(CannotDispose, match="has not been taken out"):
        dispose(house, before)
    Part.objects.filter(pk=here.pk).update(retired_on=DAY, retired_why="Worn")
    here.refresh_from_db()
    held = hold(house, equipment=other)
    with pytest.raises(CannotDispose, match="A hold stands"):
        dispose(house, here)
    lift_hold(hold=held, why="Settled", by=another_manager(house), at=AT)
    assert files_of_thing(here) == [photo]
    EquipmentFile.objects.create(equipment=other, kept_file=photo, at=AT)
    with pytest.raises(CannotDispose, match="no file that only it leads to"):
        dispose(house, here)
