"""Forms speak kindly about what the database will not take."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar
from zoneinfo import available_timezones

from django import forms
from django.utils.translation import gettext_lazy

from venue.kind_shapes import ACCESS_WORDS
from venue.models import Booking, Competence, Venue

ACCESS_CHOICES = list(ACCESS_WORDS.items())


class DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


# A year outside of these is a slip of the finger: 0206 or 22026 for 2026.
YEARS = range(1900, 2101)


def year_looks_right(day: date) -> None:
    """Raises ValidationError for a day nobody can mean."""
    if day.year not in YEARS:
        raise forms.ValidationError(f"Look at the year: {day.year:04} cannot be meant.")


class DayField(forms.DateField):
    def __init__(self, **known: Any) -> None:
        # One form for every language: what a browser's own field of days sends.
        super().__init__(
            widget=DateInput, input_formats=["%Y-%m-%d"], validators=[year_looks_right],
            error_messages={"invalid": gettext_lazy("Give the day as year-month-day, such as 2026-03-04.")},
            **known,
        )  # fmt: skip


class VenueForm(forms.ModelForm):
    class Meta:
        model = Venue
        fields: ClassVar = [
            "name", "address", "time_zone", "unit_habit", "dialect", "language", "paper",
        ]  # fmt: skip
        labels: ClassVar = {"unit_habit": "Units", "dialect": "Stage words"}
        widgets: ClassVar = {"address": forms.Textarea(attrs={"rows": 3})}

    def clean_time_zone(self) -> str:
        zone = self.cleaned_data["time_zone"]
        if zone not in available_timezones():
            raise forms.ValidationError(
                "Write the zone as in “Europe/London” or “America/New_York”."
            )
        return zone


class CompetenceForm(forms.Form):
    level = forms.ChoiceField(choices=Competence.Level.choices)
    certificate = forms.CharField(max_length=200, label="Certificate or reason")
    issued_by = forms.CharField(max_length=200)
    valid_from = DayField()
    expires_on = DayField(required=False, label="Expires on", help_text="Left empty: no end date.")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        start, end = found.get("valid_from"), found.get("expires_on")
        if start and end and end < start:
            raise forms.ValidationError(
                "The competence ends before it starts. Look at the two dates."
            )
        return found


class BookingForm(forms.Form):
    what = forms.ChoiceField(choices=Booking.What.choices)
    title = forms.CharField(max_length=200)
    starts = forms.DateTimeField(
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}), validators=[year_looks_right]
    )
    ends = forms.DateTimeField(
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}), validators=[year_looks_right]
    )
    leaves_accessible = forms.MultipleChoiceField(
        choices=ACCESS_CHOICES, required=False, widget=forms.CheckboxSelectMultiple,
        label="What it leaves accessible",
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if found.get("starts") and found.get("ends") and found["ends"] <= found["starts"]:
            raise forms.ValidationError("The booking ends before it starts. Look at the two times.")
        if found.get("what") == Booking.What.UNKNOWN and found.get("leaves_accessible"):
            raise forms.ValidationError(
                "What is not yet known leaves nothing accessible. Say what it is, or untick these."
            )
        return found
