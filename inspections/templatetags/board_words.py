"""What holds a half-day of the board, in a cell that has room for four letters."""

from __future__ import annotations

from django import template

from inspections.held_half_days import SHORT
from venue.language_now import said

register = template.Library()


@register.filter
def said_short(what: str) -> str:
    """The catalogue has the letters under their own name: cut short, another word would stand there."""
    short = SHORT[what]
    named = f"{short} (short)"
    told = said(named) if short.isalpha() else named
    return short if told == named else told
