"""How long records are kept: the longest rule wins, and what is not known is kept."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inspections.actions.forget_person import CannotForget, forget_person
from inspections.actions.retention import (
    RetentionRefused,
    end_retention_rules,
    follow_retention_rules,
    lift_hold,
    place_hold,
)
from inspections.models import LegalHold, RetentionChoice
from inspections.queries.retention import classes_kept, kept_records
from inspections.retention import Facts, FaultyRetentionFile, kept_until
from inspections.retention_files import (
    FOLDER,
    class_of,
    retention_rules,
    retention_rules_in,
)
from tests.inspections.proof_house import (
    AT,
    DAY,
    House,
    make_proof_house,
    make_record,
)
from venue.actions.log import Deed, write_lines
from venue.actions.people import add_person, end_membership
from venue.models import Equipment, LogLine, Membership, Person

MADE, TODAY = date(2024, 3, 12), date(2034, 1, 1)
EXAMPLES = [(each, rules) for rules in retention_rules().values() for each in rules.examples]


def rules(*slugs: str) -> list[Any]:
    return [rule for slug in slugs for rule in retention_rules()[slug].rules]


@pytest.mark.external("printed")
def test_the_printed_periods_come_out_as_the_texts_say() -> None:
    """SI 1998/2307 reg. 11(2)(a)(i): until use ends. NFPA 72, 14.6.2.1: the next test and one year.
    Fire code: three years. All three periods are quoted in the files with their address."""
    first = Facts(
        "thorough_examination", date(2024, 2, 10), date(2024, 8, 10), date(2041, 6, 30), True
    )
    assert kept_until(first, rules("gb")).until == date(2041, 6, 30)
    test = Facts("fire_device_test", MADE, next=date(2025, 3, 10))
    by_id = {rule.id: rule for rule in rules("us-fire")}
    assert kept_until(test, [by_id["nfpa-72-14-6-2-1"]]).until == date(2026, 3, 10)
    assert kept_until(test, [by_id["ifc-901-6-3"]]).until == date(2027, 3, 12)
    assert kept_until(test, rules("us-fire")).until == date(2027, 3, 12)


@pytest.mark.parametrize(("example", "file"), EXAMPLES)
def test_every_example_of_every_file_comes_out(example: Any, file: Any) -> None:
    kept = kept_until(example.facts, file.rules)
    assert kept.until == example.until
    assert kept.for_ever == (example.until is None)


def test_the_longest_of_two_countries_wins_and_names_its_clause() -> None:
    facts = Facts("inspection", MADE, next=date(2024, 4, 12), use_ended=date(2040, 1, 1))
    kept = kept_until(facts, rules("gb", "us-osha"))
    assert kept.until == date(2040, 1, 1)
    assert kept.decided_by
    assert kept.decided_by.id == "1910-179-m"
    assert kept_until(facts, rules("gb")).until == date(2027, 3, 12)
    assert kept_until(facts, rules("gb", "ca-on")).for_ever


def test_a_day_that_is_missing_is_named_and_nothing_may_go() -> None:
    kept = kept_until(Facts("thorough_examination", MADE), rules("gb"))
    assert kept.until is None
    assert kept.missing == ("the day of the next record of the same kind",)
    assert kept.at_least == date(2027, 3, 12)
    assert not kept.may_go(date(9999, 1, 1))
    assert not kept_until(Facts("inspection", MADE), []).may_go(date(9999, 1, 1))
    assert kept_until(Facts("inspection", MADE), []).no_rule
    assert not kept_until(Facts("inspection", MADE), rules("ca-on")).may_go(date(9999, 1, 1))


def test_the_last_day_itself_is_kept() -> None:
    kept = kept_until(Facts("inspection", MADE, next=date(2024, 4, 12)), rules("gb"))
    assert not kept.may_go(date(2027, 3, 12))
    assert kept.may_go(date(2027, 3, 13))


def test_classes_are_told_apart_by_regime_and_by_level() -> None:
    assert class_of("beam_detector_yearly", "competent_person").slug == "fire_device_test"
    assert class_of("thorough_twelve_months", "outside_examiner").slug == "thorough_examination"
    assert class_of("anything_of_theirs", "outside_examiner").slug == "thorough_examination"
    assert class_of("winch_yearly", "qualified_person").slug == "inspection"
    assert class_of("gone", "").slug == "inspection"


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"P2Y"', '"2 years"', "no time"), ('"next"', '"next+"', "no time"),
        ("words =", "word =", "no such key"), ('"inspection"]', '"inspections"]', "no such class"),
        ('verified = "document"', 'verified = "surely"', "no such backing"),
        ("until = 2041-06-30", "until = 2041-06-29", "gives 2041-06-30"),
        ('slug = "gb"\n', "", "missing"), ("made = 2024-02-10", "made = 'soon'", "gb.toml"),
    ],
)  # fmt: skip
def test_a_faulty_file_is_refused_by_name(tmp_path: Path, old: str, new: str, words: str) -> None:
    for name in ("classes.toml", "gb.toml"):
        (tmp_path / name).write_text((FOLDER / name).read_text())
    text = (tmp_path / "gb.toml").read_text()
    assert old in text
    (tmp_path / "gb.toml").write_text(text.replace(old, new))
    with pytest.raises(FaultyRetentionFile, match=r"gb\.toml") as refusal:
        retention_rules_in(tmp_path)
    assert words in str(refusal.value)


@pytest.fixture
def house() -> House:
    return make_proof_house()


def follow(house: House, slug: str = "gb") -> RetentionChoice:
    return follow_retention_rules(
        venue=house.venue, rules=slug, why="The insurer asks.", by=house.odile, at=AT
    )


def another_manager(house: House) -> Person:
    return add_person(
        venue=house.venue, email="wren@larkspur.example", name="Wren Castellan", role="manager",
        password="only-for-tests-1", by=None, at=AT,
    ).person  # fmt: skip


def hold(house: House, **changed: Any) -> LegalHold:
    said = {"equipment": house.winch, "why": "A claim"} | changed
    return place_hold(venue=house.venue, by=house.odile, at=AT, **said)


@pytest.mark.django_db
def test_records_wait_for_the_next_one_and_for_the_end_of_use(house: House) -> None:
    make_record(house, answers=[])
    make_record(house, answers=[], done_on=DAY + timedelta(days=30))
    assert all(each.kept.no_rule for each in kept_records(house.venue))
    follow(house)
    first, last = kept_records(house.venue)
    assert first.kept.until == after_three_years(first.made)
    assert last.kept.missing
    assert [each.may_go(TODAY) for each in (first, last)] == [True, False]
    follow(house, "de")
    assert {each.kept.missing for each in kept_records(house.venue)} >= {
        ("the day on which the use of the equipment ends",)
    }
    Equipment.objects.filter(pk=house.winch.pk).update(standing="gone")
    deed = Deed("change_equipment", house.winch, after={"standing": "gone"})
    with transaction.atomic():
        write_lines(venue=house.venue, by=house.odile, at=AT + timedelta(days=4000), deeds=[deed])
    first, _ = kept_records(house.venue)
    assert first.kept.until == (AT + timedelta(days=4000)).date()


def after_three_years(day: date) -> date:
    return day.replace(year=day.year + 3)


@pytest.mark.django_db
def test_a_file_that_is_gone_decides_nothing(house: House, monkeypatch: Any) -> None:
    make_record(house, answers=[])
    make_record(house, answers=[], done_on=DAY + timedelta(days=30))
    follow(house)
    follow(house, "us-fire")
    fewer = {"us-fire": retention_rules()["us-fire"]}
    monkeypatch.setattr("inspections.queries.retention.retention_rules", lambda: fewer)
    assert not any(each.may_go(date(9999, 1, 1)) for each in kept_records(house.venue))


@pytest.mark.both_databases
@pytest.mark.django_db
def test_a_hold_keeps_everything_and_is_lifted_by_somebody_else_with_a_reason(house: House) -> None:
    make_record(house, answers=[])
    make_record(house, answers=[], done_on=DAY + timedelta(days=30))
    follow(house)
    held = hold(house)
    assert hold(house) == held  # the same tapped twice
    assert not any(each.may_go(TODAY) for each in kept_records(house.venue))
    with pytest.raises(RetentionRefused, match="Another manager"):
        lift_hold(hold=held, why="Over", by=house.odile, at=AT)
    other = another_manager(house)
    with pytest.raises(RetentionRefused, match="Say why"):
        lift_hold(hold=held, why=" ", by=other, at=AT)
    lift_hold(hold=held, why="The claim was settled.", by=other, at=AT)
    lift_hold(hold=held, why="Again", by=other, at=AT)
    assert any(each.may_go(TODAY) for each in kept_records(house.venue))
    told = LogLine.objects.filter(did__in=["place_hold", "lift_hold"]).values_list("did", flat=True)
    assert sorted(told) == ["lift_hold", "place_hold"]
    hold(house, equipment=None, why="An authority's letter")
    assert all(each.held for each in kept_records(house.venue))


@pytest.mark.both_databases
@pytest.mark.django_db
def test_the_database_lets_nobody_lift_their_own_hold_nor_change_its_reason(house: House) -> None:
    row = LegalHold.objects.filter(pk=hold(house).pk)
    for change in (
        {"lifted_by": house.odile, "lifted_at": AT, "lifted_why": "Mine"},
        {"lifted_by": house.tam, "lifted_at": AT, "lifted_why": ""},
        {"why": "Another"},
        {"placed_by": house.tam},
    ):
        with pytest.raises(IntegrityError), transaction.atomic():
            row.update(**change)


@pytest.mark.django_db
def test_rules_are_followed_once_and_ended_with_a_reason(house: House) -> None:
    choice = follow(house)
    for said in (
        {"rules": "gb", "why": "x"},
        {"rules": "no", "why": "x"},
        {"rules": "de", "why": " "},
    ):
        with pytest.raises(RetentionRefused):
            follow_retention_rules(venue=house.venue, by=house.odile, at=AT, **said)
    with pytest.raises(RetentionRefused, match="no longer"):
        end_retention_rules(choice=choice, why="", by=house.odile, at=AT)
    end_retention_rules(choice=choice, why="We moved.", by=house.odile, at=AT)
    assert not RetentionChoice.objects.filter(ended_on=None).exists()
    assert LogLine.objects.filter(did="end_retention_rules").count() == 1
    follow(house)


@pytest.mark.django_db
def test_nobody_is_forgotten_while_their_records_are_held_or_must_be_kept(house: House) -> None:
    make_record(house, answers=[])
    end_membership(membership=Membership.objects.get(person=house.tam), by=house.odile, at=AT)
    said = {
        "venue": house.venue,
        "person": house.tam,
        "by": house.odile,
        "at": AT,
        "reason": "Asked",
    }
    with pytest.raises(CannotForget, match="1 of their records must still be kept"):
        forget_person(basis="retention", **said)
    held = hold(house)
    with pytest.raises(CannotForget, match="held back"):
        forget_person(basis="law", **said)
    lift_hold(hold=held, why="Settled", by=another_manager(house), at=AT)
    assert forget_person(basis="law", **said) >= 1


@pytest.mark.django_db
def test_the_page_says_what_is_kept_by_which_clause_to_manager_and_auditor(house: House) -> None:
    make_record(house, answers=[])
    follow(house)
    hold(house)
    where = reverse("retention", args=["larkspur"])
    client = Client()
    for person in (house.odile, house.ines):
        client.force_login(person)
        html = client.get(where).content.decode()
        for words in (
            "regulation 11(2)(b)",
            "1 held back",
            "Limitation Act 1980",
            "A claim",
            "None may go",
        ):
            assert words in html, words
    assert "Lift the hold</a>" not in html
    client.force_login(house.priya)
    assert client.get(where).status_code == 403
    client.force_login(house.odile)
    posted = client.post(
        reverse("follow_retention", args=["larkspur"]), {"rules": "de", "why": "Guest"}
    )
    assert posted.status_code == 302
    client.post(reverse("hold_records", args=["larkspur"]), {"equipment": "", "why": "Letter"})
    assert LegalHold.objects.get(why="Letter").equipment is None
    lift = reverse("lift_hold", args=["larkspur", LegalHold.objects.get(why="Letter").pk])
    assert "Another manager" in client.post(lift, {"why": "Over"}).content.decode()


@pytest.mark.django_db
def test_the_classes_ask_the_same_number_of_questions_for_more_records(house: House) -> None:
    follow(house)
    asked = []
    for _ in range(2):
        for days in range(3):
            make_record(house, answers=[], done_on=DAY + timedelta(days=days))
        with CaptureQueriesContext(connection) as queries:
            counts = sum(each.count for each in classes_kept(house.venue, TODAY))
        asked.append(len(queries))
    assert counts == 6
    assert asked[0] == asked[1] <= 5
