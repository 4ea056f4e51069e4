"""What was made in English, in the language of the page. Known to every template without loading."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import template
from django.template.defaultfilters import date as plain_date
from django.utils.safestring import SafeString

from venue.language_now import day_form, figure_said, part_said
from venue.language_now import said as say
from venue.language_now import typed_said as say_typed
from venue.models import Part
from venue.models.equipment import named_once

register = template.Library()


@register.filter
def said(text: object) -> str:
    """Escaped as it was: words of a rule never bring markup, kept text keeps its own."""
    if text is None or text == "":
        return ""
    told = say(text)
    # What was safe is told by our own catalogues, or stays as it was.
    return SafeString(told) if isinstance(text, SafeString) else told  # nosec B703


@register.filter
def typed_said(text: object) -> str:
    if text is None or text == "":
        return ""
    told = say_typed(text)
    # Told by our own catalogues, or left as it was.
    return SafeString(told) if isinstance(text, SafeString) else told  # nosec B703


register.filter("part_said", part_said)
register.filter("figure_said", figure_said)


@register.filter
def part_named(part: Part | None) -> str:
    """A part by its code and name; a name that is its kind's own is said in the language of the page."""
    return named_once(part.code, say_typed(part.name)) if part else ""


@register.filter
def said_each(texts: Iterable[object]) -> list[str]:
    return [said(text) for text in texts or ()]


@register.filter(expects_localtime=True)
def date(value: Any, form: str | None = None) -> str:
    """As every page writes days, in the order of the language."""
    return plain_date(value, day_form(form) if form else form)
