"""Stored names as words, for templates."""

from __future__ import annotations

from django import template

from venue.language_now import choice_said

register = template.Library()


@register.filter
def words_of_choice(stored: str) -> str:
    """A choice of a field, area_empty_only, as a person reads it."""
    return choice_said(stored)
