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
from django.conf import settings
from django.db import models
from django.test import Client
from django.urls import reverse

from inspections.models import Finding, Order
from inspections.models.finding import Grade
from inspections.queries.report_content import report_content
from inspections.reports import content as told
from inspections.reports.content import Report, Sheet, Signature
from inspections.reports.content_reading import report_from
from inspections.reports.document import page_html
from inspections.reports.words import MEANINGS
from rigging.actions.keep_calculation import keep_calculation
from rigging.calculators import load_calculators
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
    "data-whole",
    "data-part",
    "data-full",
    "data-none",
    "data-nothing",
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
    judged = [
        each for sheet in report.sheets for answer in sheet.answers for each in answer.judgements
    ]
    found = {str(getattr(row, name, "")) for row in [*rows, *judged] for name in names}
    return found - {""} | {f"{settings.LOFTBOOK_ADDRESS}/verify/"}


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


SIGNED = Signature(
    name="Tam Achterberg", role="Competent person", competence="Competent person, Card 1, valid until 3 May 2027",
    at=AT.isoformat(), meaning=MEANINGS[0], certificate_sha256="0" * 64, root_sha256="1" * 64,
)  # fmt: skip
LATER = "01900000-0000-7000-8000-000000000001 of 2026-03-04"


def with_everything(sheet: Sheet) -> Sheet:
    """What a sheet may hold beside what this house has on it."""
    lifted = "Tam Achterberg, 2026-03-04T09:05:00+00:00"
    order = told.Order("Out of service", "", "", "2026-03-04", lifted)
    finding = told.Finding(
        what="The brake drags.", part="", detail="", grade=Grade.NOT_USED.label,
        cured_by="", restriction="", by="Tam Achterberg", at=AT.isoformat(),
        remedies=(f"New brake linings fitted ({lifted})",), orders=(order,),
    )  # fmt: skip
    return replace(
        sheet, findings=(finding,), amended_by=(LATER,), amends=LATER[:36], could_sign=False,
        voice_notes=(told.VoiceNote("", "2" * 64),),
        drawn_signature=told.Photograph(1, "drawn", "3" * 64, "4" * 64),
    )  # fmt: skip


def test_no_word_of_a_sheet_is_missed_nor_of_what_was_worked_out_that_day(reported: Any) -> None:
    keep_calculation(
        equipment=reported.winch, calculator=load_calculators()["fleet-angle"],
        typed={"offset": "4 in", "distance": "12' 6\"", "drum": "smooth"}, why="New block",
        by=reported.people["competent"], at=reported.measured[-1].at,
    )  # fmt: skip
    records = [reported.measured[-1], reported.unseen]
    day = report_content(reported.venue, records, AT, 7, SIGNED)
    assert [len(sheet.worked_out) for sheet in day.sheets] == [1, 0]
    sheets = tuple(map(with_everything, day.sheets))
    for report in (replace(day, sheets=sheets), replace(day, sheets=sheets[:1])):
        html = page_html(replace(report, language=CODE), "0" * 64, frozenset(), AT)
        typed = (
            typed_texts(reported)
            | TYPED_IN_REPORTS
            | named(report)
            | {"New block", "Tam Achterberg"}
        )
        assert plain_words(html, typed) == []
        assert "T09:05" not in html, "a time as programs write it"


def test_a_report_asked_for_before_calculations_had_pieces_prints_their_line(reported: Any) -> None:
    kept = report_content(reported.venue, [reported.measured[-1]], AT).to_dict()
    for sheet in kept["sheets"]:
        del sheet["worked_out"]
        sheet["calculations"] = ["Fleet angle. Angle 2°. Worked out for: A new block (Tam)"]
    html = page_html(report_from(kept), "0" * 64, frozenset(), AT)
    assert "Worked out for: A new block (Tam)" in html
