"""The form on which a person chooses their messages."""

from __future__ import annotations

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from inspections.message_times import is_quiet
from inspections.models import MessageChoice
from inspections.models.planning_settings import WEEKDAYS
from venue.language_now import said_choices

HOURS = [(hour, f"{hour:02}:00") for hour in range(24)]
WAYS = said_choices(MessageChoice.By.choices)


def _hour(label: Any, help_text: Any = "") -> forms.TypedChoiceField:
    return forms.TypedChoiceField(choices=HOURS, coerce=int, label=label, help_text=help_text)


class MessageChoiceForm(forms.ModelForm):
    daily_by = forms.ChoiceField(choices=WAYS, label=_("The daily message comes"))
    weekly_by = forms.ChoiceField(choices=WAYS, label=_("The weekly message comes"))
    hour = _hour(_("Not before"))
    weekday = forms.TypedChoiceField(
        choices=said_choices(enumerate(WEEKDAYS)),
        coerce=int,
        label=_("The weekly message comes on"),
    )
    quiet_from = _hour(_("Quiet from"), _("Both the same: no quiet hours."))
    quiet_until = _hour(_("Quiet until"))

    class Meta:
        model = MessageChoice
        fields: ClassVar = [
            "daily", "daily_by", "weekly", "weekly_by", "hour", "weekday", "quiet_from", "quiet_until",
        ]  # fmt: skip
        labels: ClassVar = {
            "daily": _("Each day: what is mine, late first"),
            "weekly": _("Each week: how the house stands"),
        }
        help_texts: ClassVar = {
            "daily": _("Nothing is sent on a day on which there is nothing to say."),
        }

    def __init__(self, *args: Any, kinds: list[str], devices: bool, **known: Any) -> None:
        """`devices`: whether messages to them are offered here."""
        super().__init__(*args, **known)
        gone = () if "weekly" in kinds else ("weekly", "weekly_by", "weekday")
        for name in {*gone, *(() if devices else ("daily_by", "weekly_by"))}:
            del self.fields[name]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        hour, start, end = (found.get(each) for each in ("hour", "quiet_from", "quiet_until"))
        if hour is None or start is None or end is None:
            return found
        if is_quiet(hour, start, end):
            self.add_error("hour", _("That hour is in the quiet ones: nothing would ever come."))
        return found
