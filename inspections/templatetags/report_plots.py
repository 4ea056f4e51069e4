"""The curves of a report, made when it is printed."""

from __future__ import annotations

from collections.abc import Sequence

from django import template
from django.utils.safestring import SafeString, mark_safe

from inspections.reports import plots
from inspections.reports.matter import RopeLife
from venue.language_now import said

register = template.Library()


@register.filter
def diameter_plot(ropes: Sequence[RopeLife]) -> plots.Plot | None:
    return plots.diameter_plot(ropes, said)


@register.filter
def wire_plot(ropes: Sequence[RopeLife]) -> plots.Plot | None:
    return plots.wire_plot(ropes, said)


@register.filter
def drawn(plot: plots.Plot) -> SafeString:
    return mark_safe(plot.svg)  # nosec B308 B703 - every text in it was escaped where it was drawn
