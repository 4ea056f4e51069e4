"""What the long lists say in one way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from datetime import date

from django.utils.dateformat import format as date_words

from venue.language_now import day_form, said


def day_words(day: date | None, unknown: str = "", form: str = "j M Y") -> str:
    return date_words(day, day_form(form)) if day else unknown


def counted(words: Iterable[str]) -> str:
    """Each with how often, in the order in which they come.

    >>> counted(["late", "planned", "planned"])
    '1 late, 2 planned'
    """
    return ", ".join(f"{number} {said(word)}" for word, number in Counter(words).items())
