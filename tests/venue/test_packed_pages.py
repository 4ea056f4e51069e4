"""Pages are packed on the line, files are not; and what each page loads stays within its budget."""

from __future__ import annotations

import gzip
from pathlib import Path

import brotli
import pytest
from django.http import FileResponse, HttpResponse
from django.test import Client, RequestFactory

from inspections.phone_files import files_for_phone, worker_script
from tests.house import make_person, make_venue
from venue.front_files import DESK, LOOK, LOOKS, OF_PAGES, STYLE, WHOLE, front_files
from venue.front_files import packed as packed_text
from venue.language_now import known_in
from venue.languages import LANGUAGES
from venue.packed_pages import PackedPages

STATIC = Path(__file__).resolve().parents[2] / "static"
# Of a first load of 150 kB: everything that every page asks for, as it goes over the line.
SCRIPT, MOST_OF_A_DESK, MOST_OF_A_STYLE, FONT, MARKS = 40_000, 12_000, 12_000, 36_000, 2_000
PUSH = 1_000
LEAST = 38_000  # of all scripts: what weighs less has lost some


def packed(answer: HttpResponse, asked: str = "gzip, deflate, br") -> HttpResponse:
    request = RequestFactory().get("/", headers={"Accept-Encoding": asked})
    return PackedPages(lambda request: answer)(request)


def test_a_page_is_packed_and_is_the_same_when_unpacked() -> None:
    page = "<p>Counterweight set</p>" * 400
    answer = packed(HttpResponse(page))
    assert answer["Content-Encoding"] == "gzip"
    assert len(answer.content) < 400
    assert gzip.decompress(answer.content).decode() == page
    assert "Accept-Encoding" in answer["Vary"]


def test_one_page_packed_twice_has_not_the_same_length() -> None:
    page = "<p>Counterweight set</p>" * 400
    assert len({len(packed(HttpResponse(page)).content) for _ in range(20)}) > 3


@pytest.mark.parametrize("kind", ["application/zip", "application/pdf", "image/jpeg", "text/csv"])
def test_a_file_goes_as_it_is(kind: str, tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_bytes(b"a" * 4000)
    with file.open("rb") as opened:
        assert "Content-Encoding" not in packed(FileResponse(opened, content_type=kind))
    assert "Content-Encoding" not in packed(HttpResponse(b"a" * 4000, content_type=kind))


def test_whoever_cannot_unpack_gets_the_page_as_it_is() -> None:
    assert packed(HttpResponse("a" * 4000), "identity").content == b"a" * 4000


@pytest.mark.django_db
def test_the_way_in_is_packed_by_the_whole_application() -> None:
    make_person(make_venue(), "manager")
    answer = Client().get("/account/login/", headers={"Accept-Encoding": "gzip"})
    assert answer["Content-Encoding"] == "gzip"


@pytest.mark.parametrize("language", [code for code, _ in LANGUAGES])
def test_all_scripts_of_a_phone_keep_to_its_budget(language: str) -> None:
    """What a page loads, and the worker where messages to phones are switched on."""
    files = front_files(language)
    known = known_in(language, "phone")
    worker = worker_script("0" * 12, files_for_phone(STATIC), STATIC, known, push=True)
    weight = sum(len(each.packed["br"]) for each in (files[WHOLE], files[LOOKS])) + len(
        packed_text(worker.encode())
    )
    assert LEAST <= weight <= SCRIPT, weight


def test_what_every_page_loads_keeps_to_its_budget() -> None:
    weight = {name: len(file.packed["br"]) for name, file in front_files().items()}
    # A check and a round have no search box; a desk page has one, and one script more at most.
    assert weight[WHOLE] + weight[LOOKS] <= SCRIPT
    desk = weight[DESK] + weight[LOOKS]
    more = max(weight[name] for name in OF_PAGES.keys() - {"find"})
    assert desk + weight["find"] + more <= MOST_OF_A_DESK, weight
    # The page Messages, where messages to phones are switched on.
    assert desk + weight["find"] + weight["push"] <= MOST_OF_A_DESK
    assert weight["push"] <= PUSH
    assert weight[STYLE] <= MOST_OF_A_STYLE
    assert (STATIC / "fonts" / "atkinson-hyperlegible-next-latin.woff2").stat().st_size <= FONT
    assert len(brotli.compress((STATIC / "img" / "marks.svg").read_bytes())) <= MARKS
    assert LOOK == "js/theme.js"
