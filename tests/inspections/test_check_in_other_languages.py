"""The questions of a check in German and Spanish: shown in that language, answered in one."""

from __future__ import annotations

import html

import pytest
from django.template.loader import get_template
from django.utils.translation import gettext, override

from inspections.answers import Question
from inspections.queries.checks import ask
from inspections.queries.equipment import field_facts
from inspections.regime_files import regimes
from inspections.views import question_fields
from inspections.views.question_fields import in_full
from tests.data_words import LANGUAGES
from venue.kind_files import in_words, kinds, part_kinds
from venue.language_now import choice_said, said

CHECKS = {check.question: check for regime in regimes().values() for check in regime.checks}


def shown_of(question: str, language: str) -> str:
    """The fields of the question by the quick way, which must be those of the slow one."""
    check = CHECKS[question]
    asked = ask(Question(f"{check.slug}.7", check, usual_unit=check.unit("metric")), {}, [], [])
    template = get_template("inspections/question.html").template  # type: ignore[attr-defined]
    with override(language):
        quick = question_fields._fields(template, asked, may_grade=True)
        assert quick == in_full(template, asked, may_grade=True)
    return html.unescape(quick)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_question_is_asked_in_the_language_of_the_page(language: str) -> None:
    asked = [text for text, check in CHECKS.items() if check.answer not in ("rope", "text")][::12]
    assert len(asked) > 20
    for question in asked:
        assert question in shown_of(question, "en")
        shown = shown_of(question, language)
        with override(language):
            assert gettext(question) in shown
            assert gettext(CHECKS[question].limit_text or question) in shown
        assert question not in shown


@pytest.mark.parametrize("language", LANGUAGES)
def test_what_is_chosen_is_sent_by_its_own_name_in_every_language(language: str) -> None:
    question = "By which method was sensitivity tested?"
    shown = shown_of(question, language)
    assert len(CHECKS[question].choices) == 5
    for choice in CHECKS[question].choices:
        with override(language):
            assert f'value="{choice}" data-needed><span>{gettext(choice)}</span>' in shown


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_choice_of_a_kind_is_said_in_that_language(language: str) -> None:
    fields = [
        field for kind in (*kinds().values(), *part_kinds().values()) for field in kind.fields
    ]
    choices = {choice for field in fields for choice in field.choices}
    assert len(choices) > 100
    with override(language):
        alike = {each for each in choices if choice_said(each).lower() == each.replace("_", " ")}
    assert {each for each in alike if not any(letter.isdigit() for letter in each)} <= {
        "normal", "motor", "manila", "polyester", "reflector",
    }  # fmt: skip


def test_a_raised_first_letter_hides_no_words_and_takes_none_from_nouns() -> None:
    with override("de"):
        assert choice_said("area_empty_only") == "Nur bei leerem Bereich"
        assert said("Out of service") == "Außer Betrieb"
        assert said("cannot be decided") == "nicht entscheidbar"
    with override("es"):
        assert said("Cannot be decided") == "No puede decidirse"
    with override("en"):
        assert choice_said("area_empty_only") == "Area empty only"


@pytest.mark.parametrize("language", LANGUAGES)
def test_the_facts_of_every_kind_are_told_in_that_language(language: str) -> None:
    facts = get_template("parts/facts.html")
    for kind in (*kinds().values(), *part_kinds().values()):
        chosen = {field.name: field.choices[0] for field in kind.fields if field.choices}
        with override(language):
            shown = html.unescape(facts.render({"facts": field_facts(kind, chosen)}))
            for field in kind.fields:
                assert f"<dt>{gettext(field.label)}</dt>" in shown
                if field.choices:
                    assert f"<dd>{gettext(in_words(field.choices[0]))}</dd>" in shown
            assert "not known" not in shown


@pytest.mark.parametrize(
    ("language", "kind", "answers"),
    [
        ("de", "Seil", ("Nein.", "24,3 mm, Grenzwert höchstens 25 mm (Gängige Praxis des Fachs)")),
        ("es", "Cable", ("No.", "24,3 mm, límite como máximo 25 mm (Práctica común del oficio)")),
    ],
)
def test_what_a_finding_says_is_told_whole_in_that_language(
    language: str, kind: str, answers: tuple[str, str]
) -> None:
    written = ("No.", "24.3 mm, limit at most 25 mm (Common practice of the trade)")
    with override(language):
        for question in [text for text in CHECKS if text.endswith("?")][::7]:
            for answer, told in zip(written, answers, strict=True):
                whole = f"lift line or hand line 3, Rope: {question} {answer}"
                named = f"lift line or hand line 3, {kind}: {gettext(question)} {told}"
                assert said(whole) == named


def test_what_somebody_typed_is_left_alone() -> None:
    typed = (
        "Bent or cracked at the weld", "Latch of the bottom hook does not close",
        "Moved it from its mark, twice", "not tied at the pin rail",
    )  # fmt: skip
    for language in LANGUAGES:
        with override(language):
            assert [said(text) for text in typed] == list(typed)
