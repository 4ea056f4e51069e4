"""Forms of the year planner. They speak kindly; the actions decide."""

from __future__ import annotations

from datetime import date, timedelta

from django import forms
from django.utils.translation import gettext_lazy as _

from inspections.actions.ask_for_plan import MOST_SECONDS, Asked
from venue.forms import DayField

LENGTHS = (
    ("364", _("One year")),
    ("182", _("Half a year")),
    ("91", _("A quarter")),
    ("1092", _("Three years")),
)


class PlanYearForm(forms.Form):
    first_day = DayField(label=_("First day"))
    days = forms.TypedChoiceField(choices=LENGTHS, coerce=int, label=_("How long"), initial="364")
    seconds = forms.IntegerField(
        min_value=1, max_value=MOST_SECONDS, initial=120, label=_("Search for so many seconds"),
        help_text=_("The first plan is there within seconds. Longer finds a cheaper one, and proves more."),
    )  # fmt: skip
    seed = forms.IntegerField(
        min_value=1, max_value=10**6, initial=1, label=_("Seed"),
        help_text=_("Another number searches in another order."),
    )  # fmt: skip
    repeatable = forms.BooleanField(
        required=False, label=_("The same wish must give the same plan"),
        help_text=_("One worker counts steps instead of seconds, and finds less in the same time."),
    )  # fmt: skip
    name = forms.CharField(max_length=120, required=False, label=_("Name"))

    @classmethod
    def for_venue(cls, today: date, known_until: date | None) -> PlanYearForm:
        """From next Monday on, and no longer than the calendar is known, where that is said."""
        monday = today + timedelta(days=7 - today.weekday())
        known = (known_until - monday).days + 1 if known_until else 0
        fits = [days for days, _words in LENGTHS if int(days) <= known and int(days) <= 364]
        return cls(initial={"first_day": monday, "days": max(fits, key=int, default="364")})

    def asked(self) -> Asked:
        return Asked(**self.cleaned_data)


class WhyForm(forms.Form):
    why = forms.CharField(max_length=500, label=_("Why"))


class AlthoughForm(forms.Form):
    although = forms.CharField(
        max_length=500, label=_("Why all the same"),
        help_text=_(
            "Say how you know what is booked, or who else is there. It stands on the plan and in the "
            "log for good."
        ),
    )  # fmt: skip


class NameForm(forms.Form):
    name = forms.CharField(max_length=120, label=_("Name of the copy"))
