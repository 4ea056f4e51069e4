"""Forms of the year planner. They speak kindly; the actions decide."""

from __future__ import annotations

from datetime import date, timedelta

from django import forms

from inspections.actions.ask_for_plan import MOST_SECONDS, Asked
from venue.forms import DayField

LENGTHS = (
    ("364", "One year"),
    ("182", "Half a year"),
    ("91", "A quarter"),
    ("1092", "Three years"),
)


class PlanYearForm(forms.Form):
    first_day = DayField(label="First day")
    days = forms.TypedChoiceField(choices=LENGTHS, coerce=int, label="How long", initial="364")
    seconds = forms.IntegerField(
        min_value=1, max_value=MOST_SECONDS, initial=120, label="Search for so many seconds",
        help_text="The first plan is there within seconds. Longer finds a cheaper one, and proves more.",
    )  # fmt: skip
    seed = forms.IntegerField(
        min_value=1, max_value=10**6, initial=1, label="Seed",
        help_text="Another number searches in another order.",
    )  # fmt: skip
    repeatable = forms.BooleanField(
        required=False, label="The same wish must give the same plan",
        help_text="One worker counts steps instead of seconds, and finds less in the same time.",
    )  # fmt: skip
    name = forms.CharField(max_length=120, required=False, label="Name")

    @classmethod
    def for_venue(cls, today: date, known_until: date | None) -> PlanYearForm:
        """From next Monday on, and no longer than the calendar is known, where that is said."""
        monday = today + timedelta(days=7 - today.weekday())
        known = (known_until - monday).days + 1 if known_until else 0
        fits = [days for days, _ in LENGTHS if int(days) <= known and int(days) <= 364]
        return cls(initial={"first_day": monday, "days": max(fits, key=int, default="364")})

    def asked(self) -> Asked:
        return Asked(**self.cleaned_data)


class WhyForm(forms.Form):
    why = forms.CharField(max_length=500, label="Why")


class NameForm(forms.Form):
    name = forms.CharField(max_length=120, label="Name of the copy")
