"""What each kind of report tells, from records that real checks made, and who may sign it as what."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from html import unescape
from typing import Any

import pytest
from django.db import transaction

from inspections.actions.issue_report import CannotReport, MayNotSign
from inspections.actions.open_finding import take_out_of_service
from inspections.actions.sign_kind import Wanted, draft_of_kind, sign_kind
from inspections.reports.content_reading import report_from
from inspections.reports.document import page_html
from inspections.reports.plots import diameter_plot, wire_plot
from tests.inspections.kinds_house import (
    AT,
    EXAMINER_STATES,
    KINDS,
    LAST,
    chosen,
    drafted,
    make_hoist,
    make_kinds_house,
    signed,
)

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def house(django_db_setup: None, django_db_blocker: Any) -> Iterator[Any]:
    """Made once: these tests only look."""
    with django_db_blocker.unblock(), transaction.atomic():
        yield make_kinds_house()
        transaction.set_rollback(True)


def test_the_annual_report_tells_what_was_and_was_not_looked_at_and_why(house: Any) -> None:
    matter = drafted(house, "annual_rigging").matter
    assert matter
    winch, bare = matter.pieces
    assert [check.check for check in winch.checks][1:4] == [house.regime.title] * 3
    assert [check.state for check in winch.checks] == ["fit", "fit", "watch", "watch", "fit"]
    assert all(check.record and not check.not_done for check in winch.checks)
    done, locked, *missed = bare.checks
    assert locked.state == "fit"
    assert (done.state, done.record) == ("cannot be decided", str(house.unseen.pk))
    assert "not looked at or not decided, see below" in done.note
    assert missed
    assert all(check.not_done and not check.record for check in missed)
    assert missed[0].note.startswith("Not done; lawful until")
    assert "No reason is in the book" in missed[0].note
    assert bare.not_looked
    assert all("A lamp bar hangs below it. (14 May 2026)" in line for line in bare.not_looked)
    assert bare.next_dates[0].late


def test_a_rope_that_could_not_be_seen_is_told_as_that_and_draws_no_curve(house: Any) -> None:
    matter = drafted(house, "annual_rigging").matter
    assert matter
    (rope,) = matter.pieces[1].ropes
    assert rope.last is None
    (point,) = rope.not_seen_since
    assert point.not_looked == "Could not be looked at: A lamp bar hangs below it."
    assert (point.least_mm, point.pressing, point.verdicts) == ("", "", ())
    assert diameter_plot([rope]) is None
    assert wire_plot([rope]) is None


def test_a_rope_has_its_diameter_its_limit_its_counts_and_its_verdicts(house: Any) -> None:
    matter = drafted(house, "annual_rigging").matter
    assert matter
    (rope,) = matter.pieces[0].ropes
    assert (rope.identifier, rope.construction, rope.nominal) == ("R-1", "7x19", "1/4 in")
    assert [point.least_mm for point in rope.points] == ["6.477", "6.35", "6.286"]
    last = rope.points[-1]
    # 0.26 in when new less 6 % is 6.20776 mm; 1/4 in less 5 % would be 6.0325 mm.
    assert (last.limit_mm, last.limit_by) == ("6.208", "30 CFR 56.19024, (g)")
    assert last.count_lines[0] == ("4", "in one lay: in all zones (2 in one strand)")
    assert {verdict.rule for verdict in last.verdicts} == {"29 CFR 1926.1413", "30 CFR 56.19024"}
    assert all(verdict.clause and verdict.limit and verdict.margin for verdict in last.verdicts)
    assert [bool(point.verdicts) for point in rope.points] == [False, False, True]


def test_findings_stand_by_grade_with_their_orders_and_who_examined(house: Any) -> None:
    matter = drafted(house, "annual_rigging").matter
    assert matter
    grades = {graded.grade: [found.what for found in graded.findings] for graded in matter.findings}
    assert grades["Not used until cured"] == ["The brake drags."]
    assert grades["Imminent risk of serious injury"] == []
    found = matter.findings[1].findings[0]
    assert found.standing == "Remedied"
    assert "lifted by Competent" in found.orders[0]
    assert matter.open_orders == ()
    assert {(one.name, one.checks) for one in matter.people} == {
        ("Competent", 4),
        ("Examiner", 2),
        ("Second", 1),
    }
    assert all("Card 1, valid until" in one.competence for one in matter.people)


def test_a_finding_made_good_before_these_days_is_not_in_them(house: Any) -> None:
    later = Wanted(
        KINDS["annual_rigging"],
        type(chosen(house, "annual_rigging"))(
            house.venue, LAST + timedelta(days=1), LAST + timedelta(days=30), [house.winch]
        ),
    )
    matter = draft_of_kind(wanted=later, at=AT + timedelta(days=31))[0].matter
    assert matter
    assert sum(len(graded.findings) for graded in matter.findings) == 0


def test_a_thorough_examination_is_not_signed_while_an_item_is_empty(house: Any) -> None:
    for left_out in EXAMINER_STATES:
        stated = {key: words for key, words in EXAMINER_STATES.items() if key != left_out}
        with pytest.raises(CannotReport, match="what nobody has stated"):
            signed(house, "thorough_exam", "examiner", **stated)
    with pytest.raises(CannotReport, match="7 Whether it would be safe"):
        signed(house, "thorough_exam", "examiner", **{**EXAMINER_STATES, "would_be_safe": "  "})


def test_a_thorough_examination_tells_what_records_and_signer_state_and_who_stated_it(
    house: Any,
) -> None:
    content = signed(house, "thorough_exam", "examiner", **EXAMINER_STATES).content
    assert content.matter
    said = {item.key: (item.said, item.by) for item in content.matter.items}
    assert said["identity"][0] == (
        "W1 Winch W1, serial number not known, date of manufacture not known"
    )
    assert said["safe_load"] == ("moving: 250 kg (Type plate)", "the records")
    assert said["next"][0] == "1 June 2027"
    assert said["previous"] == ("16 October 2025", "the records")
    assert (
        said["ground"][0] == "Within an interval of 12 months, counted from that of 16 October 2025"
    )
    assert said["tests"][0] == "Full travel with the rated load"
    assert said["defects"][0] == "None found"
    assert said["would_be_safe"] == ("It would be safe to operate.", "Examiner, when signing")
    assert said["signer"][0].startswith("Examiner")
    assert said["reported_on"] == ("3 July 2026", "the signature")
    assert content.next_due == "2027-06-01"
    assert report_from(json.loads(json.dumps(content.to_dict()))) == content


def test_what_is_stated_never_takes_the_place_of_what_the_records_say(house: Any) -> None:
    more = {**EXAMINER_STATES, "safe_load": "900 kg", "signer": "Somebody else"}
    content = signed(house, "thorough_exam", "examiner", **more).content
    assert content.matter
    said = {item.key: item.said for item in content.matter.items}
    assert said["safe_load"] == "moving: 250 kg (Type plate)"
    assert said["signer"].startswith("Examiner")


def test_what_the_book_cannot_show_is_left_to_the_signer(house: Any) -> None:
    """Nothing before it, and whether it stood there already then: neither is guessed."""
    earlier = Wanted(
        KINDS["thorough_exam"], replace(chosen(house, "thorough_exam"), record=house.earlier)
    )
    content = draft_of_kind(wanted=earlier, at=AT)[0]
    assert content.matter
    missing = {item.key for item in content.matter.missing}
    assert {"previous", "first", "ground", "would_be_safe"} <= missing


def test_whoever_is_not_competent_for_it_cannot_sign(house: Any) -> None:
    with pytest.raises(MayNotSign, match="No competence as an outside examiner"):
        signed(house, "thorough_exam", "competent", **EXAMINER_STATES)
    with pytest.raises(MayNotSign, match="No competence as a competent person"):
        signed(house, "service_return", "stagehand")


def test_nobody_signs_as_their_own_what_others_did(house: Any) -> None:
    for kind, who in (("annual_rigging", "competent"), ("service_return", "second")):
        with pytest.raises(CannotReport, match="Someone else did a part"):
            signed(house, kind, who, KINDS[kind].own)
    with pytest.raises(CannotReport, match="what your signature means"):
        signed(house, "annual_rigging", "competent", "Anything else")


def test_a_rope_certificate_holds_every_reading_with_its_verdicts_whole(house: Any) -> None:
    content = signed(house, "rope_certificate", "second").content
    assert content.matter
    (rope,) = content.matter.ropes
    assert [point.state for point in rope.points] == ["fit", "watch", "watch"]
    assert all(len(point.verdicts) == 2 for point in rope.points)
    assert {point.where for point in rope.points} == {"W1, line 1"}
    facts = {fact.name: fact.value for fact in rope.facts}
    assert facts["Baseline diameter"] == "0.26 in"
    assert facts["Minimum breaking force"] == "Not known"
    assert facts["Retired"] == "Not retired: in use"
    assert "Grade of the wire" in rope.not_known
    assert len(content.matter.people) == 1


def test_a_return_tells_order_remedy_evidence_and_the_second_person(house: Any) -> None:
    content = signed(house, "service_return", "competent", KINDS["service_return"].own).content
    assert content.matter
    told = content.matter.returned
    assert told
    assert (told.order, told.why) == ("Out of service", "The brake drags.")
    (cure,) = told.cures
    assert (cure.what, cure.by) == ("New brake linings fitted", "Manager")
    assert [file.media_type for file in cure.evidence] == ["image/jpeg"]
    assert told.returned_by == "Competent"
    assert told.competence.startswith("Qualified person, Card 1")
    assert told.statement == "Ran full travel, brake held the rated load."
    # The thorough examination came after it, on the same day.
    assert [check.check for check in told.looked_after] == [
        "Thorough examination, loads other than people"
    ]


def test_a_certification_record_is_signed_by_whoever_did_it_and_by_nobody_else(house: Any) -> None:
    content = signed(house, "us_rope_record", "competent").content
    assert content.matter
    said = {item.key: item.said for item in content.matter.items}
    assert said["date"] == "3 July 2026"
    assert said["identifiers"] == "R-1 (W1, line 1 Wire rope)"
    assert said["signature"].startswith("Competent, Competent person; Qualified person, Card 1")
    with pytest.raises(MayNotSign, match="Only whoever performed"):
        signed(house, "us_rope_record", "second")


def test_a_rope_that_could_not_be_seen_is_not_certified(house: Any) -> None:
    asked = replace(chosen(house, "us_rope_record"), record=house.unseen)
    draft = draft_of_kind(wanted=Wanted(KINDS["us_rope_record"], asked), at=AT)[0]
    assert draft.matter
    assert [item.key for item in draft.matter.missing] == ["signature", "identifiers"]


def test_a_hoist_record_certifies_the_hooks_and_the_chain_that_were_seen_by_their_marks(
    house: Any,
) -> None:
    """And no other: the bottom hook could not be reached, which the report says."""
    kind = KINDS["us_hook_record"]
    with transaction.atomic():
        record = make_hoist(house)
        asked = Wanted(kind, replace(chosen(house, "us_hook_record"), record=record))
        competent = house.people["competent"]
        content = sign_kind(wanted=asked, signer=competent, meaning=kind.own, at=AT).content
        with pytest.raises(MayNotSign, match="Only whoever performed"):
            sign_kind(wanted=asked, signer=house.people["second"], meaning=kind.own, at=AT)
        transaction.set_rollback(True)
    assert content.matter
    said = {item.key: (item.said, item.by) for item in content.matter.items}
    assert said["date"] == ("3 July 2026", "the records")
    assert said["identifiers"] == (
        "H-41 (CH-1, top hook)\nLC-7 (CH-1, chain Load chain)", "the records",
    )  # fmt: skip
    assert said["signature"][0].startswith("Competent, Competent person")
    (sheet,) = content.sheets
    assert [line for line in sheet.undecided if "bottom hook" in line]
    html = unescape(page_html(content, "0" * 64, frozenset(), AT))
    for words in (
        "29 CFR 1910.179",
        "how it is known: from memory",
        "H-41",
        "LC-7",
        "None of these is a pass",
    ):
        assert words in html, words
    assert "H-42" not in html


def test_a_lock_out_names_the_machine_and_whom_was_watched(house: Any) -> None:
    kind = KINDS["us_lock_out"]
    asked = Wanted(kind, replace(chosen(house, "us_lock_out"), record=house.locked))
    second = house.people["second"]
    content = sign_kind(wanted=asked, signer=second, meaning=kind.own, at=AT).content
    assert content.matter
    said = {item.key: item.said for item in content.matter.items}
    assert said["identity"].startswith("W2 Winch W2")
    assert said["employees"] == "Priya Kestrel and Jonas Quill, this morning"
    assert said["date"] == "24 May 2026"


def test_orders_in_force_stand_on_the_first_page_of_every_report_of_one_thing(house: Any) -> None:
    with transaction.atomic():
        take_out_of_service(
            equipment=house.winch, why="Oil on the drum.", by=house.people["stagehand"], at=AT
        )
        for kind in ("thorough_exam", "rope_certificate", "us_rope_record"):
            matter = drafted(house, kind).matter
            assert matter
            told = {fact.name: fact.value for fact in matter.facts}
            assert told["Orders on it now"] == "Out of service from 3 July 2026: Oil on the drum."
        thorough = drafted(house, "thorough_exam").matter
        assert thorough
        # Somebody else found something since: “none found” is not for the book to say.
        missing = {item.key for item in thorough.missing}
        assert {"defects", "repairs", "by_when"} <= missing
        returned = drafted(house, "service_return").matter
        assert returned
        assert returned.returned
        assert returned.returned.still_open == (
            "Out of service from 3 July 2026: Oil on the drum.",
        )
        transaction.set_rollback(True)


@pytest.mark.parametrize("kind", KINDS)
def test_the_pages_of_every_kind_say_draft_its_name_and_its_cautions(house: Any, kind: str) -> None:
    content = drafted(house, kind)
    html = unescape(page_html(content, "0" * 64, frozenset(), AT))
    for words in ("DRAFT: not signed", KINDS[kind].name, content.title, *KINDS[kind].cautions):
        assert words in html, words
    assert "{{" not in html
    assert "{%" not in html
    assert html.count("<table") == html.count("<tbody>")
    assert html.count("Signed</th>") == html.count("Received</th>") == 1
