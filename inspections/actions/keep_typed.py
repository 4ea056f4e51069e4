"""Sort a posted form into questions and keep each. Field names are "<question key>:<field>"."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from django.http import QueryDict
from django.utils.datastructures import MultiValueDict

from inspections.actions.fill_check import (
    add_draft_photograph,
    add_draft_voice_note,
    keep_answer,
    keep_answers,
    keep_remark,
)
from inspections.models import Draft
from venue.file_store import StoreFull
from venue.models import Person
from venue.photographs import NotAPhotograph
from venue.voice_notes import NotAVoiceNote

# What a file field keeps, by the last part of its name.
KEEP = {"photo": add_draft_photograph, "voice": add_draft_voice_note}


def keep_all_typed(
    *, draft: Draft, post: QueryDict, files: MultiValueDict, by: Person, at: datetime
) -> list[str]:
    """Keep every question of a whole form. Returns what went wrong with the files."""
    typed: dict[str, dict[str, str]] = {}
    for name in post:
        key, found, field = name.rpartition(":")
        if found:
            typed.setdefault(key, {})[field] = str(post[name])
    changed = {key: fields for key, fields in typed.items() if _changed(draft, key, fields)}
    if changed:
        keep_answers(draft=draft, typed=changed, at=at)
    if "remark" in post:
        keep_remark(draft=draft, remark=str(post["remark"]))
    return keep_files(draft=draft, files=files, by=by, at=at)


def keep_one_typed(
    *, draft: Draft, key: str, post: QueryDict, files: MultiValueDict, by: Person, at: datetime
) -> list[str]:
    fields = {
        name.rpartition(":")[2]: str(post[name]) for name in post if name.startswith(f"{key}:")
    }
    keep_answer(draft=draft, key=key, typed=fields, at=at)
    return keep_files(draft=draft, files=files, by=by, at=at)


def _changed(draft: Draft, key: str, fields: Mapping[str, str]) -> bool:
    # An answer sent again unchanged keeps the time at which it was given.
    kept = {name: value for name, value in draft.answers.get(key, {}).items() if name != "at"}
    given = {name: value for name, value in fields.items() if value.strip()}
    # The unit buttons are sent with every form; alone they are no answer.
    return kept != ({} if given.keys() == {"unit"} else given)


def keep_files(*, draft: Draft, files: MultiValueDict, by: Person, at: datetime) -> list[str]:
    """Photographs and voice notes, each under its question. Returns what went wrong."""
    faults = []
    for name in files:
        key, _, field = name.rpartition(":")
        if field not in KEEP:
            continue
        for upload in files.getlist(name):
            try:
                KEEP[field](draft=draft, key=key, upload=upload, by=by, at=at)
            except (NotAPhotograph, NotAVoiceNote, StoreFull) as fault:
                faults.append(str(fault))
    return faults
