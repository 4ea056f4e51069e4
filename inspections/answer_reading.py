"""Turn what was typed into an answer. Pure: nothing is stored here and nothing typed is lost."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from inspections.answers import Measured, Question, ReadAnswer, read_typed_quantity
from inspections.rope_reading import is_whole, read_rope
from venue.quantities import Quantity, read_quantity


def read_answer(question: Question, typed: Mapping[str, str]) -> ReadAnswer:
    """Understand the typed fields of one question."""
    answer = ReadAnswer(question, reason=typed.get("reason", "").strip())
    answer.text = typed.get("text", "").strip()
    answer.grade = {
        name: typed.get(name, "").strip() for name in ("grade", "cured_by", "restriction")
    }
    if answer.grade["cured_by"] and not _is_day(answer.grade["cured_by"]):
        answer.faults["cured_by"] = (
            "Write the day by which it is cured as year-month-day: 2027-05-31."
        )
    if typed.get("given") in ("could_not_look", "not_applicable"):
        return _read_not_looked(answer, typed["given"])
    reader = _READERS.get(question.check.answer, _read_yes_no)
    reader(answer, typed)
    return answer


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def _read_not_looked(answer: ReadAnswer, given: str) -> ReadAnswer:
    answer.given = given
    if not answer.reason:
        answer.faults["reason"] = "Say why, in a few words."
    if given == "not_applicable" and answer.question.check.answer == "rope":
        answer.faults["given"] = (
            "A rope in the register has to be looked at: say “could not look” and why."
        )
    return answer


def _read_yes_no(answer: ReadAnswer, typed: Mapping[str, str]) -> None:
    given = typed.get("given", "")
    if given in ("yes", "no"):
        answer.given = given
    else:
        answer.faults["given"] = "Choose an answer."


def _read_text(answer: ReadAnswer, typed: Mapping[str, str]) -> None:
    if answer.text:
        answer.given = "value"
    else:
        answer.faults["text"] = "Write what you found, or say that you could not look."


def _read_choice(answer: ReadAnswer, typed: Mapping[str, str]) -> None:
    choice = typed.get("choice", "")
    if choice in answer.question.check.choices:
        answer.given, answer.text = "value", choice
    else:
        answer.faults["choice"] = "Choose one of the answers."


def _read_measured(answer: ReadAnswer, typed: Mapping[str, str]) -> None:
    value = read_typed_quantity(
        answer, typed, "value", answer.question.check.dimension, typed.get("unit", "")
    )
    if value is None:
        return
    answer.given = "value"
    answer.measured.append(
        Measured("value", value, typed.get("instrument", "").strip(), _uncertainty(answer, typed))
    )


def _read_count(answer: ReadAnswer, typed: Mapping[str, str]) -> None:
    text = typed.get("value", "").strip()
    if not is_whole(text) or len(text) > 6:
        answer.faults["value"] = "Type a whole number, 0 included."
        return
    answer.given = "value"
    answer.measured.append(Measured("count", read_quantity(text, "count", "1")))


def _uncertainty(answer: ReadAnswer, typed: Mapping[str, str]) -> Quantity | None:
    if not typed.get("uncertainty", "").strip():
        return None
    unit = typed.get("uncertainty_unit") or typed.get("unit", "")
    return read_typed_quantity(
        answer, typed, "uncertainty", answer.question.check.dimension, unit, far=False
    )


_READERS = {
    "measured": _read_measured,
    "count": _read_count,
    "choice": _read_choice,
    "text": _read_text,
    "rope": read_rope,
}
