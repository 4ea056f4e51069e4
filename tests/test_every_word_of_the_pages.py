"""No word of any page is missed by the catalogues: every address of the product is shown in a made-up
language, as each role sees it, empty, filled, refused and after something was done. What is left in
plain letters must be a name, a code, a unit or what somebody typed.
"""

from __future__ import annotations

import io
import re
import tomllib
from collections.abc import Iterator
from functools import cache
from typing import Any

import openpyxl
import pytest
from django.db import models, transaction
from django.http import HttpResponse
from django.test import Client, RequestFactory, override_settings
from django.urls import get_resolver, reverse
from django.utils import timezone
from django.utils.translation import override
from django.views.defaults import server_error

from inspections.data_words import data_words, texts_in
from inspections.models import (
    AuditQuestion,
    HeadReceiver,
    LegalHold,
    Remedy,
    RetentionChoice,
)
from inspections.reports.kind_files import report_kinds
from rigging.calculators import load_calculators
from rigging.calculators.asking import ask
from rigging.calculators.rope import tables
from rigging.calculators.showing import answer_data
from rigging.engine import load_rulesets
from rigging.models import RuleChoice
from rigging.templatetags.calculators import answer_said
from tests.first_hour_files import season_list
from tests.page_words import ROOT, may_be_words
from tests.pseudo_language import CODE, write_catalogues
from tests.shared_rows import rows_of_a_file
from tests.test_every_word import CODES, THE_SAME, Texts, typed_texts
from tests.test_walk import (
    OF_NO_VENUE,
    PUT_ONLY,
    TYPED,
    address,
    clients,
    house_with_everything,
    patterns,
)
from venue.front_files import (
    OF_PAGES,
    desk_script_address,
    look_address,
    page_script_address,
    script_address,
)  # fmt: skip
from venue.kind_files import kinds
from venue.languages import LANGUAGES
from venue.models import (
    Booking,
    BookingRule,
    CalendarSource,
    Competence,
    LogLine,
    Person,
    Venue,
)
from venue.quantities import UNITS
from venue.queries.log_names import removed_words, shown, with_names
from venue.script_words import texts_of

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

ROLES = ("manager", "stagehand", "by link")
# What people typed, by the models that keep it; what a house has, `typed_texts` gathers.
TYPED_IN: dict[type[models.Model], tuple[str, ...]] = {
    AuditQuestion: ("text",), Booking: ("title",), BookingRule: ("words",), CalendarSource: ("name",),
    Competence: ("certificate",), HeadReceiver: ("address", "whose"), LegalHold: ("why",),
    Remedy: ("what",), RetentionChoice: ("why",), RuleChoice: ("why",), Person: ("email",),
}  # fmt: skip
ADDRESSES = re.compile(r"https?://\S+|[\w.-]+@[\w.-]+|\S+\.(?:xlsx|ics|jpg|pdf)\b")
UNDERSCORED = re.compile(r"\b[a-z0-9]+(?:_[a-z0-9]+)+\b")
WORDS = re.compile(r"[A-Za-z]{3,}")
SCRIPT = re.compile(r'<script[^>]* src="([^"]+)"')
# Signs of units, and a number of a clause.
SIGNS = {"lbf", "deg", "iii", "kip", "psf", "fpm", "mpa", "min", "kpa"}


@pytest.fixture(scope="module")
def made_up(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    folder = tmp_path_factory.mktemp("locale")
    write_catalogues(folder)
    languages = [*LANGUAGES, (CODE, "Made up")]
    with override_settings(LANGUAGES=languages, LOCALE_PATHS=[folder]):
        yield


@pytest.fixture(scope="module")
def house(made_up: None, django_db_setup: None, django_db_blocker: Any) -> Iterator[Any]:
    with rows_of_a_file(django_db_blocker):
        with django_db_blocker.unblock():
            house = house_with_everything()
            Person.objects.update(language=CODE)
        yield house


@cache
def names_of_data() -> frozenset[str]:
    """Documents, editions and clauses, as they are printed."""
    names = {word.text for word in data_words() if word.is_name}
    folders = ("rigging/rulesets", "inspections/regimes", "inspections/retention_rules")
    for folder in folders:
        for file in (ROOT / folder).rglob("*.toml"):
            for path, text in texts_in(tomllib.loads(file.read_text(encoding="utf-8"))):
                if path.endswith("clause"):
                    names.add(text)
                    names.add(text[:1].upper() + text[1:])
    return frozenset(name for name in names if WORDS.search(name))


class Reader:
    """Reads pages, and remembers what of each is in plain letters. A text is read once."""

    def __init__(self, house: Any) -> None:
        typed = typed_texts(house) | names_of_data()
        for model, fields in TYPED_IN.items():
            for row in model.objects.all():
                typed |= {str(getattr(row, field)) for field in fields}
        typed.add(removed_words(timezone.localdate()))  # kept in the place of a name
        typed |= {venue.name for venue in Venue.objects.all()}
        typed |= {str(value) for value in TYPED.values()} - SHORT_TYPED
        self.typed = frozenset(typed - {""})
        self.missed: dict[str, list[str]] = {}
        self.known: dict[str, frozenset[str]] = {}
        self.scripts: set[str] = set()
        self.pages = 0

    def read(self, name: str, answer: HttpResponse, typed: frozenset[str] = frozenset()) -> None:
        if answer.streaming or "text/html" not in answer.headers.get("Content-Type", ""):
            return
        self.pages += 1
        page = Texts()
        page.feed(answer.content.decode())
        self.scripts |= set(SCRIPT.findall(answer.content.decode()))
        for text in page.found:
            if text not in self.known:
                self.known[text] = plain_words_of(text, self.typed | typed)
                if self.known[text]:
                    self.missed.setdefault(name, []).append(text[:160])


def plain_words_of(text: str, typed: frozenset[str]) -> frozenset[str]:
    if not WORDS.search(text):
        return frozenset()
    rest = typed_pattern(typed).sub(" ", ADDRESSES.sub(" ", text))
    rest = CODES.sub(" ", UNDERSCORED.sub(" ", rest))
    return frozenset(word for word in WORDS.findall(rest) if word.lower() not in THE_SAME | SIGNS)


@cache
def typed_pattern(typed: frozenset[str]) -> re.Pattern[str]:
    """The longest first: a name may stand in another."""
    return re.compile("|".join(map(re.escape, sorted(typed, key=len, reverse=True))))


# Typed words that are words of pages too: what they hide would not be seen.
SHORT_TYPED = {
    "manager",
    "law",
    "on",
    "later",
    "title",
    "rule",
    "am",
    "de",
    "UTC",
    "1",
    "0",
    "5",
    "91",
}


def kept_in_the_log() -> frozenset[str]:
    """What a line of the log says of its row is kept, and shown as it was written."""
    lines = shown(with_names(LogLine.objects.all()))
    return frozenset(word for line in lines for word in (line.what, str(line.what).strip()))


def in_the_file() -> frozenset[str]:
    """Every cell of the spreadsheet that is asked about on its page."""
    book = openpyxl.load_workbook(io.BytesIO(season_list()))
    cells = {
        str(cell).strip()
        for sheet in book
        for row in sheet.iter_rows(values_only=True)
        for cell in row
        if cell
    }
    named = {"Suspended-load winch, several lines", "Pit lift, screw drive", "Fire safety curtain",
             "Gridiron or rigging platform"}  # fmt: skip
    # A column without a heading is named by its place, and the note keeps that name.
    unnamed = {"Column 1", "Column 2"}
    return frozenset(cells | {sheet.title for sheet in book} | named | unnamed)


@cache
def names_in_calculators() -> frozenset[str]:
    """Documents, also in pieces where a sentence names one; units and the codes of choices."""
    calculators = load_calculators().values()
    sources = {source for one in calculators for source in one.sources}
    sources |= {example.source for one in calculators for example in one.examples}
    names = {str(source) for source in sources} | {source.document for source in sources}
    for source in tables.sources().values():
        names |= {str(source), source.document, source.edition, source.clause}
    names |= {slug for one in calculators for asked in one.inputs for slug, _ in asked.choices}
    names |= {"MPa, bar", "Seale", "SFW", "FWS", "SWS", *(code for code in UNITS if len(code) > 3)}
    return frozenset(filter(WORDS.search, names))


def typed_on(name: str) -> frozenset[str]:
    if name == "calculator":
        return names_in_calculators()
    if name == "log":
        return kept_in_the_log()
    return in_the_file() if name in ("spreadsheet", "say_of_spreadsheet") else frozenset()


def told(reader: Reader) -> str:
    lines = [f"{name}:\n    " + "\n    ".join(texts) for name, texts in reader.missed.items()]
    return (
        f"{reader.pages} pages read, {sum(map(len, reader.missed.values()))} missed\n"
        + "\n".join(lines)
    )


def test_no_word_of_a_page_is_missed_whoever_looks(house: Any) -> None:
    reader, people = Reader(house), clients(house)
    for who in ROLES:
        for name, pattern in patterns().items():
            where = address(name, pattern, house, who)
            answer = people[who].get(where, headers={"accept-language": CODE})
            reader.read(name, answer, typed_on(name))
    assert reader.pages >= 350, reader.pages
    assert not reader.missed, told(reader)
    assert left_of_scripts(reader.scripts) == {}


def left_of_scripts(addresses: set[str]) -> dict[str, list[str]]:
    """What our scripts still say in plain letters; a page asks for no other."""
    with override(CODE):
        ours = {script_address(), desk_script_address(), look_address()}
        ours |= {page_script_address(name) for name in OF_PAGES}
        of_messages = page_script_address("push")  # asked for where they are switched on
    assert ours - addresses == {of_messages}
    assert addresses - ours == set()
    found = {}
    for where in ours:
        script = Client().get(where).content.decode()
        texts = [text.words for text in texts_of(script)]
        found[where] = [words for words in texts if may_be_words(words) and "é" not in words]
    return {where: words for where, words in found.items() if words}


def test_no_word_is_missed_of_each_rule_kind_and_report(house: Any) -> None:
    """Pages that are made of a file: each file once."""
    reader, manager = Reader(house), clients(house)["manager"]
    slug = house.venue.slug
    for rules in load_rulesets():
        for page in ("", "confirm/"):
            reader.read(rules, manager.get(f"/v/{slug}/rules/{rules}/{page}"))
    for kind in report_kinds():
        reader.read(kind, manager.get(f"/v/{slug}/reports/kinds/{kind}/"))
    for kind in kinds():
        reader.read(kind, manager.get(f"/v/{slug}/equipment/add/?kind={kind}"))
    assert reader.pages >= 60, reader.pages
    assert not reader.missed, told(reader)


@pytest.mark.parametrize("sent", [{}, TYPED], ids=["nothing", "something"])
def test_no_word_is_missed_of_what_a_form_answers(house: Any, sent: dict[str, str]) -> None:
    """Faults of forms, refusals, and what is said after something was done. Each is undone."""
    reader = Reader(house)
    manager = clients(house)["manager"]
    for name, pattern in patterns().items():
        if name in OF_NO_VENUE | PUT_ONLY:
            continue
        with transaction.atomic():
            where = address(name, pattern, house, "manager")
            answer = manager.post(where, sent, follow=True)
            reader.read(name, answer, typed_on(name))
            transaction.set_rollback(True)
    assert reader.pages >= 100, reader.pages
    assert not reader.missed, told(reader)


def test_no_word_of_an_empty_house_is_missed(house: Any) -> None:
    """What a page says where there is nothing yet."""
    reader = Reader(house)
    client = clients(house)["other manager"]
    for name, pattern in patterns().items():
        asks = set(get_resolver().reverse_dict.getlist(name)[0][0][0][1])
        if asks <= {"slug", "step"} and "slug" in asks:
            where = address(name, pattern, house, "manager").replace("/larkspur/", "/tern-studio/")
            reader.read(name, client.get(where), typed_on(name))
    assert reader.pages >= 50, reader.pages
    assert not reader.missed, told(reader)


def kept_line(said: dict[str, Any]) -> str:
    """A kept answer as the page of the equipment and a report tell it."""
    with override(CODE):
        return answer_said(said)


def test_no_word_is_missed_of_what_a_calculator_answers(house: Any) -> None:
    """Each with each of its worked examples, with an empty field, and with nonsense in all."""
    reader, manager, lines = Reader(house), clients(house)["manager"], 0
    for slug, one in load_calculators().items():
        where = reverse("calculator", args=[house.venue.slug, slug])
        sent = [dict(example.typed) for example in one.examples]
        sent += [sent[0] | {asked.slug: ""} for asked in one.inputs]
        sent += [{asked.slug: text for asked in one.inputs} for text in ("nonsense", "-1", "3 kg")]
        for typed in sent:
            given = {text for text in typed.values() if WORDS.search(text)}
            found = ask(one, typed).answer
            given |= {str(check.source) for check in found.checks} if found else set()
            given |= {check.source.document for check in found.checks} if found else set()
            reader.read(slug, manager.get(where, typed), names_in_calculators() | given)
            if found:
                line = kept_line(answer_data(one, found, typed))
                assert not plain_words_of(line, names_in_calculators() | given), line
                lines += 1
    assert lines >= 150, lines
    assert reader.pages >= 350, reader.pages
    assert not reader.missed, told(reader)


def test_no_word_of_a_refusal_is_missed(house: Any) -> None:
    reader, people = Reader(house), clients(house)
    header = {"accept-language": CODE}
    reader.read("403", people["stagehand"].get("/v/larkspur/people/"))
    reader.read("404", people["manager"].get("/v/larkspur/no-such-page/", headers=header))
    reader.read("404 of a stranger", Client().get("/no-such-page/", headers=header))
    with override(CODE):
        reader.read("500", server_error(RequestFactory().get("/")))
    strict = Client(enforce_csrf_checks=True)
    reader.read("a form from elsewhere", strict.post("/account/login/", {}, headers=header))
    for page in ("login", "signup", "password/reset", "logout"):
        reader.read(page, Client().get(f"/account/{page}/", headers=header, follow=True))
    for page in (
        "password/change",
        "email",
        "2fa",
        "2fa/totp/activate",
        "2fa/webauthn",
        "2fa/webauthn/add",
    ):
        reader.read(page, people["manager"].get(f"/account/{page}/", follow=True))
    assert reader.pages >= 12, reader.pages
    assert not reader.missed, told(reader)
