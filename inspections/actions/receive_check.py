"""A check that was filled on a phone without signal arrives: kept as sent, then made a record.

One transaction; sending twice finds the first. What the phone could not know (a new question, a
figure not confirmed, a task done by someone else) is flagged and never counts as a pass.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from uuid import UUID

from inspections.actions.attach_sent_photographs import attach_to_draft
from inspections.actions.follow_moved_parts import follow_moved_parts
from inspections.actions.plans import freeze_regime
from inspections.actions.receive_message import OfAnotherPerson, receive
from inspections.actions.submit_check import submit_check
from inspections.consequences import TooMild, consequence_of
from inspections.hours_worked import NotHours, read_worked
from inspections.models import Draft, Record, RegimeVersion, Sent, Task
from inspections.phone_message import (
    FLAG_WORDS,
    CheckMessage,
    Unreadable,
    clock_flags,
    looked_between,
    read_check,
)
from inspections.queries.arrived_answers import Gone, answers_gone, as_it_bites, is_bad, told
from inspections.queries.checks import Asked, Sheet, sheet_of
from inspections.queries.state import state_of
from inspections.queries.tasks import shortened_since
from inspections.queries.use_checks import is_list_of, use_checks_of
from rigging.queries.ropes import rulesets_in_force
from venue.log_hash import sha256_of
from venue.models import Equipment, Person, Venue


def receive_check(
    *, venue: Venue, pk: UUID, text: str, by: Person, at: datetime, sent_at: datetime | None = None
) -> Sent:
    """What was made of the message; the same when it was sent before.

    Raises Unreadable and OtherUnderThisId after the message was kept aside, OfAnotherPerson.
    """

    def make() -> Sent:
        return _make(venue, pk, text, read_check(text, sent_at or at), by, at)

    return receive(venue=venue, pk=pk, text=text, by=by, at=at, make=make)


def _make(
    venue: Venue, pk: UUID, text: str, message: CheckMessage, by: Person, at: datetime
) -> Sent:
    if message.person != by.pk:
        raise OfAnotherPerson("This check was filled in by another person, who has to sign in.")
    draft, flags = _draft(venue, pk, message, by, at)
    earliest, latest = looked_between(message.clocks, at)
    flags += clock_flags(message.clocks, at)
    day = earliest.astimezone(venue.zone).date()
    attach_to_draft(draft)
    _keep_worked(draft, message)
    sheet = sheet_of(draft, day)
    gone = answers_gone(draft, sheet.asked)
    flags += _keep_what_is_gone(draft, gone)
    flags += _close_open_questions(draft, sheet, day)
    if not is_list_of(draft.equipment, draft.version):
        flags += _pass_nothing(draft, sheet_of(draft, day))
    sheet = sheet_of(draft, day)
    flags += _drop_grades_too_mild(draft, sheet, day)
    # As things stand on arrival: an order given after the check is what the phone could not know.
    flags += _what_changed_meanwhile(draft, sheet, message, at.astimezone(venue.zone).date())
    if draft.task and shortened_since(draft.task.plan, latest):
        flags.append("date_shortened")
    draft.phone = _phone_says(message, earliest, latest, flags, text, draft.phone)
    draft.save(update_fields=["answers", "phone"])
    record = submit_check(draft=draft, by=by, at=at, day=day, latest=latest)
    follow_moved_parts(record=record, gone=gone, day=day, by=by, at=at)
    flags += _differences(record, message)
    return Sent.objects.create(
        id=pk, venue=venue, what=Sent.What.CHECK, by=by, body=text, sha256=sha256_of(text),
        device=message.device, number=max(0, message.number), received_at=at,
        earliest_at=earliest, latest_at=latest, flags=sorted(set(flags)), record=record,
    )  # fmt: skip


def _draft(
    venue: Venue, pk: UUID, message: CheckMessage, by: Person, at: datetime
) -> tuple[Draft, list[str]]:
    equipment = Equipment.objects.filter(venue=venue, pk=message.equipment).first()
    version = RegimeVersion.objects.filter(hash=message.regime).first()
    if version is None and equipment is not None and message.task is None:
        version = _first_used(equipment, message.regime, at)
    if equipment is None:
        raise Unreadable("The equipment of this check is not in this book.")
    if version is None:
        raise Unreadable("The list of checks of this check is not in this book.")
    task, flags = _task(venue, message, by)
    draft = Draft.objects.create(
        id=pk, equipment=equipment, task=task, version=version, by=by, submitted_at=at,
        started_at=min(message.clocks.started_at, at), remark=message.remark,
        answers={key: dict(fields) for key, fields in message.answers.items()},
        phone=_announced(message),
    )  # fmt: skip
    return draft, flags


def _first_used(equipment: Equipment, hash_: str, at: datetime) -> RegimeVersion | None:
    """A check before use that nobody had done with these questions: its page froze nothing."""
    fitting = (regime for regime in use_checks_of(equipment) if regime.hash == hash_)
    regime = next(fitting, None)
    return freeze_regime(regime, at) if regime else None


def _task(venue: Venue, message: CheckMessage, by: Person) -> tuple[Task | None, list[str]]:
    if message.task is None:
        return None, []
    rows = Task.objects.select_related("plan__version")
    task = rows.filter(venue=venue, equipment=message.equipment, pk=message.task).first()
    if task is None:
        return None, ["task_unknown"]
    flags = [] if task.state == Task.State.OPEN else ["task_closed"]
    if task.person_id not in (None, by.pk):
        flags.append("task_of_another")
    if task.plan.version.hash != message.regime:
        flags.append("regime_replaced")
    return task, flags


def _close_open_questions(draft: Draft, sheet: Sheet, day: date) -> list[str]:
    """What is open on arrival cannot be asked any more: it counts as not looked at, with why, unless
    what can be read of it is bad."""
    flags: list[str] = []
    still_open = [asked for asked in sheet.asked if not asked.complete]
    rulesets = rulesets_in_force(draft.equipment.venue, day) if still_open else []
    for asked in still_open:
        flag, why = _why_open(asked)
        bad = as_it_bites(asked, rulesets)
        kept = told(asked.typed)
        reason = f"{why} {f'On the phone stood: {kept}' if kept else ''}".strip()
        draft.answers[asked.question.key] = (bad or {"given": "could_not_look"}) | {
            "reason": reason[:300], "at": asked.typed.get("at", ""),
        }  # fmt: skip
        flags += [flag, "bad_as_it_stands"] if bad else [flag]
        if bad and flag == "no_photo":
            draft.phone.setdefault("photographs_missing", []).append(asked.question.key)
    return flags


def _pass_nothing(draft: Draft, sheet: Sheet) -> list[str]:
    """The list of another kind of equipment says nothing good of this one; what is bad counts."""
    for asked in sheet.asked:
        if not is_bad(asked.state):
            given = told(asked.typed)
            draft.answers[asked.question.key] = {
                "given": "could_not_look", "at": asked.typed.get("at", ""),
                "reason": f"{FLAG_WORDS['other_list']} On the phone stood: {given}"[:300],
            }  # fmt: skip
    return ["other_list"]


def _keep_what_is_gone(draft: Draft, gone: Sequence[Gone]) -> list[str]:
    """What was answered about a part that is not here any more stands in the remark, in words."""
    for each in gone:
        draft.answers.pop(each.key)
    lines = [f"Answered on the phone, no longer part of this check: {each.words}." for each in gone]
    draft.remark = "\n".join(filter(None, [draft.remark, *lines]))
    return ["part_gone"] if gone else []


def _keep_worked(draft: Draft, message: CheckMessage) -> None:
    """Hours worked that are none stand in the remark as they were typed."""
    try:
        read_worked(message.worked)
    except NotHours:
        line = f"Hours worked, as typed on the phone: {'; '.join(message.worked.values())}."
        draft.remark = "\n".join(filter(None, [draft.remark, line]))
    else:
        draft.worked = dict(message.worked)


def _drop_grades_too_mild(draft: Draft, sheet: Sheet, day: date) -> list[str]:
    """A form would ask again; a check that has arrived must bite, by the regime's own grade."""
    flags = []
    for asked in sheet.asked:
        if asked.complete:
            try:
                consequence_of(asked.question.check, asked.state, asked.read.grade, day)
            except TooMild:
                for name in ("grade", "cured_by"):
                    draft.answers[asked.question.key].pop(name, None)
                flags.append("grade_too_mild")
    return flags


def _why_open(asked: Asked) -> tuple[str, str]:
    if asked.answer is None:
        return "not_asked", "Not asked on the phone."
    if asked.answer.complete:
        return "no_photo", "The photograph it needs is missing."
    if asked.answer.asked_again:
        return "not_confirmed", "Far from what was expected, and not confirmed."
    return "not_read", "Not understood as typed."


def _what_changed_meanwhile(
    draft: Draft, sheet: Sheet, message: CheckMessage, today: date
) -> list[str]:
    flags = []
    state = state_of(draft.equipment, today)
    if state.out and not message.out_known:
        flags.append("out_meanwhile")
    hashes = {
        one.ruleset: one.hash for asked in sheet.asked for one in asked.judgements if one.hash
    }
    if any(message.rulesets.get(slug, hash_) != hash_ for slug, hash_ in hashes.items()):
        flags.append("rules_replaced")
    return flags


def _phone_says(
    message: CheckMessage, earliest: datetime, latest: datetime, flags: list[str], text: str,
    known: Mapping[str, object],
) -> dict[str, object]:  # fmt: skip
    clocks = message.clocks
    missing = {name: known[name] for name in ("photographs_missing",) if name in known}
    attention = {"attention": dict(message.attention)} if message.attention else {}
    return {
        "device": message.device, "number": message.number, "release": message.release,
        "saved_at": clocks.saved_at.isoformat(), "sent_at": clocks.sent_at.isoformat(),
        "earliest_at": earliest.isoformat(), "latest_at": latest.isoformat(),
        "flags": sorted(set(flags)), "message_sha256": sha256_of(text), **_announced(message),
        **missing, **attention,
    }  # fmt: skip


def _announced(message: CheckMessage) -> dict[str, object]:
    """What follows its check, by question and SHA-256."""
    along = {"along": [each.to_dict() for each in message.along]} if message.along else {}
    return {
        "photographs": [each.question for each in message.photographs],
        "photographs_sent": [each.sha256 for each in message.photographs],
        **along,
    }


def _differences(record: Record, message: CheckMessage) -> list[str]:
    shown = message.states.get("")
    return ["verdict_differs"] if shown and shown != record.state else []
