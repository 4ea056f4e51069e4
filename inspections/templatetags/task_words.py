"""When a task is planned and who is at it, in the same words wherever it stands."""

from __future__ import annotations

from django import template
from django.utils.translation import gettext as _

from inspections.lists.tasks import planned_words, with_helpers
from inspections.models import Task

register = template.Library()
register.filter("planned_day", planned_words)


@register.filter
def people(task: Task) -> str:
    """Nothing where nobody was given it and nobody helps."""
    if task.person is None and not task.helpers.all():
        return ""
    return with_helpers(task.person.name if task.person else _("Nobody yet"), task)
