"""Every address of Loftbook, asked by everyone: who sees it, who may not, who learns nothing."""

from __future__ import annotations

import io
import json
from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.apps import apps
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils import timezone
from PIL import Image

from inspections.actions.ask_for_evidence import ask_for_evidence
from inspections.actions.ask_for_paper import ask_for_paper
from inspections.actions.ask_for_report import ask_for_draft
from inspections.actions.audit_questions import ask_question
from inspections.actions.background_jobs import end_job, take_up
from inspections.actions.desk_links import make_desk_link
from inspections.actions.fill_check import keep_answer, start_use_check
from inspections.actions.issue_report import issue_report
from inspections.actions.made_files import KEPT_FOR, made_folder
from inspections.actions.mail_heads import add_head_receiver
from inspections.actions.make_asked_bundle import make_asked_bundle
from inspections.actions.planning_settings import add_absence
from inspections.actions.plans import apply_regime
from inspections.actions.quick_year_plan import make_quick_plan
from inspections.actions.receive_check import receive_check
from inspections.actions.retention import follow_retention_rules, place_hold
from inspections.actions.submit_check import submit_check
from inspections.actions.task_feeds import renew_feed_of_place
from inspections.evidence.progress import Progress
from inspections.models import Finding, Job, Order, PushDevice, Remedy, YearPlan
from inspections.reports.words import MEANINGS
from inspections.views.desk_session import MAY_SEND
from rigging.actions.confirm_figures import DocumentBefore, confirm_figures
from tests.first_hour_files import season_list
from tests.house import make_house, make_person
from tests.inspections.test_messages_from_phones import message
from venue.actions.calendars import add_calendar
from venue.actions.house import add_booking
from venue.actions.invitations import invite_person
from venue.actions.keep_file import keep_photograph
from venue.actions.people import end_membership
from venue.actions.spreadsheets import keep_spreadsheet
from venue.models import BookingRule, Venue
from venue.roles import may

pytestmark = pytest.mark.django_db

MEMBERS = ("manager", "competent", "stagehand", "examiner", "auditor")
EVERYONE = (*MEMBERS, "other manager", "by link", "stranger")
# Outside every venue: the way in, and the monitor's question.
OF_NO_VENUE = {
    "choose_language",
    "home",
    "desk_script",
    "first_person",
    "health",
    "invitation",
    "manifest",
    "look_script",
    "one_script",
    "one_style",
    "open_desk_link",
    "page_script",
    "phone_worker",
    "revocations",
    "stop_messages",
    "task_feed",
    "verify",
    "verify_record",
}
OPEN = OF_NO_VENUE - {"home"}
POST_ONLY = {
    "answer_check", "answer_question", "ask_for_paper", "calendar_apply", "calendar_fetch", "calendar_try",
    "cancel_task",
    "drop_spreadsheet", "end_set_up", "read_in_spreadsheet", "renew_invitation", "say_of_spreadsheet",
    "say_of_step", "send_spreadsheet",
    "change_task", "choose_ruleset", "confirm_task",
    "end_head_receiver",
    "end_confirmation", "end_membership", "keep_calculation", "end_plan", "end_ruleset", "generate_tasks",
    "move_booking_rule", "note_on_record", "remove_booking_rule", "revoke_desk_link", "starting_rules",
    "register_apply", "register_try", "say_seen", "start_task_check", "start_use_check", "submit_check",
    "copy_year_plan", "end_absence", "hours_choice", "lock_planned", "move_planned", "plan_year",
    "plan_year_again", "propose_year_plan", "publish_year_plan", "undo_planned_move", "withdraw_year_plan",
    "allow_device", "remove_device", "remove_devices",
    "add_task_feed", "renew_own_feed", "withdraw_own_feed", "withdraw_task_feed",
}  # fmt: skip
# What a phone sends: never a page, so whoever is not signed in gets 401 and no redirect.
PUT_ONLY = {"phone_along", "phone_check", "phone_photograph", "phone_signature", "phone_stop"}
BY_PHONES = PUT_ONLY | {"phone_round", "phone_rules", "phone_session"}
# Whoever is not signed in may ask these and nothing else; all but "health" are the way in.
LOGIN_EXEMPT = [
    "account_confirm_email", "account_confirm_login_code", "account_email_verification_sent",
    "account_inactive", "account_login", "account_logout", "account_reset_password",
    "account_reset_password_done", "account_reset_password_from_key",
    "account_reset_password_from_key_done", "account_signup", "choose_language", "desk_script",
    "first_person", "health", "invitation", "look_script", "manifest", "mfa_authenticate",
    "mfa_login_webauthn", "one_script", "one_style",
    "open_desk_link", "page_script", "phone_along", "phone_check", "phone_photograph", "phone_round", "phone_rules",
    "phone_session", "phone_signature", "phone_stop", "phone_worker", "revocations", "stop_messages", "task_feed",
    "verify", "verify_record",
]  # fmt: skip
# Filled in well enough that a missing right, and nothing else, is what refuses it.
TYPED = {
    "why": "Because.", "what": "New rope reeved.", "statement": "Seen over its whole length.",
    "name": "Somebody", "email": "somebody@larkspur.example", "role": "manager",
    "password": "a-long-enough-one-1", "level": "competent_person", "certificate": "Card 9",
    "issued_by": "College", "valid_from": "2025-01-01", "expires_on": "2098-01-01",
    "regime": "winch_ropes_monthly", "planned_on": "2026-05-20", "caption": "Drum",
    "starts": "2027-05-20 10:00", "ends": "2027-05-20 12:00", "time_zone": "UTC",
    "place": "Fly gallery", "tag": "W1", "part_code": "line 9", "no_later_than": "2099-01-01",
    "first_day": "2099-01-01", "days": "91", "seconds": "5", "seed": "1", "half": "am",
    "person": "1", "last_day": "2099-01-01", "whose": "The insurer",
    "words": "gala", "where": "title", "before": "0", "after": "0", "holds": "rule",
    "text": "It was so.", "to": "somebody@larkspur.example", "meaning": MEANINGS[0], "remark": "Nothing",
    "basis": "law", "reason": "Asked for.", "sure": "on",
    "rules": "de", "answer": "Tam did.", "said": "later",
}  # fmt: skip


def leaves(patterns: list, before: str = "") -> Iterator[tuple[str, URLPattern]]:
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from leaves(pattern.url_patterns, route)
        else:
            yield route, pattern


def patterns() -> dict[str, URLPattern]:
    """Ours by name; the account pages are the library's and have their own tests."""
    found = [
        pattern
        for route, pattern in leaves(get_resolver().url_patterns)
        if not route.startswith("account/")
    ]
    assert all(pattern.name for pattern in found), "an address without a name"
    named = {str(pattern.name): pattern for pattern in found}
    assert len(named) == len(found), "two addresses share a name"
    return named


def photograph() -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "grey").save(out, "JPEG")
    return SimpleUploadedFile("rope.jpg", out.getvalue(), "image/jpeg")


def rope_answers(house: Any, broken: str) -> dict[str, dict[str, str]]:
    rope = {
        "dia_1_a": "0.2475 in", "dia_1_b": "0.2475 in", "instrument": "Caliper", "looked": "yes",
        "broken_lay": broken, "broken_strand_count": "2", "broken_valley": "0", "broken_end": "0",
    }  # fmt: skip
    return {
        f"running_rope.{house.rope.pk}": rope,
        f"rope_identified.{house.rope.pk}": {"given": "yes"},
    }


@pytest.fixture
def house() -> Any:
    return house_with_everything()


def house_with_everything() -> Any:
    """One of everything that an address can name, made today by the clock that the views read."""
    house, now = make_house(), timezone.now()
    people, today = house.people, now.astimezone(house.venue.zone).date()
    sent = start_use_check(
        equipment=house.winch, regime=house.regime, by=people["competent"], at=now
    )
    for key, typed in rope_answers(house, "6").items():
        keep_answer(draft=sent, key=key, typed=typed, at=now)
    house.record = submit_check(draft=sent, by=people["competent"], at=now)
    house.report = issue_report(
        venue=house.venue, records=[house.record], signer=people["competent"],
        meaning=MEANINGS[0], at=now,
    )  # fmt: skip
    house.plan = apply_regime(
        equipment=house.winch, regime=house.regime, anchor=today, last_done_on=None,
        by=people["manager"], at=now,
    )  # fmt: skip
    house.confirmed = confirm_figures(
        venue=house.venue, ruleset="iso-4309-2017-counts", criteria=["combined"],
        before=DocumentBefore("ISO 4309", "2017", "combined effect", have_it=True),
        by=people["competent"], at=now,
    )[0]  # fmt: skip
    house.kept = keep_photograph(
        venue=house.venue, upload=photograph(), by=people["manager"], at=now
    )
    # A check under way is its owner's alone, so everyone who may carry one out has one.
    house.drafts = {
        role: start_use_check(equipment=house.winch, regime=house.regime, by=people[role], at=now)
        for role in ("manager", "competent", "stagehand", "examiner")
    }
    # So is a check from a phone whose maker may still sign it.
    house.task = house.plan.tasks.first()
    house.sent = {
        role: receive_check(
            venue=house.venue, pk=uuid4(), text=json.dumps(message(house, role, task=None)),
            by=people[role], at=now,
        )
        for role in ("manager", "competent", "stagehand", "examiner")
    }  # fmt: skip
    house.calendar = add_calendar(
        venue=house.venue, name="Main stage", address="", by=people["manager"], at=now
    )
    house.rule = BookingRule.objects.first()
    house.unknown = add_booking(
        venue=house.venue, what="unknown", title="Hold", starts=now, ends=now + timedelta(hours=3),
        leaves_accessible=[], by=people["manager"], at=now,
    )  # fmt: skip
    house.feed = renew_feed_of_place(
        venue=house.venue, place=house.winch.place, by=people["manager"], at=now
    )
    house.receiver = add_head_receiver(
        venue=house.venue, address="ines@insurer.example", whose="The insurer",
        by=people["manager"], at=now,
    )  # fmt: skip
    house.remedy = Remedy.objects.create(
        finding=Finding.objects.get(), what="Rope changed", by=people["competent"], at=now
    )
    house.followed = follow_retention_rules(
        venue=house.venue, rules="gb", why="The insurer asks.", by=people["manager"], at=now
    )
    house.hold = place_hold(
        venue=house.venue, equipment=house.winch, why="A claim", by=people["manager"], at=now
    )
    house.spreadsheet = keep_spreadsheet(
        venue=house.venue, content=season_list(), file_name="list.xlsx", by=people["manager"],
        at=now,
    )  # fmt: skip
    _, house.invitation = invite_person(
        venue=house.venue, email="new@larkspur.example", name="Somebody New", role="stagehand",
        certificate=None, by=people["manager"], at=now,
    )  # fmt: skip
    house.left = make_person(house.venue, "auditor", "left")
    gone = house.left.memberships.get()
    end_membership(membership=gone, by=people["manager"], at=now)
    house.day = str(today)
    house.question = ask_question(
        venue=house.venue, about={"record": house.record}, text="Who looked at the drum?",
        by=people["auditor"], at=now,
    )  # fmt: skip
    house.desk_link, house.desk_token = make_desk_link(
        venue=house.venue, name="Halloran and partners", address="ines@insurer.example",
        last_day=today + timedelta(days=30), by=people["manager"], at=now,
    )  # fmt: skip
    house.absence = add_absence(
        venue=house.venue, person=people["stagehand"], first_day=today, last_day=today, why="",
        by=people["manager"], at=now,
    )  # fmt: skip
    house.device = PushDevice.objects.create(
        person=people["manager"], endpoint="https://push.example.net/send/x", label="Android",
        since=now,
    )  # fmt: skip
    house.year_plan = year_plan_of(house, today, now)
    asked, _ = ask_for_evidence(
        venue=house.venue, start=today, end=today, by=people["auditor"], at=now
    )
    house.draft = drafted(house, now)
    house.paper = papered(house, today, now)
    house.bundle = take_up(pk=asked.pk, at=now)
    assert make_asked_bundle(job=house.bundle, at=now, progress=Progress())
    return house


def year_plan_of(house: Any, today: date, now: datetime) -> YearPlan:
    """A draft with tasks: everything can be reached, and nobody has other work."""
    Venue.objects.filter(pk=house.venue.pk).update(calendar_known_until=today + timedelta(days=400))
    house.venue.refresh_from_db()
    return make_quick_plan(
        venue=house.venue, first_day=today + timedelta(days=1), days=182,
        by=house.people["manager"], at=now,
    )  # fmt: skip


def drafted(house: Any, now: datetime) -> Job:
    """As the worker leaves it; the printing has tests of its own."""
    asked, _ = ask_for_draft(
        venue=house.venue, records=[house.record], by=house.people["competent"],
        meaning=MEANINGS[0], at=now,
    )  # fmt: skip
    job = take_up(pk=asked.pk, at=now)
    assert job
    (made_folder() / "draft.pdf").write_bytes(b"%PDF-1.7")
    end_job(job=job, result={"file": "draft.pdf", "kept_until": (now + KEPT_FOR).isoformat()})
    return job


def papered(house: Any, today: date, now: datetime) -> Job:
    """A paper of the year plan as the worker leaves it."""
    asked, _ = ask_for_paper(
        year_plan=house.year_plan, what="notice", of="detector_isolated", day=today,
        title="Notice", by=house.people["manager"], at=now,
    )  # fmt: skip
    job = take_up(pk=asked.pk, at=now)
    assert job
    (made_folder() / "paper.pdf").write_bytes(b"%PDF-1.7")
    end_job(job=job, result={"file": "paper.pdf", "kept_until": (now + KEPT_FOR).isoformat()})
    return job


def ids(house: Any) -> dict[str, int]:
    """The number that each address with <int:pk> is asked with; all exist in the house."""
    stagehand = house.venue.memberships.get(person=house.people["stagehand"])
    named = [
        (
            house.winch,
            "equipment take_out add_equipment_file apply_regime start_use_check kept_use "
            "dispose_equipment_files",
        ),
        (house.winch, "change_equipment add_part"),
        (house.confirmed, "end_confirmation"),
        (house.receiver, "end_head_receiver"),
        (house.rope, "every_rule"),
        (
            house.rope,
            "part retire_part change_part replace_part move_part add_part_file dispose_part_files",
        ),
        (house.remedy, "dispose_remedy_files"),
        (house.winch.place, "change_place"),
        (house.plan, "end_plan shorten_date"),
        (
            house.plan.tasks.first(),
            "task change_task cancel_task confirm_task start_task_check kept_check",
        ),
        (Finding.objects.get(), "finding record_remedy"),
        (Order.objects.get(), "return_to_service"),
        (stagehand, "add_competence end_membership renew_invitation"),
        (house.venue.rule_choices.first(), "end_ruleset"),
        (house.kept, "kept_file"),
        (
            house.calendar,
            "change_calendar end_calendar calendar_try calendar_fetch calendar_apply",
        ),
        (house.feed, "task_feed withdraw_task_feed"),
        (house.rule, "change_booking_rule move_booking_rule remove_booking_rule"),
        (house.unknown, "answer_unknown"),
        (house.bundle, "evidence_job evidence_download"),
        (house.draft, "report_job report_draft"),
        (house.paper, "paper_job paper_file"),
        (
            house.year_plan,
            "year_plan propose_year_plan publish_year_plan withdraw_year_plan copy_year_plan "
            "undo_planned_move plan_year_again year_board year_changes year_cost year_cost_file year_dark year_tasks "
            "year_papers ask_for_paper",
        ),
        (house.people["stagehand"], "working_week"),
        (house.left, "forget_person"),
        (house.followed, "end_retention"),
        (house.hold, "lift_hold"),
        (house.desk_link, "revoke_desk_link"),
        (house.question, "audit_question answer_question"),
        (house.absence, "end_absence"),
        (house.device, "remove_device"),
        (
            house.year_plan.planned.first(),
            "planned_task move_planned lock_planned check_planned_move",
        ),
    ]
    return {name: thing.pk for thing, names in named for name in names.split()}


def address(name: str, pattern: URLPattern, house: Any, who: str) -> str:
    """The address of a thing of the Larkspur, whoever asks."""
    known: dict[str, Any] = {
        "slug": house.venue.slug, "tag": house.winch.tag, "day": house.day,
        "number": house.report.number, "ruleset": "us-osha-1926-1413",
        "token": house.feed.token, "calculator": "fleet-angle", "regime": "winch_before_use",
        "sha256": house.report.record_sha256,
        "root_sha256": house.venue.seal_certificates.get(number=1).root_sha256,
        "step": "tags", "trade": "lifting", "set_up": "machine_locked", "kind": "annual_rigging",
        "which": "daily", "script": "find",
    }  # fmt: skip
    if name == "invitation":
        known["token"] = house.invitation
    elif name == "open_desk_link":
        known["token"] = house.desk_token
    elif name in PUT_ONLY:
        known |= {"pk": house.record.pk, "digest": "0" * 64, "what": "voice"}
    elif name in ("record", "note_on_record", "report_record", "dispose_record_files"):
        known["pk"] = house.record.pk
    elif name == "sign_check":
        known["pk"] = house.sent.get(who, house.sent["stagehand"]).pk
    elif name.endswith("_check") and not name.startswith(("start_", "kept_")):
        known["pk"] = house.drafts.get(who, house.drafts["stagehand"]).pk
    else:
        known["pk"] = ids(house).get(name)
    wanted = set(get_resolver().reverse_dict.getlist(name)[0][0][0][1])
    given = {argument: known[argument] for argument in wanted}
    assert None not in given.values(), f"{name}: say what its number names"
    return reverse(name, kwargs=given)


def clients(house: Any) -> dict[str, Client]:
    found = {who: Client(raise_request_exception=False) for who in EVERYONE}
    for who in (*MEMBERS, "other manager"):
        found[who].force_login(house.people[who])
    assert (
        found["by link"].post(reverse("open_desk_link", args=[house.desk_token])).status_code == 302
    )
    return found


def rows() -> dict[str, list]:
    """Every row of every table, whole; sessions, and that somebody was here, are not evidence."""
    return {
        model._meta.label: list(model._default_manager.order_by("pk").values_list())
        for model in apps.get_models()
        if model._meta.label not in ("sessions.Session", "inspections.LastVisit")
    }


def expected(name: str, pattern: URLPattern, who: str) -> int:
    """What a plain GET gets, by the one table of roles."""
    if name == "first_person":
        return 302  # somebody is here already
    if name in OPEN:
        return 200
    if name in PUT_ONLY:
        return 405
    if who == "stranger" and name in BY_PHONES:
        return 401
    if who == "stranger" or name == "home":
        return 302
    if name in POST_ONLY:
        return 405
    if who == "other manager":
        return 404
    role = "auditor" if who == "by link" else who
    return 200 if may(role, pattern.callback.needs) else 403


def test_every_view_of_a_venue_says_which_right_it_needs() -> None:
    silent = {name for name, one in patterns().items() if not hasattr(one.callback, "needs")}
    assert silent == OF_NO_VENUE


def test_only_the_monitors_question_and_the_sign_in_are_open_to_strangers() -> None:
    exempt = {
        str(pattern.name)
        for _, pattern in leaves(get_resolver().url_patterns)
        if not getattr(pattern.callback, "login_required", True)
    }
    assert sorted(exempt) == LOGIN_EXEMPT


def test_everyone_gets_from_every_address_what_the_table_of_roles_says(house: Any) -> None:
    walked, people = patterns(), clients(house)
    wrong, seen = [], 0
    before = rows()
    for name, pattern in walked.items():
        for who, client in people.items():
            response = client.get(address(name, pattern, house, who))
            if response.streaming:
                assert response.getvalue()
            seen += 1
            if response.status_code != expected(name, pattern, who):
                wrong.append((name, who, response.status_code, expected(name, pattern, who)))
            if who == "stranger" and response.status_code == 302:
                assert response.url.startswith("/account/login/"), (name, response.url)
    print(f"{seen} cells: {len(walked)} addresses, {len(people)} people")
    assert wrong == []
    assert len(walked) >= 80
    assert seen == 8 * len(walked)
    assert rows() == before, "looking changed something"


def test_whoever_may_not_changes_no_row_by_sending(house: Any) -> None:
    """Auditor and stagehand beyond their role, another venue's manager, and a stranger."""
    people, wrong, refused = clients(house), [], 0
    before = rows()
    for name, pattern in patterns().items():
        if name in OF_NO_VENUE:
            continue
        for who in ("auditor", "stagehand", "other manager", "stranger"):
            if may(who, pattern.callback.needs):
                continue
            sent = TYPED | {"file": photograph(), "evidence": photograph()}
            send = people[who].put if name in PUT_ONLY else people[who].post
            response = send(address(name, pattern, house, who), sent)
            refused += 1
            # An address that only shows things refuses the sending before it looks at the venue.
            allowed = {"other manager": (404, 405), "stranger": (302,)}.get(who, (403, 405))
            if name in POST_ONLY | PUT_ONLY:
                allowed = allowed[:1]
            if who == "stranger" and name in BY_PHONES:
                allowed = (401,)
            if response.status_code not in allowed:
                wrong.append((name, who, response.status_code))
    print(f"{refused} refusals")
    assert wrong == []
    assert rows() == before
    assert refused >= 2 * len(patterns())


def test_an_auditor_who_sends_to_what_they_may_read_changes_nothing(house: Any) -> None:
    auditor = clients(house)["auditor"]
    readable = {
        name: one
        for name, one in patterns().items()
        if name not in OF_NO_VENUE and may("auditor", one.callback.needs)
    }
    assert not set(readable) & POST_ONLY
    before = rows()
    statuses = {
        name: auditor.post(address(name, one, house, "auditor"), TYPED).status_code
        for name, one in readable.items()
    }
    assert {name for name, status in statuses.items() if status >= 500} == set()
    assert rows() == before


def test_whoever_came_by_a_link_sends_nothing_but_what_they_may_and_knows_no_other_house(
    house: Any,
) -> None:
    guest, before, wrong = clients(house)["by link"], rows(), []
    ours = {name: one for name, one in patterns().items() if name not in OF_NO_VENUE}
    for name, pattern in ours.items():
        where = address(name, pattern, house, "auditor")
        sent = guest.put(where, TYPED) if name in PUT_ONLY else guest.post(where, TYPED)
        if sent.status_code not in ({200, 302} if name in MAY_SEND else {403}):
            wrong.append((name, sent.status_code))
        elsewhere = guest.get(where.replace("/larkspur/", "/tern-studio/"))
        if elsewhere.status_code != (405 if name in POST_ONLY | PUT_ONLY else 404):
            wrong.append((name, "the other house", elsewhere.status_code))
    for name in ("account_login", "account_change_password", "account_email", "mfa_index"):
        for answer in (guest.get(reverse(name)), guest.post(reverse(name), TYPED)):
            assert (answer.status_code, "changes nothing" in answer.content.decode()) == (403, True)
    assert wrong == []
    assert rows() == before
    assert len(ours) >= 80
    assert {"audit_sample", "evidence"} <= MAY_SEND & set(ours)
