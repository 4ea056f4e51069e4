"""What the calculators ask and answer, in the language of the page. Their sentences are known to their
own pages only: many are so short that they would be met by chance on any other."""

from __future__ import annotations

import re
from typing import Any, Protocol

from django import template
from django.utils.formats import get_format
from django.utils.safestring import SafeString

from rigging.calculators.drawing import Drawing
from rigging.calculators.showing import answer_line, line_of_pieces
from rigging.calculators.svg import svg_of
from venue.language_now import said

CATALOGUE = "calculators"
# A result that has no unit to be known by.
BARE = re.compile(r"[-+]?\d+\.\d+")

register = template.Library()


class Worked(Protocol):
    """A title and the pieces of an answer, wherever they are kept."""

    @property
    def title(self) -> str: ...

    @property
    def pieces(self) -> tuple[tuple[str, ...], ...]: ...


@register.filter
def worked_said(text: object) -> str:
    words = str(text)
    if BARE.fullmatch(words):
        return words.replace(".", get_format("DECIMAL_SEPARATOR"))
    return said(text, more=CATALOGUE)


@register.filter
def answer_said(said: dict[str, Any]) -> str:
    """A kept answer as one line."""
    return answer_line(said, worked_said)


@register.filter
def pieces_said(worked: Worked) -> str:
    """The same of what a report holds of it."""
    return line_of_pieces(worked.title, worked.pieces, worked_said)


@register.filter
def drawn(drawing: Drawing) -> SafeString:
    """Each text of a drawing is escaped after it was said."""
    return SafeString(svg_of(drawing, worked_said))  # nosec B703
