"""A verdict on the page of a check, in the language of the page."""

from __future__ import annotations

from django import template

from inspections.finding_words import detail_pieces
from inspections.models import Finding
from inspections.queries.checks import Asked
from venue.language_now import said, typed_said

register = template.Library()


@register.filter
def verdict_said(asked: Asked) -> str:
    return asked.words_said(said)


@register.filter
def detail_said(finding: Finding) -> str:
    """What was judged in the language of the page, what somebody typed as it was typed."""
    answer = finding.answer
    typed = (answer.text, answer.reason) if answer else ()
    pieces = detail_pieces(finding.detail, typed)
    return "\n".join((typed_said if is_typed else said)(text) for text, is_typed in pieces)
