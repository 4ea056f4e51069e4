"""What a phone takes along before it goes where there is no signal."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.conf import settings
from django.urls import reverse
from django.utils.translation import get_language

from inspections.models import Draft, Task
from inspections.phone_files import release_of
from inspections.phone_questions import questions_for_phone
from inspections.queries.checks import Sheet
from inspections.queries.passkeys import passkey_ids
from inspections.queries.said_for_phone import said_attention, said_questions, said_rules
from inspections.queries.state import states_of
from inspections.queries.tasks import round_of
from inspections.queries.use_checks import use_checks_nearby
from rigging.engine.phone_lists import ruleset_for_phone
from rigging.queries.ropes import rulesets_in_force
from venue.language_now import said
from venue.languages import ENGLISH
from venue.models import Person, Venue


@dataclass(frozen=True)
class Moment:
    """The server's clock and the venue's day, as a view read them."""

    now: datetime
    day: date


def blank_draft(task: Task, by: Person, now: datetime) -> Draft:
    """A draft that is never saved: the phone gives the check its own id when it is begun."""
    version = task.plan.version
    return Draft(equipment=task.equipment, task=task, version=version, by=by, started_at=now)


def check_for_phone(sheet: Sheet, by: Person) -> dict[str, Any]:
    """What the script of a kept page needs to judge and send the check of one task."""
    draft = sheet.draft
    venue = draft.equipment.venue
    return {
        "venue": venue.slug, "person": by.pk, "equipment": draft.equipment_id, "task": draft.task_id,
        "regime": draft.version.hash, "title": said(draft.version.title), "tag": draft.equipment.tag,
        "release": release_of(settings.BASE_DIR, get_language() or ENGLISH),
        "rules": reverse("phone_rules", args=[venue.slug]),
        "attention": said_attention(), "passkeys": passkey_ids(by),
        "questions": said_questions(questions_for_phone([each.question for each in sheet.asked])),
    }  # fmt: skip


def rules_for_phone(venue: Venue, day: date) -> dict[str, Any]:
    """The rule sets in force, by name, as a phone judges by them."""
    rulesets = rulesets_in_force(venue, day)
    told = {ruleset.slug: said_rules(ruleset_for_phone(ruleset)) for ruleset in rulesets}
    return {"rulesets": told}


def round_for_phone(venue: Venue, by: Person, moment: Moment) -> dict[str, Any]:
    """The addresses a phone keeps for this person's round of the day, and how each thing stands."""
    stops = round_of(by, venue, moment.day)
    states = states_of([stop.task.equipment for stop in stops], moment.day)
    before_use = use_checks_nearby(venue, {stop.task.equipment_id for stop in stops}, moment.day)
    things = [stop.task.equipment for stop in stops] + [each.equipment for each in before_use]
    tags = list(dict.fromkeys(thing.tag for thing in things))
    return {
        "person": by.pk, "venue": venue.slug, "served_at": moment.now.isoformat(),
        "release": release_of(settings.BASE_DIR, get_language() or ENGLISH),
        "pages": [
            reverse("round", args=[venue.slug]),
            reverse("phone_rules", args=[venue.slug]),
            *(reverse("kept_check", args=[venue.slug, stop.task.pk]) for stop in stops),
            *(
                reverse("kept_use", args=[venue.slug, each.equipment.pk, each.regime.slug])
                for each in before_use
            ),
            *(reverse("by_tag", args=[venue.slug, tag]) for tag in tags),
        ],
        "tasks": [
            {
                "task": stop.task.pk, "equipment": stop.task.equipment_id,
                "tag": stop.task.equipment.tag, "title": said(stop.task.plan.version.title),
                "state": states[stop.task.equipment_id].state,
            }
            for stop in stops
        ],
    }  # fmt: skip
