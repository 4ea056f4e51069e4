"""No text of the phone check and of the reports is missed by the catalogues: shown in a made-up
language, a page has no plain word left but names, tags, units and what people typed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from django.db import models
from django.test import Client
from django.urls import reverse

from inspections.models import Finding, Order
from inspections.reports.content import Report
from inspections.reports.document import page_html
from tests.inspections.kinds_house import AT, KINDS, drafted, make_kinds_house
from tests.pseudo_language import CODE, write_catalogues
from tests.test_walk import house_with_everything
from venue.languages import LANGUAGES
from venue.models import Equipment, Part, Person, Place

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

SAID_IN = (
    "title",
    "alt",
    "aria-label",
    "placeholder",
    "data-label",
    "data-review-words",
    "data-under-way",
)
# Names, units, signs and codes, the same in every language.
THE_SAME = frozenset(
    {
        "loftbook", "larkspur", "sha", "utc", "mm", "kg", "kn", "csv", "pdf", "json", "iso", "osha", "cfr",
        "english", "deutsch", "espa", "asme", "din", "europe", "london", "http", "https", "localhost",
    }
)  # fmt: skip
TYPED_IN_REPORTS = {
    "4 Quay Row", "Tern Harbour", "New brake linings fitted", "brake.jpg", "Caliper 2", "Card 1", "Type plate",
    "A lamp bar hangs below it.", "Ran full travel, brake held the rated load.", "moving",
    "Full travel with the rated load",
}  # fmt: skip
CODES = re.compile(r"\b(?=[0-9a-f-]*\d)[0-9a-f-]{8,}\b")
WORD = re.compile(r"[A-Za-z]{3,}")


class Texts(HTMLParser):
    """The texts of a page that a person reads or hears."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.unread = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.unread += tag in ("script", "style")
        self.found += [value for name, value in attrs if name in SAID_IN and value]

    def handle_endtag(self, tag: str) -> None:
        self.unread -= tag in ("script", "style")

    def handle_data(self, data: str) -> None:
        if not self.unread and data.strip():
            self.found.append(data.strip())


def plain_words(html: str, typed: set[str]) -> list[str]:
    """What of a page is in plain letters and is neither a name nor what somebody typed."""
    reader = Texts()
    reader.feed(html)
    left = []
    for text in reader.found:
        text = CODES.sub(" ", text)
        for known in sorted(typed, key=len, reverse=True):
            text = text.replace(known, " ")
        words = [word for word in WORD.findall(text) if word.lower() not in THE_SAME]
        if words:
            left.append(f"{' '.join(words)}   <- {text[:120]}")
    return list(dict.fromkeys(left))


def typed_texts(house: Any) -> set[str]:
    """Names, tags and whatever else stands in the rows as people wrote it."""
    found: set[str] = set()
    rows: Iterator[models.Model] = (
        row
        for model in (Person, Equipment, Part, Place, Finding, Order)
        for row in model.objects.all()
    )
    for row in rows:
        for name in (
            "name",
            "tag",
            "code",
            "detail",
            "why",
            "restriction",
            "identifier",
            "serial",
            "label",
        ):
            found.add(str(getattr(row, name, "") or ""))
        found |= {str(row)}
    found |= {
        house.venue.name,
        house.venue.organisation.name,
        house.venue.address,
        house.venue.slug,
    }
    found |= {hazard for place in Place.objects.all() for hazard in place.hazards}
    return {text for text in found if len(text) > 1}


def named(report: Report) -> set[str]:
    """Documents, editions, clauses: names, the same in every language."""
    matter = report.matter
    rows = [*matter.sources, *matter.items] if matter else []
    names = ("document", "edition", "clause", "address")
    return {str(getattr(row, name, "")) for row in rows for name in names} - {""}


@pytest.fixture(scope="session")
def made_up(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("locale")
    write_catalogues(folder)
    return folder


@pytest.fixture
def house(settings: Any, made_up: Path) -> Any:
    settings.LANGUAGES = [*LANGUAGES, (CODE, "Made up")]
    settings.LOCALE_PATHS = [made_up]
    house = house_with_everything()
    Person.objects.filter(pk=house.people["competent"].pk).update(language=CODE)
    return house


def pages_of_the_check(house: Any) -> dict[str, str]:
    slug, winch, draft = house.venue.slug, house.winch, house.drafts["competent"]
    sent = house.sent["competent"]
    return {
        "round": reverse("round", args=[slug]),
        "tag": reverse("by_tag", args=[slug, winch.tag]),
        "kept check": reverse("kept_check", args=[slug, house.task.pk]),
        "check": reverse("fill_check", args=[slug, draft.pk]),
        "review": reverse("review_check", args=[slug, draft.pk]),
        "out of service": reverse("take_out", args=[slug, winch.pk]),
        "sign": reverse("sign_check", args=[slug, sent.pk]),
        "language": reverse("choose_language"),
    }


def test_no_word_of_the_phone_check_is_missed(house: Any) -> None:
    client, typed = Client(), typed_texts(house)
    client.force_login(house.people["competent"])
    missed = {}
    for name, address in pages_of_the_check(house).items():
        answer = client.get(address)
        assert answer.status_code == 200, (name, answer.status_code)
        assert f'lang="{CODE}"' in answer.content.decode(), name
        missed[name] = plain_words(answer.content.decode(), typed)
    anonymous = Client(headers={"accept-language": CODE}).get("/account/login/")
    missed["sign-in"] = plain_words(anonymous.content.decode(), typed)
    assert not any(missed.values()), missed


@pytest.fixture
def reported(settings: Any, made_up: Path) -> Any:
    settings.LANGUAGES = [*LANGUAGES, (CODE, "Made up")]
    settings.LOCALE_PATHS = [made_up]
    return make_kinds_house()


def test_no_word_of_the_reports_is_missed(reported: Any) -> None:
    typed, missed = typed_texts(reported), {}
    drafts = {kind: drafted(reported, kind) for kind in KINDS}
    for name, report in drafts.items():
        html = page_html(replace(report, language=CODE), "0" * 64, frozenset(), AT)
        assert f'<html lang="{CODE}">' in html
        missed[name] = plain_words(html, typed | TYPED_IN_REPORTS | named(report))
    assert len(missed) == len(KINDS)
    assert not any(missed.values()), missed
