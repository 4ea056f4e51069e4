from __future__ import annotations

from django import template

register = template.Library()
LONGEST = 200


@register.filter
def one_line(text: str) -> str:
    """Whatever somebody typed, as one line that can be read.

    >>> one_line("Line 3:\\n  worn")
    'Line 3: worn'
    """
    words = " ".join(str(text).split())
    return words if len(words) <= LONGEST else f"{words[: LONGEST - 1]}…"
