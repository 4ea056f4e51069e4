"""Checks, photographs and orders that a phone sends when it has signal again."""

from __future__ import annotations

import io
import json
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.test import Client
from django.utils import timezone
from PIL import Image

from inspections.actions.move_part import move_sound_part
from inspections.actions.open_finding import take_out_of_service
from inspections.actions.plans import apply_regime, freeze_regime
from inspections.actions.shorten_date import shorten_date
from inspections.models import (
    AnswerPhoto,
    Draft,
    Finding,
    KeptAside,
    Record,
    Sent,
    SentPhotograph,
    Task,
)
from inspections.phone_message import FLAG_WORDS, Clocks, clock_flags, looked_between
from inspections.queries.state import state_of
from inspections.regime_files import regimes
from tests.guards import unguarded
from tests.house import make_equipment, make_house
from venue.actions.parts import retire_part
from venue.models import Competence, LogLine

pytestmark = pytest.mark.django_db

NOON = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)


@pytest.fixture
def house() -> Any:
    house, now = make_house(), timezone.now()
    house.plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=now.date(), last_done_on=None,
        by=house.people["manager"], at=now,
    )  # fmt: skip
    house.task = house.plan.tasks.first()
    return house


def answers(house: Any, broken: str = "0", **changed: str) -> dict[str, dict[str, str]]:
    rope = {
        "dia_1_a": "0.26 in", "dia_1_b": "0.26 in", "instrument": "Caliper", "looked": "yes",
        "broken_lay": broken, "broken_strand_count": "0", "broken_valley": "0", "broken_end": "0",
    }  # fmt: skip
    return {
        f"running_rope.{house.rope.pk}": rope | changed,
        f"rope_identified.{house.rope.pk}": {"given": "yes"},
    }


def message(house: Any, who: str = "competent", **changed: Any) -> dict[str, Any]:
    now = timezone.now()
    return {
        "person": house.people[who].pk, "equipment": house.winch.pk, "task": house.task.pk,
        "regime": house.plan.version.hash, "started_at": (now - timedelta(hours=3)).isoformat(),
        "saved_at": (now - timedelta(hours=2)).isoformat(),
        "answers": answers(house), "remark": "Dark down there.", "device": "d-1", "number": 4,
        "states": {}, "rulesets": {}, "photographs": [],
    } | changed  # fmt: skip


def phone_of(house: Any, who: str) -> Client:
    client = Client()
    client.force_login(house.people[who])
    return client


def put(client: Client, pk: UUID, said: dict[str, Any] | str, what: str = "checks") -> Any:
    body = said if isinstance(said, str) else json.dumps(said)
    return client.put(f"/v/larkspur/sync/{what}/{pk}/", body, content_type="application/json")


def test_a_check_from_a_phone_is_a_record_under_the_phones_id_and_closes_its_task(
    house: Any,
) -> None:
    pk, said = uuid4(), message(house)
    body = json.dumps(said)
    receipt = put(phone_of(house, "competent"), pk, body).json()
    record = Record.objects.get(pk=pk)
    assert receipt["stored"]
    assert receipt["sha256"] == sha256(body.encode()).hexdigest()
    assert record.by == house.people["competent"]
    assert record.remark == "Dark down there."
    assert Sent.objects.get(pk=pk).body == body
    assert json.loads(record.body)["phone"]["device"] == "d-1"
    house.task.refresh_from_db()
    assert house.task.state == Task.State.DONE


def test_sending_twice_stores_once_and_gives_the_same_receipt(house: Any) -> None:
    pk, body, phone = uuid4(), json.dumps(message(house)), phone_of(house, "competent")
    first, second = put(phone, pk, body), put(phone, pk, body)
    assert (first.status_code, second.status_code) == (200, 200)
    assert first.json() == second.json()
    assert Record.objects.count() == Sent.objects.count() == 1


def test_other_words_under_the_same_id_are_kept_aside_and_the_first_counts(house: Any) -> None:
    pk, phone = uuid4(), phone_of(house, "competent")
    put(phone, pk, message(house))
    for _ in range(2):
        answer = put(phone, pk, "other words")
        assert answer.status_code == 409
        assert answer.json()["kept_aside"]
    assert KeptAside.objects.get().body == "other words"
    assert Record.objects.count() == 1
    assert LogLine.objects.filter(did="keep_aside").count() == 1


@pytest.mark.parametrize(
    "spoilt", ["", "{", "[]", '{"person": 1}', '{"answers": "none"}', "nul\ufffdl"]
)
def test_what_cannot_be_read_is_kept_aside_whole(house: Any, spoilt: str) -> None:
    answer = put(phone_of(house, "competent"), uuid4(), spoilt)
    assert answer.status_code == 422
    assert answer.json()["kept_aside"]
    assert KeptAside.objects.get().body == spoilt
    assert not Record.objects.exists()
    assert not Draft.objects.exists()


def test_a_character_zero_is_kept_as_the_sign_for_an_unreadable_one(house: Any) -> None:
    pk, raw = uuid4(), '{"remark": "a\x00b"}'
    assert put(phone_of(house, "competent"), pk, raw).status_code == 422
    assert KeptAside.objects.get().body == '{"remark": "a\ufffdb"}'
    put(phone_of(house, "competent"), pk := uuid4(), message(house, remark="a\x00b"))
    assert Record.objects.get(pk=pk).remark == "a\ufffdb"


def test_half_a_sign_and_a_number_beyond_counting_hold_back_no_check(house: Any) -> None:
    rope = answers(house, broken="6", instrument="Cali\ud83d")  # a field that was full cut an emoji
    said = message(house, answers=rope, remark="Dark \udc4d", number=10**30)
    assert put(phone_of(house, "competent"), uuid4(), said).status_code == 200
    assert Record.objects.get().remark == "Dark \ufffd"
    assert state_of(house.winch, timezone.now().date()).out
    stop = {
        "person": house.people["competent"].pk, "equipment": house.winch.pk, "why": "Noise \ud83d",
        "pressed_at": timezone.now().isoformat(),
    }  # fmt: skip
    assert put(phone_of(house, "competent"), uuid4(), stop, "stops").status_code == 200


def test_nobody_elses_sign_in_sends_a_check(house: Any) -> None:
    answer = put(phone_of(house, "stagehand"), uuid4(), message(house))
    assert answer.status_code == 403
    assert answer.json()["other_person"]
    assert not Record.objects.exists()
    assert not KeptAside.objects.exists()


def test_signed_out_the_phone_gets_401_and_never_a_page(house: Any) -> None:
    answer = put(Client(), uuid4(), message(house))
    assert answer.status_code == 401
    assert "nothing is lost" in answer.json()["words"]


def test_another_venues_address_is_not_there(house: Any) -> None:
    client = phone_of(house, "other manager")
    assert put(client, uuid4(), message(house)).status_code == 404
    own = client.put(
        f"/v/tern-studio/sync/checks/{uuid4()}/",
        json.dumps(message(house, person=house.people["other manager"].pk)),
        content_type="application/json",
    )
    assert own.status_code == 422, "the winch is not in that book"
    assert not Record.objects.exists()


def test_a_bad_rope_from_a_phone_takes_the_winch_out_of_service(house: Any) -> None:
    said = message(house, answers=answers(house, broken="6", broken_strand_count="3"))
    receipt = put(phone_of(house, "competent"), uuid4(), said).json()
    assert receipt["state"] == "retire"
    assert state_of(house.winch, timezone.now().date()).out


@pytest.mark.parametrize(
    "graded",
    [
        {"grade": "observation"},
        {"grade": "used_until_date", "cured_by": "9999-12-31"},
        {"grade": "?"},
    ],
)
def test_a_grade_too_mild_for_the_verdict_holds_back_no_check_from_a_phone(
    house: Any, graded: dict[str, str]
) -> None:
    said = message(house, answers=answers(house, broken="6", **graded))
    receipt = put(phone_of(house, "competent"), uuid4(), said)
    assert receipt.status_code == 200
    assert ("grade_too_mild" in receipt.json()["flags"]) == (graded["grade"] != "?")
    assert Finding.objects.get().grade == "not_used_until_cured"
    assert state_of(house.winch, timezone.now().date()).out


@pytest.mark.parametrize(
    ("change", "flag"),
    [
        ({"dia_1_a": "6 in", "dia_1_b": "6 in"}, "not_confirmed"),
        ({"dia_1_a": "9,,5"}, "not_read"),
    ],
)
def test_a_figure_that_was_not_confirmed_or_read_never_passes(
    house: Any, change: dict[str, str], flag: str
) -> None:
    pk = uuid4()
    receipt = put(
        phone_of(house, "competent"), pk, message(house, answers=answers(house, **change))
    ).json()
    record = Record.objects.get(pk=pk)
    assert flag in receipt["flags"]
    assert receipt["state"] == "cannot be decided"
    kept = record.answers.get(check_slug="running_rope")
    assert kept.given == "could_not_look"
    assert change["dia_1_a"] in kept.reason
    house.task.refresh_from_db()
    assert house.task.state == Task.State.OPEN


@pytest.mark.parametrize(
    ("change", "flag"),
    [
        ({"dia_1_a": "6 in", "dia_1_b": "6 in"}, "not_confirmed"),
        ({"dia_1_a": "9,,5"}, "not_read"),
        ({"cured_by": "next week"}, "not_read"),
        ({"looked": ""}, "not_read"),
        ({"as_arrived": "yes", "dia_1_a": "", "dia_1_b": ""}, "not_read"),
    ],
)
def test_an_answer_that_is_bad_by_what_can_be_read_of_it_takes_the_winch_out_of_service(
    house: Any, change: dict[str, str], flag: str
) -> None:
    """Twelve broken wires stay twelve broken wires when the diameter beside them is a slip."""
    pk, said = (
        uuid4(),
        answers(house, "12", broken_strand_count="6"),
    )
    rope = f"running_rope.{house.rope.pk}"
    said[rope] |= change
    receipt = put(phone_of(house, "competent"), pk, message(house, answers=said)).json()
    assert {flag, "bad_as_it_stands"} <= set(receipt["flags"])
    assert state_of(house.winch, timezone.now().date()).out
    kept = Record.objects.get(pk=pk).answers.get(check_slug="running_rope")
    assert kept.given == "value"
    assert "broken_lay: 12" in kept.reason, "what was typed stands in the record"
    assert change.get("dia_1_a", "") in kept.reason


def of_other_equipment(house: Any, answers: dict[str, dict[str, str]]) -> dict[str, Any]:
    """A message about the winch with the questions of a walkway, which somebody used there once."""
    walkway = regimes()["walkway_before_use"]
    version = freeze_regime(walkway, timezone.now())
    return message(house, task=None, regime=version.hash, answers=answers)


def good_answers_of_a_walkway(**changed: str) -> dict[str, dict[str, str]]:
    checks = regimes()["walkway_before_use"].checks
    return {check.slug: {"given": changed.get(check.slug, "yes")} for check in checks}


def test_questions_for_other_equipment_pass_nothing(house: Any) -> None:
    pk, said = uuid4(), of_other_equipment(house, good_answers_of_a_walkway())
    assert "other_list" in put(phone_of(house, "competent"), pk, said).json()["flags"]
    record = Record.objects.get(pk=pk)
    assert record.state == "cannot be decided"
    assert {answer.given for answer in record.answers.all()} == {"could_not_look"}
    assert all("not for this kind" in answer.reason for answer in record.answers.all())


def test_a_bad_answer_to_a_question_for_other_equipment_opens_its_finding(house: Any) -> None:
    bad = next(
        check for check in regimes()["walkway_before_use"].checks if check.answer == "yes_no"
    )
    said = of_other_equipment(
        house, good_answers_of_a_walkway(**{bad.slug: "no" if bad.yes_means_good else "yes"})
    )
    pk = uuid4()
    put(phone_of(house, "competent"), pk, said)
    record = Record.objects.get(pk=pk)
    assert record.findings.get().answer.check_slug == bad.slug
    assert record.answers.exclude(given="could_not_look").count() == 1


def test_a_list_that_was_planned_for_this_equipment_is_one_for_it(house: Any) -> None:
    """Its kind may have been put right since."""
    house.winch.kind = "catwalk"
    house.winch.save(update_fields=["kind"])
    flags = put(phone_of(house, "competent"), uuid4(), message(house)).json()["flags"]
    assert "other_list" not in flags


def test_a_bad_answer_without_the_photograph_it_needs_still_opens_its_finding(house: Any) -> None:
    plan = apply_regime(
        equipment=house.winch, regime=regimes()["winch_yearly"], anchor=timezone.now().date(),
        last_done_on=None, by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    said = message(
        house, task=plan.tasks.first().pk, regime=plan.version.hash,
        answers={"plate_readable": {"given": "no"}},
    )  # fmt: skip
    pk = uuid4()
    receipt = put(phone_of(house, "competent"), pk, said)
    assert receipt.status_code == 200
    assert {"no_photo", "bad_as_it_stands"} <= set(receipt.json()["flags"])
    finding = Finding.objects.get()
    assert (finding.answer.check_slug, finding.answer.given) == ("plate_readable", "no")
    kept = json.loads(Record.objects.get(pk=pk).body)["phone"]
    assert kept["photographs_missing"] == ["plate_readable"]


def test_no_phone_can_say_that_a_missing_figure_need_not_be_asked_for(house: Any) -> None:
    said = answers(house, as_arrived="yes", dia_1_a="", dia_1_b="")
    receipt = put(phone_of(house, "competent"), uuid4(), message(house, answers=said)).json()
    assert receipt["state"] == "cannot be decided"
    kept = Record.objects.get().answers.get(check_slug="running_rope")
    assert (kept.given, kept.observation) == ("could_not_look", None)


def test_a_bad_answer_about_a_rope_that_was_moved_meanwhile_bites_where_it_is_now(
    house: Any,
) -> None:
    second = make_equipment(house.venue, "W2")
    said = message(house, answers=answers(house, "12", broken_strand_count="6"))
    moved = move_sound_part(
        part=house.rope, to=second, code="line 2", moved_on="", why="Spare", by=house.people["manager"],
        at=timezone.now(),
    )  # fmt: skip
    pk = uuid4()
    receipt = put(phone_of(house, "competent"), pk, said).json()
    assert "part_gone" in receipt["flags"]
    today = timezone.now().date()
    assert state_of(second, today).out
    assert not state_of(house.winch, today).out, "the rope is not in this winch any more"
    assert Finding.objects.get().part == moved
    assert "broken_lay: 12" in Record.objects.get(pk=pk).remark


def test_a_good_answer_about_a_part_taken_out_meanwhile_is_kept_in_words(house: Any) -> None:
    said = message(house)
    retire_part(
        part=house.rope, why="Worn", successor_identifier="", installed_on=None,
        by=house.people["manager"], at=timezone.now(),
    )  # fmt: skip
    pk = uuid4()
    receipt = put(phone_of(house, "competent"), pk, said).json()
    assert "part_gone" in receipt["flags"]
    assert not Finding.objects.exists()
    assert "dia_1_a: 0.26 in" in Record.objects.get(pk=pk).remark


def test_a_question_the_phone_did_not_ask_counts_as_not_looked_at(house: Any) -> None:
    said = message(house, answers={})
    receipt = put(phone_of(house, "competent"), uuid4(), said).json()
    assert "not_asked" in receipt["flags"]
    assert receipt["state"] == "cannot be decided"


def test_done_by_someone_else_meanwhile_both_records_are_kept_and_both_are_told(house: Any) -> None:
    put(phone_of(house, "second"), uuid4(), message(house, "second"))
    receipt = put(phone_of(house, "competent"), uuid4(), message(house)).json()
    assert "task_closed" in receipt["flags"]
    assert Record.objects.count() == 2


def test_a_check_made_before_an_examiner_shortened_the_date_is_not_the_one_asked_for(
    house: Any,
) -> None:
    now = timezone.now()
    soon = now.date() + timedelta(days=10)
    next_task = house.plan.tasks.order_by("number").first()
    Task.objects.filter(pk=next_task.pk).update(
        due_on=soon + timedelta(days=20), last_lawful_on=soon + timedelta(days=20)
    )
    shorten_date(
        plan=house.plan, no_later_than=soon, why="Six wires since May",
        by=house.people["examiner"], at=now - timedelta(hours=1),
    )  # fmt: skip
    before = put(phone_of(house, "competent"), uuid4(), message(house)).json()
    assert "date_shortened" in before["flags"], "looked at two hours ago"
    house.task.refresh_from_db()
    assert house.task.state == Task.State.OPEN
    after = message(house, saved_at=(now - timedelta(minutes=5)).isoformat())
    assert "date_shortened" not in put(phone_of(house, "competent"), uuid4(), after).json()["flags"]
    house.task.refresh_from_db()
    assert house.task.state == Task.State.DONE


def test_taken_out_meanwhile_is_said_and_the_check_does_not_return_it(house: Any) -> None:
    now = timezone.now()
    take_out_of_service(equipment=house.winch, why="Noise", by=house.people["stagehand"], at=now)
    receipt = put(phone_of(house, "competent"), uuid4(), message(house)).json()
    assert "out_meanwhile" in receipt["flags"]
    assert state_of(house.winch, now.date()).out
    known = put(phone_of(house, "competent"), uuid4(), message(house, out_known=True)).json()
    assert "out_meanwhile" not in known["flags"]


def test_an_order_given_after_a_check_of_two_days_ago_is_said_when_it_arrives(house: Any) -> None:
    now = timezone.now()
    take_out_of_service(equipment=house.winch, why="Noise", by=house.people["stagehand"], at=now)
    said = message(house, saved_at=(now - timedelta(days=2)).isoformat())
    receipt = put(phone_of(house, "competent"), uuid4(), said).json()
    assert "out_meanwhile" in receipt["flags"]


def test_an_older_rule_set_or_another_verdict_on_the_phone_is_said(house: Any) -> None:
    said = message(
        house, rulesets={"us-osha-1926-1413": "0" * 64}, states={"": "fit"},
        answers=answers(house, broken="6"),
    )  # fmt: skip
    receipt = put(phone_of(house, "competent"), uuid4(), said).json()
    assert {"rules_replaced", "verdict_differs"} <= set(receipt["flags"])
    assert receipt["state"] == "retire"


def test_a_photograph_that_comes_before_its_check_or_after_belongs_to_its_answer(
    house: Any,
) -> None:
    pk, phone = uuid4(), phone_of(house, "competent")
    question = f"running_rope.{house.rope.pk}"
    one, other = photograph("red"), photograph("green")
    announced = [
        {"question": question, "sha256": sha256(each).hexdigest()} for each in (one, other)
    ]
    assert send_photograph(phone, pk, question, one) == 200
    assert put(phone, pk, message(house, photographs=announced)).status_code == 200
    assert [send_photograph(phone, pk, question, other) for _ in range(2)] == [200, 200]
    photos = AnswerPhoto.objects.filter(answer__record=pk, answer__check_slug="running_rope")
    assert photos.count() == 2
    said = json.loads(Record.objects.get(pk=pk).body)["phone"]
    assert said["photographs_sent"] == [each["sha256"] for each in announced]


def test_a_photograph_damaged_on_its_way_or_no_photograph_is_refused_in_words(house: Any) -> None:
    pk, phone = uuid4(), phone_of(house, "competent")
    address = f"/v/larkspur/sync/checks/{pk}/photographs/{'0' * 64}/?question=a"
    answer = phone.put(address, photograph("red"), content_type="image/jpeg")
    assert answer.status_code == 400
    assert "damaged" in answer.json()["words"]
    assert send_photograph(phone, pk, "a", b"MZ program") == 422


@pytest.mark.parametrize("question", ["a" * 500, "running_rope." + "9" * 40, "running_rope.٣"])
def test_a_photograph_of_a_question_nobody_asked_is_kept_once(house: Any, question: str) -> None:
    pk, phone = uuid4(), phone_of(house, "competent")
    put(phone, pk, message(house))
    assert [send_photograph(phone, pk, question, photograph("red")) for _ in range(2)] == [200, 200]
    assert SentPhotograph.objects.filter(check_id=pk).count() == 1
    assert not AnswerPhoto.objects.exists()


def test_a_photograph_announced_and_not_here_is_said_until_it_comes(house: Any) -> None:
    pk, phone = uuid4(), phone_of(house, "competent")
    question, picture = f"running_rope.{house.rope.pk}", photograph("red")
    announced = [{"question": question, "sha256": sha256(picture).hexdigest()}]
    put(phone, pk, message(house, photographs=announced))
    words = FLAG_WORDS["photo_to_come"]
    assert words in phone.get(f"/v/larkspur/records/{pk}/").content.decode()
    send_photograph(phone, pk, question, picture)
    assert words not in phone.get(f"/v/larkspur/records/{pk}/").content.decode()


def test_out_of_service_pressed_without_signal_bites_once_when_it_arrives(house: Any) -> None:
    now, pk, phone = timezone.now(), uuid4(), phone_of(house, "stagehand")
    said = json.dumps({
        "person": house.people["stagehand"].pk, "equipment": house.winch.pk, "why": "Rope jumped",
        "pressed_at": (now - timedelta(minutes=9)).isoformat(),
    })  # fmt: skip
    assert [put(phone, pk, said, "stops").status_code for _ in range(2)] == [200, 200]
    state = state_of(house.winch, now.date())
    assert state.out
    assert len(state.orders) == 1
    assert state.orders[0].why == "Rope jumped"
    pressed = Sent.objects.get(pk=pk).earliest_at
    assert timedelta(minutes=8) < timezone.now() - pressed < timedelta(minutes=10)


def test_the_day_of_a_check_is_the_day_it_was_done(house: Any) -> None:
    now, pk = timezone.now(), uuid4()
    said = message(house, saved_at=(now - timedelta(days=3)).isoformat())
    put(phone_of(house, "competent"), pk, said)
    expected = (now - timedelta(days=3)).astimezone(house.venue.zone).date()
    assert Record.objects.get(pk=pk).done_on == expected


@pytest.mark.parametrize(
    ("lapsed_days_ago", "closed"), [(2, False), (-1, True)], ids=["lapsed between", "still valid"]
)
def test_a_clock_put_back_signs_for_no_day_after_the_competence_lapsed(
    house: Any, lapsed_days_ago: int, closed: bool
) -> None:
    """The phone had the right time when the round was fetched, and its clock was put back later: the
    check was done somewhere in the four days since."""
    now, person = timezone.now(), house.people["competent"]
    with unguarded():
        Competence.objects.filter(person=person).update(
            expires_on=now.date() - timedelta(days=lapsed_days_ago)
        )
    fetched = (now - timedelta(days=4)).isoformat()
    said = message(
        house, pack_phone_at=fetched, pack_served_at=fetched,
        saved_at=(now - timedelta(days=4)).isoformat(),
    )  # fmt: skip
    answer = phone_of(house, "competent").put(
        f"/v/larkspur/sync/checks/{uuid4()}/", json.dumps(said), content_type="application/json",
        headers={"Phone-Clock": (now - timedelta(days=4)).isoformat()},
    )  # fmt: skip
    assert "clock_moved" in answer.json()["flags"]
    house.task.refresh_from_db()
    assert Record.objects.get().may_sign == closed
    assert (house.task.state == Task.State.DONE) == closed


def test_the_phones_clock_comes_beside_the_message_which_stays_the_same(house: Any) -> None:
    pk, now, client = uuid4(), timezone.now(), phone_of(house, "competent")
    slow, body = (
        timedelta(days=2),
        json.dumps(message(house, saved_at=(now - timedelta(days=2, hours=1)).isoformat())),
    )
    for _ in range(2):
        answer = client.put(
            f"/v/larkspur/sync/checks/{pk}/", body, content_type="application/json",
            headers={"Phone-Clock": (timezone.now() - slow).isoformat()},
        )  # fmt: skip
        assert answer.json()["flags"] == ["clock_off"]
    looked = Sent.objects.get(pk=pk).earliest_at
    assert abs(looked - (now - timedelta(hours=1))) < timedelta(minutes=1)


def test_a_wrong_phone_clock_is_set_right_by_the_servers() -> None:
    slow = timedelta(days=3)
    clocks = Clocks(NOON - slow, NOON - slow, NOON + timedelta(hours=1) - slow)
    earliest, latest = looked_between(clocks, NOON + timedelta(hours=1))
    assert earliest == latest == NOON
    assert clock_flags(clocks, NOON + timedelta(hours=1)) == ["clock_off"]


def test_a_clock_changed_between_saving_and_sending_leaves_a_span_never_before_the_round() -> None:
    received = NOON + timedelta(hours=5)
    clocks = Clocks(
        NOON, NOON, NOON - timedelta(days=900), pack_served_at=NOON - timedelta(hours=1),
        pack_behind=timedelta(0),
    )  # fmt: skip
    assert looked_between(clocks, received) == (NOON, received)
    assert clock_flags(clocks, received) == ["clock_off", "clock_moved"]
    future = Clocks(
        NOON, NOON + timedelta(days=900), received, NOON - timedelta(hours=1), timedelta(0)
    )
    assert looked_between(future, received) == (received, received)


def photograph(colour: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), colour).save(out, "JPEG")
    return out.getvalue()


def send_photograph(phone: Client, pk: UUID, question: str, content: bytes) -> int:
    digest = sha256(content).hexdigest()
    address = f"/v/larkspur/sync/checks/{pk}/photographs/{digest}/?question={question}"
    return phone.put(address, content, content_type="image/jpeg").status_code


def test_the_small_question_beside_a_check_is_kept_and_shown_and_judges_nothing(
    house: Any,
) -> None:
    asked = {"slug": "under", "question": "What stands under it now?", "answer": "People", "at": ""}
    pk, client = uuid4(), phone_of(house, "competent")
    assert put(client, pk, message(house, attention=asked)).json()["flags"] == []
    record = Record.objects.get(pk=pk)
    assert json.loads(record.body)["phone"]["attention"] == asked
    assert record.state == "fit"
    page = client.get(f"/v/larkspur/records/{pk}/").content.decode()
    assert "Asked beside: What stands under it now? People." in page


@pytest.mark.parametrize("attention", [None, "", [], 3, {}, {"answer": ["\x00"]}])
def test_a_check_without_a_small_question_or_with_an_odd_one_is_stored_all_the_same(
    house: Any, attention: Any
) -> None:
    pk, client = uuid4(), phone_of(house, "competent")
    assert put(client, pk, message(house, attention=attention)).json()["stored"]
    assert client.get(f"/v/larkspur/records/{pk}/").status_code == 200
