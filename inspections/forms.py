from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inspections.calendar_rules import due_date, shift_back
from inspections.models import HalfOfDay, Task
from venue.forms import DayField
from venue.language_now import said, said_choices
from venue.models import Membership, Venue


class RetirePartForm(forms.Form):
    why = forms.CharField(widget=forms.Textarea(attrs={"rows": 3}), label=_("Why it is retired"))
    successor_identifier = forms.CharField(
        required=False,
        max_length=120,
        label=_("Identifier of what takes its place"),
        help_text=_("Left empty: nothing yet."),
    )
    installed_on = DayField(required=False, label=_("The new one was installed on"))


class ApplyRegimeForm(forms.Form):
    """`regime` is one of those the kind allows."""

    regime = forms.ChoiceField(label=_("Regime"))
    last_done_on = DayField(
        required=False,
        label=_("Last done on"),
        help_text=_("Left empty: not known, and then it is due at once."),
    )
    anchor = DayField(
        required=False,
        label=_("First due on"),
        help_text=_("Left empty: counted from the day it was last done."),
    )

    def __init__(self, *args: Any, regimes: list, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.intervals = {regime.slug: regime.interval for regime in regimes}
        choices: Any = self.fields["regime"]
        choices.choices = said_choices((regime.slug, regime.title) for regime in regimes)

    def clean_last_done_on(self) -> date | None:
        day: date | None = self.cleaned_data["last_done_on"]
        if day and day > self.today:
            raise forms.ValidationError(
                _("That day has not come yet. Look at the year and the month.")
            )
        return day

    def clean(self) -> dict[str, Any]:
        """A first day too far ahead would hide the inspection for years: a slip in the year does."""
        found = super().clean() or {}
        anchor, interval = found.get("anchor"), self.intervals.get(found.get("regime", ""))
        if anchor and interval:
            first, last = shift_back(self.today, interval), due_date(self.today, interval, 1)
            if not first <= anchor <= last:
                words = said(
                    "The first day lies at most one interval from today: "
                    f"{first:%-d %b %Y} to {last:%-d %b %Y}."
                )
                self.add_error("anchor", words)
        return found


class ChangeTaskForm(forms.Form):
    planned_on = DayField(label=_("Planned day"))
    half = forms.ChoiceField(
        choices=[("", _("Not said")), *said_choices(HalfOfDay.choices)],
        required=False,
        label=_("Half of the day"),
    )
    person = forms.ModelChoiceField(
        queryset=Membership.objects.none(),
        required=False,
        label=_("Person"),
        empty_label=_("Nobody yet"),
    )
    helpers = forms.ModelMultipleChoiceField(
        queryset=Membership.objects.none(),
        required=False,
        label=_("Who works with them"),
        widget=forms.CheckboxSelectMultiple,
    )
    why = forms.CharField(
        required=False, max_length=500, label=_("Reason, when the day is put off")
    )

    def __init__(self, *args: Any, venue: Venue, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = (
            venue.memberships.filter(ended_on__isnull=True)
            .exclude(role="auditor")
            .select_related("person")
        )
        for name in ("person", "helpers"):
            field: Any = self.fields[name]
            field.queryset = here
            field.label_from_instance = lambda row: row.person.name

    @classmethod
    def of(cls, task: Task) -> ChangeTaskForm:
        """As the task stands: sent back untouched, it changes nothing."""
        here = task.venue.memberships.filter(ended_on__isnull=True)
        now = {
            "planned_on": task.planned_on,
            "half": task.half,
            "person": here.filter(person=task.person).first(),
            "helpers": here.filter(person__in=task.helpers.all()),
        }
        return cls(initial=now, venue=task.venue)

    def changes(self) -> dict[str, Any]:
        row = self.cleaned_data["person"]
        helpers = [each.person for each in self.cleaned_data["helpers"]]
        return self.cleaned_data | {"person": row.person if row else None, "helpers": helpers}


class RemedyForm(forms.Form):
    what = forms.CharField(widget=forms.Textarea(attrs={"rows": 4}), label=_("What was done"))


class ReturnForm(forms.Form):
    statement = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 4}),
        label=_("What you examined and what you found"),
        help_text=_("You sign this with your name, role and the time."),
    )
