"""What a phone sends: read it, set its clock right, say what a person should know of it. Pure.

A message is never refused for what it says; what cannot be read is kept aside, whole.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from inspections.along import UNKEEPABLE, Along, read_along
from inspections.answers import AS_ARRIVED
from inspections.hours_worked import lifted

CLOCK_OFF = timedelta(seconds=60)
CLOCK_MOVED = timedelta(seconds=120)
LONGEST_FIELD = 2000
LONGEST_REMARK = 4000

LARGEST_NUMBER = 2**31 - 1
# What a person is told of a record that came from a phone, by flag.
FLAG_WORDS = {
    "clock_off": "The phone's clock was wrong; the times were set right by the server's.",
    "clock_moved": "The phone's clock was changed before sending: the time is known within a span only.",
    "regime_replaced": "The questions have changed since; these answers are to the questions as asked.",
    "task_closed": "The task was done by someone else meanwhile: both records are kept.",
    "task_of_another": "The task was given to another person meanwhile.",
    "date_shortened": "An examiner has set an earlier date since this check; its task stays open.",
    "task_unknown": "The task named is not in this book; the check is kept without one.",
    "out_meanwhile": "It was taken out of service meanwhile. This check does not return it.",
    "rules_replaced": "The phone judged by an older rule set; the server judged again.",
    "verdict_differs": "The phone showed another verdict than the server's. The server's counts.",
    "not_asked": "The phone did not ask every question; those count as not looked at.",
    "not_confirmed": "A figure far from what was expected was not confirmed: it is never taken for a pass.",
    "not_read": "An answer could not be read as typed: it is never taken for a pass.",
    "no_photo": "A photograph that a question needs did not come with the check.",
    "bad_as_it_stands": "An answer was not complete, and is bad by what could be read: it counts.",
    "other_list": "These questions are not for this kind of equipment: nothing here counts as a pass.",
    "part_gone": "Something asked about was moved or taken out meanwhile: see the remark.",
    "grade_too_mild": "A grade milder than the verdict was chosen; the one the regime names counts.",
    "photo_to_come": "A photograph is announced and has not arrived yet.",
    "voice_to_come": "A voice note is announced and has not arrived yet.",
    "drawn_to_come": "A drawn signature is announced and has not arrived yet.",
}


class Unreadable(ValueError):
    """The message cannot be made into anything; it is kept aside as it came."""


@dataclass(frozen=True)
class Clocks:
    """The phone's own clock, and what is known of how wrong it is."""

    started_at: datetime
    saved_at: datetime
    sent_at: datetime
    pack_served_at: datetime | None = None  # by the server's clock
    pack_behind: timedelta | None = None  # how far the phone was behind the server then


@dataclass(frozen=True)
class Announced:
    """A photograph that follows, by its question and the SHA-256 of its bytes as sent."""

    question: str
    sha256: str


@dataclass(frozen=True)
class CheckMessage:
    person: int
    equipment: int
    task: int | None
    regime: str
    clocks: Clocks
    answers: Mapping[str, Mapping[str, str]]
    worked: Mapping[str, str] = field(default_factory=dict)  # hours and people, as typed
    remark: str = ""
    device: str = ""
    number: int = 0  # the device's own counter: a gap shows
    release: str = ""
    photographs: tuple[Announced, ...] = ()
    along: tuple[Along, ...] = ()
    states: Mapping[str, str] = field(default_factory=dict)  # as the phone showed them
    rulesets: Mapping[str, str] = field(default_factory=dict)  # slug: hash, as the phone had them
    out_known: bool = False  # the phone knew that it was out of service
    attention: Mapping[str, str] = field(default_factory=dict)  # asked beside; never judged


@dataclass(frozen=True)
class StopMessage:
    person: int
    equipment: int
    why: str
    pressed_at: datetime
    sent_at: datetime
    device: str = ""


def read_check(text: str, sent_at: datetime) -> CheckMessage:
    """The check in a message, which the phone sent at `sent_at` by its own clock. The message
    itself is frozen when it is saved, so that sending again sends the same bytes.

    Raises Unreadable with a sentence.
    """
    said = _object(text)
    try:
        answers, worked = lifted(_answers(said["answers"]))
        return CheckMessage(
            person=int(said["person"]),
            equipment=int(said["equipment"]),
            task=int(said["task"]) if said.get("task") else None,
            regime=_clean(said["regime"]),
            clocks=_clocks(said, sent_at),
            answers=answers,
            worked=worked,
            remark=_clean(said.get("remark") or "")[:LONGEST_REMARK],
            device=_clean(said.get("device") or "")[:60],
            number=min(int(said.get("number") or 0), LARGEST_NUMBER),
            release=_clean(said.get("release") or "")[:60],
            photographs=_photographs(said),
            along=read_along(said.get("along")),
            states=_texts(said.get("states")),
            rulesets=_texts(said.get("rulesets")),
            out_known=said.get("out_known") is True,
            attention=_attention(said.get("attention")),
        )
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError) as fault:
        raise Unreadable(f"This is not a check as a phone sends it: {fault}.") from fault


# As `static/js/phone/stop.js` offers them, in the language of the phone: the number says which, so
# that it is kept in English. New ones go to the end: phones keep older lists.
STOP_REASONS = (
    "Noise or jerk", "Rope, chain or fitting", "Brake does not hold",
    "Does not stop where it should", "Something loose or in the way", "I am not sure it is safe",
)  # fmt: skip


def _reason(said: dict[str, Any]) -> str:
    number = said.get("reason")
    if type(number) is int and 0 <= number < len(STOP_REASONS):
        return STOP_REASONS[number]
    return _clean(said.get("why") or "").strip()[:300]


def read_stop(text: str, sent_at: datetime) -> StopMessage:
    """The order to take out of service in a message. Raises Unreadable with a sentence."""
    said = _object(text)
    try:
        return StopMessage(
            person=int(said["person"]),
            equipment=int(said["equipment"]),
            why=_reason(said) or "No reason given on the phone.",
            pressed_at=_moment(said["pressed_at"]),
            sent_at=sent_at,
            device=_clean(said.get("device") or "")[:60],
        )
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError) as fault:
        raise Unreadable(f"This is not an order as a phone sends it: {fault}.") from fault


def looked_between(clocks: Clocks, received_at: datetime) -> tuple[datetime, datetime]:
    """The earliest and the latest moment, by the server's clock, at which the check was finished.

    Never after its arrival and never before the round was fetched, where that is known.
    """
    behind = [received_at - clocks.sent_at]
    if clocks.pack_behind is not None:
        behind.append(clocks.pack_behind)
    moments = sorted(clocks.saved_at + each for each in behind)
    floor = clocks.pack_served_at or received_at - timedelta(days=30)
    bounded = [min(max(moment, min(floor, received_at)), received_at) for moment in moments]
    return bounded[0], bounded[-1]


def clock_flags(clocks: Clocks, received_at: datetime) -> list[str]:
    now_behind = received_at - clocks.sent_at
    flags = ["clock_off"] if abs(now_behind) > CLOCK_OFF else []
    if clocks.pack_behind is not None and abs(now_behind - clocks.pack_behind) > CLOCK_MOVED:
        flags.append("clock_moved")
    return flags


def clock_from(text: str, otherwise: datetime) -> datetime:
    """The phone's clock as it was sent; where it was not, it is taken to be right."""
    try:
        return _moment(text)
    except ValueError:
        return otherwise


def _object(text: str) -> dict[str, Any]:
    try:
        said = json.loads(text)
    except (ValueError, RecursionError) as fault:
        raise Unreadable("This is not JSON.") from fault
    if not isinstance(said, dict):
        raise Unreadable("This is not a JSON object.")
    return said


def _moment(value: object) -> datetime:
    moment = datetime.fromisoformat(str(value))
    if moment.tzinfo is None:
        raise ValueError(f"the time {value} has no zone")
    return moment


def _clean(value: object) -> str:
    """Without what no database keeps: the character zero, and half of a sign that a field cut."""
    return UNKEEPABLE.sub("\ufffd", str(value))


def _clocks(said: Mapping[str, Any], sent_at: datetime) -> Clocks:
    pack_at, served = said.get("pack_phone_at"), said.get("pack_served_at")
    known = bool(pack_at and served)
    return Clocks(
        started_at=_moment(said["started_at"]),
        saved_at=_moment(said["saved_at"]),
        sent_at=sent_at,
        pack_served_at=_moment(served) if known else None,
        pack_behind=_moment(served) - _moment(pack_at) if known else None,
    )


def _answers(said: Mapping[str, Any]) -> dict[str, dict[str, str]]:
    return {
        _clean(key)[:160]: {
            _clean(name)[:60]: _clean(text)[:LONGEST_FIELD]
            for name, text in fields.items()
            if name != AS_ARRIVED
        }
        for key, fields in said.items()
    }


def _photographs(said: Mapping[str, Any]) -> tuple[Announced, ...]:
    rows = said.get("photographs") or []
    return tuple(
        Announced(_clean(row["question"])[:160], _clean(row["sha256"])[:64]) for row in rows
    )


def _attention(said: Any) -> dict[str, str]:
    """The small question as asked and its answer; nothing where the phone asked none."""
    if not isinstance(said, Mapping):
        return {}
    names = ("slug", "question", "answer", "at")
    return {name: _clean(said.get(name, ""))[:200] for name in names}


def _texts(said: Any) -> dict[str, str]:
    return {_clean(name)[:160]: _clean(text)[:80] for name, text in (said or {}).items()}
