"""A verdict on the page of a check, in the language of the page."""

from __future__ import annotations

from django import template

from inspections.queries.checks import Asked
from venue.language_now import said

register = template.Library()


@register.filter
def verdict_said(asked: Asked) -> str:
    return asked.words_said(said)
