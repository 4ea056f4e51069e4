"""Stored names as words, for templates."""

from __future__ import annotations

from django import template

from venue.kind_fields import in_words

register = template.Library()


@register.filter
def words_of_choice(stored: str) -> str:
    """A choice of a field, area_empty_only, as a person reads it."""
    return in_words(stored).capitalize()
