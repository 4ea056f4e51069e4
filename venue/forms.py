"""Forms speak kindly about what the database will not take."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar
from zoneinfo import available_timezones

from django import forms
from django.utils.translation import gettext_lazy as _

from venue.kind_shapes import ACCESS_WORDS
from venue.language_now import said_choices
from venue.languages import LANGUAGES
from venue.models import Booking, Competence, Venue

ACCESS_CHOICES = said_choices(ACCESS_WORDS.items())


class DateInput(forms.DateInput):
    input_type = "date"

    def __init__(self) -> None:
        super().__init__(format="%Y-%m-%d")


# A year outside of these is a slip of the finger: 0206 or 22026 for 2026.
YEARS = range(1900, 2101)


def year_looks_right(day: date) -> None:
    """Raises ValidationError for a day nobody can mean."""
    if day.year not in YEARS:
        raise forms.ValidationError(
            _("Look at the year: %(year)s cannot be meant."), params={"year": f"{day.year:04}"}
        )


class DayField(forms.DateField):
    def __init__(self, **known: Any) -> None:
        # One form for every language: what a browser's own field of days sends.
        super().__init__(
            widget=DateInput, input_formats=["%Y-%m-%d"], validators=[year_looks_right],
            error_messages={"invalid": _("Give the day as year-month-day, such as 2026-03-04.")},
            **known,
        )  # fmt: skip


def say_choices(form: forms.ModelForm, *names: str) -> None:
    """The choices of a model, which are in English, in the language of the page."""
    for name in names:
        field: Any = form.fields[name]
        field.choices = said_choices(field.choices)


class VenueForm(forms.ModelForm):
    class Meta:
        model = Venue
        fields: ClassVar = [
            "name", "address", "time_zone", "unit_habit", "dialect", "language", "paper",
        ]  # fmt: skip
        labels: ClassVar = {
            "name": _("Name"), "address": _("Address"), "time_zone": _("Time zone"), "unit_habit": _("Units"),
            "dialect": _("Stage words"), "language": _("Language"), "paper": _("Paper"),
        }  # fmt: skip
        widgets: ClassVar = {"address": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args: Any, **known: Any) -> None:
        super().__init__(*args, **known)
        say_choices(self, "unit_habit", "dialect", "paper")
        none = ("", _("None: as each browser asks"))
        self.fields["language"].choices = [none, *LANGUAGES]  # type: ignore[attr-defined]

    def clean_time_zone(self) -> str:
        zone = self.cleaned_data["time_zone"]
        if zone not in available_timezones():
            raise forms.ValidationError(
                _("Write the zone as in “Europe/London” or “America/New_York”.")
            )
        return zone


class CompetenceForm(forms.Form):
    level = forms.ChoiceField(choices=said_choices(Competence.Level.choices), label=_("Level"))
    certificate = forms.CharField(max_length=200, label=_("Certificate or reason"))
    issued_by = forms.CharField(max_length=200, label=_("Issued by"))
    valid_from = DayField(label=_("Valid from"))
    expires_on = DayField(
        required=False,
        label=_("Expires on"),
        help_text=_("Left empty: no end date."),
    )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        start, end = found.get("valid_from"), found.get("expires_on")
        if start and end and end < start:
            raise forms.ValidationError(
                _("The competence ends before it starts. Look at the two dates.")
            )
        return found


class BookingForm(forms.Form):
    what = forms.ChoiceField(choices=said_choices(Booking.What.choices), label=_("What"))
    title = forms.CharField(max_length=200, label=_("Title"))
    starts = forms.DateTimeField(
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}), validators=[year_looks_right],
        label=_("Starts"),
    )  # fmt: skip
    ends = forms.DateTimeField(
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}), validators=[year_looks_right],
        label=_("Ends"),
    )  # fmt: skip
    leaves_accessible = forms.MultipleChoiceField(
        choices=ACCESS_CHOICES, required=False, widget=forms.CheckboxSelectMultiple,
        label=_("What it leaves accessible"),
    )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if found.get("starts") and found.get("ends") and found["ends"] <= found["starts"]:
            raise forms.ValidationError(
                _("The booking ends before it starts. Look at the two times.")
            )
        if found.get("what") == Booking.What.UNKNOWN and found.get("leaves_accessible"):
            raise forms.ValidationError(
                _(
                    "What is not yet known leaves nothing accessible. Say what it is, or untick these."
                )
            )
        return found
