"""Which language a page is shown in, and what was said in English said in that one.

The person's own choice counts first, then the house's language, then what the browser asks for.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from gettext import GNUTranslations, NullTranslations, translation
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.utils import formats
from django.utils.dates import MONTHS, MONTHS_3, WEEKDAYS, WEEKDAYS_ABBR
from django.utils.functional import Promise, lazy
from django.utils.text import capfirst
from django.utils.translation import activate, get_language, gettext, override, to_locale

from venue.kind_fields import in_words
from venue.languages import BRITISH, ENGLISH
from venue.models import Person, Venue
from venue.said import MONTHS as NAMES
from venue.said import WEEKDAYS as DAYS
from venue.said import Habits, Sentences
from venue.stage_words import Within

LARGE_NOUNS = ("de",)  # within a sentence, too
# After the number of the day, before the year.
WRITTEN = {"de": (".", " "), "es": (" de", " de ")}
FORMS = {
    "de": (("D j", "D, j"), ("l j", "l, j"), ("j M", "j. M"), ("j F", "j. F")),
    "es": (
        ("D j", "D, j"), ("l j", "l, j"), ("j F", r"j \d\e F"), ("F Y", r"F \d\e Y"), ("M", "b"),
    ),
}  # fmt: skip


def said(text: object, *, more: str = "") -> str:
    """What was made in English, in the language of the page; the same in English, and where it was
    marked for translation already. `more`: a catalogue whose sentences are known here only."""
    language = get_language() or ENGLISH
    words = str(text)
    if isinstance(text, Promise):
        return words
    if language.startswith(ENGLISH):
        return stage_words_within(_stage_said(words, language), language)
    return sentences_in(language, more).say(words)


def _stage_said(words: str, language: str) -> str:
    """In English, what only an American stage says in the words of a British one."""
    return gettext(words) if language == BRITISH and words else words


def stage_words_within(words: str, language: str) -> str:
    """A finished sentence that names a check, an access or a kind of booking, on a British stage."""
    return _british_within()(words) if language == BRITISH else words


@lru_cache(maxsize=1)
def _british_within() -> Within:
    told: dict[str, str] = {}
    for app in apps.get_app_configs():
        told |= _texts_in(Path(app.path) / "locale", to_locale(BRITISH), "django")
    return Within(told)


def typed_said(text: object) -> str:
    """What somebody may have typed: told where it is a sentence of ours, else left as it is."""
    language = get_language() or ENGLISH
    words = str(text)
    if language.startswith(ENGLISH):
        return _stage_said(words, language)
    return sentences_in(language).say_typed(words)


def figure_said(figure: object) -> str:
    """A computed figure, alone or beside a sign of money, as the language writes it: with its own
    point, and where that is a comma without marks between thousands."""
    language = get_language() or ENGLISH
    if language.startswith(ENGLISH):
        return str(figure)
    point = sentences_in(language).habits.point
    return str(figure) if point == "." else str(figure).replace(",", "").replace(".", point)


def small_within(words: str) -> str:
    """A choice as it stands within a sentence: small, but where nouns keep their large letter."""
    return words if plain(get_language() or ENGLISH) in LARGE_NOUNS else words.lower()


def part_said(label: str) -> str:
    """A part as questions name it, by its code and what it is."""
    language = get_language() or ENGLISH
    return label if language.startswith(ENGLISH) else sentences_in(language).say_part(label)


def choice_said(stored: str) -> str:
    """A choice of a field, area_empty_only, as a person reads it. Only its first letter is raised:
    German nouns keep their own."""
    return str(capfirst(said(in_words(stored))))


_said_when_shown = lazy(said, str)


def said_choices(choices: Iterable[tuple[Any, str]]) -> list[tuple[Any, Any]]:
    """Choices of a form that are made in English, each in the language of whoever it is shown to.
    What is sent and kept is the value beside it."""
    return [(value, _said_when_shown(words)) for value, words in choices]


@lru_cache(maxsize=8)
def sentences_in(language: str, more: str = "") -> Sentences:
    known = known_in(language) | (known_in(language, more) if more else {})
    return Sentences(known, _exact, _habits(language))


def _habits(language: str) -> Habits:
    point = formats.get_format("DECIMAL_SEPARATOR", language)
    with override(language):
        months = {name: str(MONTHS[number]) for number, name in enumerate(NAMES, 1)}
        months |= {name[:3]: str(MONTHS_3[number]) for number, name in enumerate(NAMES, 1)}
        months["May"] = str(MONTHS[5])
        weekdays = {name: str(WEEKDAYS[number]) for number, name in enumerate(DAYS)}
        weekdays |= {name[:3]: str(WEEKDAYS_ABBR[number]) for number, name in enumerate(DAYS)}
    after_day, before_year = WRITTEN.get(language, ("", " "))
    return Habits(point, months, after_day, before_year, weekdays, language not in LARGE_NOUNS)


def language_of_papers(venue: Venue) -> str:
    """Of what a house prints: its own, or English as its stage speaks it."""
    return venue.language if venue.language not in ("", ENGLISH) else venue.dialect


def in_language(language: str) -> override:
    """For printing: en-GB and en-US are printed as English, in the very words of the records."""
    return override(ENGLISH if language.startswith(ENGLISH) else language)


def plain(language: str) -> str:
    """A language as people choose it: whichever stage speaks it, English is English."""
    return ENGLISH if language.startswith(ENGLISH) else language


def day_form(form: str) -> str:
    """A form of days as English pages name it, as the language of the page writes it."""
    for english, own in FORMS.get(get_language() or ENGLISH, ()):
        form = form.replace(english, own)
    return form


def known_in(language: str, domain: str = "said") -> dict[str, str]:
    """Every sentence of ours that this language has, by its English; none for English. `phone`: of
    those only what scripts say, and nothing that they compare."""
    found = (_texts_in(folder, language, domain) for folder in settings.LOCALE_PATHS)
    return next((texts for texts in found if texts), {})


def _texts_in(folder: Path, locale: str, domain: str) -> dict[str, str]:
    found: NullTranslations = translation(domain, folder, [locale], fallback=True)
    if not isinstance(found, GNUTranslations):
        return {}
    catalogue: dict[Any, str] = found._catalog  # type: ignore[attr-defined]
    return {text: told for text, told in catalogue.items() if text and isinstance(text, str)}


def _exact(text: str) -> str:
    return gettext(text)


def language_for(person: Any, venue: Venue | None = None) -> str:
    """Of a person in a house; what the browser asked for where neither says."""
    chosen = person.language if isinstance(person, Person) else ""
    language = chosen or (venue.language if venue else "") or get_language() or ENGLISH
    british = venue is not None and venue.dialect.lower() == BRITISH
    return BRITISH if british and language.startswith(ENGLISH) else plain(language)


def for_reader(person: Any, venue: Venue | None = None) -> override:
    """For a letter, or a page that is opened by a link in one: their own language, else the house's."""
    return override(language_for(person, venue))


def in_language_of(request: HttpRequest, venue: Venue) -> override:
    """For the whole of a view. Kept for what the browser asks without knowing whose it is: the
    worker of its kept pages, the sign-in."""
    request.LANGUAGE_CODE = language_for(request.user, venue)
    return override(request.LANGUAGE_CODE)


class LanguageOfPerson:
    """Middleware, after the one that knows who is signed in: pages that belong to no house."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        asked = get_language()
        answer = self.get_response(request)
        now = getattr(request, "LANGUAGE_CODE", asked)
        if plain(now) != plain(asked or ENGLISH):
            remember_language(answer, now)
            answer["Content-Language"] = now
        return answer

    def process_view(self, request: HttpRequest, view: Any, args: Any, named: Any) -> None:
        if getattr(view, "login_required", True) and request.user.is_authenticated:
            request.LANGUAGE_CODE = language_for(request.user)
            activate(request.LANGUAGE_CODE)


def remember_language(answer: HttpResponseBase, language: str) -> None:
    """For the pages that do not know who asks; forgotten with the browser's session, for the next
    person at it may speak another."""
    answer.set_cookie(
        settings.LANGUAGE_COOKIE_NAME, language,
        secure=settings.LANGUAGE_COOKIE_SECURE, httponly=True, samesite="Lax",
    )  # fmt: skip
