"""The fields of one question as HTML.

Most questions differ from their blank form by a few typed values only. So a blank form is rendered
once and the values are put in; whatever else there is to show is rendered in full. Both ways give
the same text, and a test holds them to it.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from django.template import Context, Template
from django.template.loader import get_template
from django.utils.html import escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

from inspections.answers import Question
from inspections.models.finding import Grade
from inspections.queries.checks import Asked
from venue.quantities import UNITS

TYPED = (
    "value", "instrument", "uncertainty", "dia_1_a", "dia_1_b",
    "broken_lay", "broken_strand_count", "broken_valley", "broken_end",
)  # fmt: skip
CHOSEN = ("choice", "looked")


def with_fields(asked: Iterable[Asked], role: str) -> list[tuple[Asked, SafeString]]:
    """Each question with its fields, for the page."""
    template = get_template("inspections/question.html").template  # type: ignore[attr-defined]
    may_grade = role != "stagehand"
    return [(each, _fields(template, each, may_grade)) for each in asked]


def _fields(template: Template, asked: Asked, may_grade: bool) -> SafeString:
    told = asked.answer is not None and (asked.answer.faults or asked.answer.asked_again)
    if not (told or asked.photos or asked.photo_missing):
        blank = _blank(template, asked.question, may_grade, get_language())
        filled = filled_in(blank, asked)
        if filled is not None:
            return mark_safe(filled)  # nosec B308 B703 - our own form; what was typed is escaped
    return in_full(template, asked, may_grade)


@lru_cache(maxsize=512)
def _blank(
    template: Template, question: Question, may_grade: bool, language: str | None
) -> SafeString:
    # What the blank form shows is in the question and in the language, so it cannot grow old.
    return in_full(template, Asked(question, {}, None), may_grade)


def in_full(template: Template, asked: Asked, may_grade: bool) -> SafeString:
    question = asked.question
    shown = {
        "asked": asked,
        "q": question,
        "key": question.key,
        "kind": question.check.answer,
        "typed": asked.typed,
        "units": units_of(question),
        "unit": asked.typed.get("unit") or question.usual_unit,
        "grades": Grade.choices if may_grade else [],
    }
    return template.render(Context(shown))


def filled_in(blank: str, asked: Asked) -> str | None:
    """The blank form with what was typed; None where that takes more than putting in values."""
    question, html = asked.question, blank
    for name, value in asked.typed.items():
        if name == "at" or (name == "unit" and value == question.usual_unit):
            continue
        field = f'name="{question.key}:{name}" value="'
        if name in TYPED:
            place, text = f'{field}"', f'{field}{escape(value)}"'
        elif name in CHOSEN or name.startswith("cond_") or (name, value) in YES_NO:
            place = f'{field}{escape(value)}"'
            text = f"{place} checked"
        else:
            return None
        before, found, after = html.partition(place)
        if not found:
            return None
        html = before + text + after
    return html


YES_NO = (("given", "yes"), ("given", "no"))


def units_of(question: Question) -> list[tuple[str, str]]:
    """The units offered beside the reading: the house's own first, none where there is no choice."""
    check = question.check
    both = ("mm", "in") if check.answer == "rope" else (check.unit_metric, check.unit_us)
    codes = sorted({code for code in both if code}, key=lambda code: code != question.usual_unit)
    return [(code, UNITS[code].label) for code in codes] if check.answer != "count" else []
