"""A British house reads its own stage's words, an American one its own; what is kept is the same."""

from __future__ import annotations

from typing import Any

import pytest
from babel.messages.mofile import read_mo
from django.test import Client
from django.urls import reverse
from django.utils.translation import override

from inspections.actions.fill_check import start_use_check
from inspections.models import RegimeVersion
from inspections.regime_files import regimes
from tests import stage_words
from tests.data_words import figures, placeholders, translations
from tests.house import NOW, make_equipment, make_house
from venue.kind_files import kinds
from venue.language_now import choice_said, language_for, plain, said, typed_said
from venue.languages import BRITISH, LANGUAGES
from venue.models import Booking, Venue

SET = {
    "set_number": "7", "lift_line_count": "5", "batten_length": "12 m", "travel": "18 m",
    "imbalance_limit": "20 kg",
}  # fmt: skip


def test_the_catalogue_holds_each_text_with_an_american_word_and_no_other() -> None:
    """After a change of words: `python -m tests.stage_words`, then read what is new."""
    known = translations(stage_words.read())
    assert known.keys() == stage_words.texts().keys()
    assert len(known) > 70
    with stage_words.PO.with_suffix(".mo").open("rb") as file:
        assert translations(read_mo(file)) == known


def test_no_british_text_has_an_american_word_left_and_figures_stay() -> None:
    for text, told in translations(stage_words.read()).items():
        assert not stage_words.american().search(told), told
        assert told != text
        assert figures(told) == figures(text)
        assert placeholders(told) == placeholders(text)
        assert " an cradle" not in told
        assert " a orchestra" not in told


def test_a_text_that_keeps_its_american_word_is_still_said_somewhere() -> None:
    every = {text for text, _where in stage_words._every()}
    assert stage_words.stays() <= every
    assert all(stage_words.american().search(text) for text in stage_words.stays())


def test_the_words_are_those_of_the_labels_of_kinds() -> None:
    """One word for one thing: a part is called on every page as its kind is."""
    told = stage_words.pairs()
    for slug, american in (
        ("gridiron", "gridiron"),
        ("catwalk", "catwalk"),
        ("pit_lift_screw", "pit lift"),
    ):
        labels = kinds()[slug].labels
        assert labels["en-US"].lower().startswith(american)
        assert labels["en-GB"].lower().startswith(told[american])


@pytest.mark.parametrize(("language", "label"), [("en", "Batten length"), (BRITISH, "Bar length")])
def test_only_the_british_page_says_the_british_word(language: str, label: str) -> None:
    with override(language):
        assert said("Batten length") == typed_said("Batten length") == label
        assert said("") == ""
        assert said("The rope is sound.") == "The rope is sound."
        assert choice_said("drum_winch") == "Drum winch"


def test_names_within_a_finished_sentence_are_british_too_and_what_is_typed_stays() -> None:
    asked = (
        "L1: Pit lift, monthly must be done on 3 March 2027. Missing: pit lift free to move. "
        "Longest in the way: The Snow Ferry (Load-in)."
    )
    told = (
        "L1: Orchestra lift, monthly must be done on 3 March 2027. Missing: orchestra lift free to "
        "move. Longest in the way: The Snow Ferry (Get-in)."
    )
    with override(BRITISH):
        assert said(asked) == told
        assert said("load-in: Nine Lanterns") == "get-in: Nine Lanterns"
        assert (
            said("Battens stripped and Pit lift, monthlys")
            == "Bars stripped and Pit lift, monthlys"
        )
        typed = "The pit lift sticks at the hand line; load-in at nine."
        assert (said(typed), typed_said(asked)) == (typed, asked)
    with override("en"):
        assert said(asked) == asked


@pytest.mark.django_db
def test_the_house_decides_and_nobody_chooses_it() -> None:
    house = make_house()
    manager = house.people["manager"]
    assert BRITISH not in dict(LANGUAGES)
    house.venue.dialect = "en-GB"
    assert language_for(manager, house.venue) == BRITISH
    assert plain(BRITISH) == "en"
    assert language_for(manager) == "en"  # a page that belongs to no house
    manager.language = "de"
    assert language_for(manager, house.venue) == "de"
    house.venue.dialect = "en-US"
    manager.language = ""
    assert language_for(manager, house.venue) == "en"


def seen(house: Any, name: str, *more: object) -> str:
    client = Client()
    client.force_login(house.people["competent"])
    answer = client.get(reverse(name, args=["larkspur", *more]))
    assert answer.status_code == 200
    assert "language" not in answer.cookies
    return " ".join(answer.content.decode().split())


@pytest.mark.django_db
@pytest.mark.parametrize("dialect", ["en-US", "en-GB"])
def test_pages_and_questions_follow_the_house_and_what_is_kept_does_not(dialect: str) -> None:
    house = make_house()
    Venue.objects.filter(pk=house.venue.pk).update(dialect=dialect)
    piece = make_equipment(house.venue, "CW7", "counterweight_set_single", SET)
    Booking.objects.create(
        venue=house.venue, what="load_in", title="The Glass Ferry", starts=NOW.replace(year=2101),
        ends=NOW.replace(year=2102),
    )  # fmt: skip
    draft = start_use_check(
        equipment=piece, regime=regimes()["counterweight_before_use"],
        by=house.people["competent"], at=NOW,
    )  # fmt: skip
    pages = {
        "equipment": (seen(house, "equipment", piece.pk), "Batten length", "Bar length"),
        "tag": (seen(house, "by_tag", "CW7"), "the arbor runs away", "the cradle runs away"),
        "check": (seen(house, "fill_check", draft.pk), "Is the batten level", "Is the bar level"),
        "bookings": (seen(house, "bookings"), ">Load-in<", ">Get-in<"),
    }
    for name, (text, american, british) in pages.items():
        there, gone = (american, british) if dialect == "en-US" else (british, american)
        assert there in text, name
        assert gone not in text, name
        assert f'<html lang="{dialect}"' in text
    assert "Is the batten level" in RegimeVersion.objects.get(pk=draft.version_id).body
