"""The form of the first person in an empty Loftbook."""

from __future__ import annotations

from pathlib import Path
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from venue.forms import say_choices
from venue.models import Person, Venue
from venue.zone_habits import zones_to_choose

CLOCK_OF_MACHINE = Path("/etc/localtime")


def zone_of_machine() -> str:
    """The zone this machine's clock is set to, where it says so; UTC says nothing of a house."""
    _, found, zone = str(CLOCK_OF_MACHINE.resolve()).partition("zoneinfo/")
    known = found and zone in available_timezones() and "/" in zone and not zone.startswith("Etc")
    return zone if known else ""


class FirstPersonForm(forms.Form):
    code = forms.CharField(
        max_length=40,
        label=_("Set-up code"),
        help_text=_("It stands in the terminal in which Loftbook was started."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )
    house = forms.CharField(max_length=200, label=_("Name of the house"))
    time_zone = forms.ChoiceField(
        label=_("Time zone of the house"), help_text=_("Days begin and end by its clock.")
    )
    name = forms.CharField(max_length=200, label=_("Your name"))
    email = forms.EmailField(label=_("Your email address"), help_text=_("You sign in with it."))
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        label=_("Your password"),
        help_text=_("At least 12 characters."),
    )

    def __init__(self, *args: Any, **known: Any) -> None:
        super().__init__(*args, **known)
        zones: Any = self.fields["time_zone"]
        zones.choices = [("", _("Choose")), *zones_to_choose()]
        zones.initial = zone_of_machine()

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        person = Person(name=found.get("name", ""), email=found.get("email", ""))
        try:
            validate_password(found.get("password", ""), person)
        except ValidationError as fault:
            if "password" in found:
                self.add_error("password", fault)
        return found


class HabitsForm(forms.ModelForm):
    """What was proposed from the time zone, to be put right."""

    class Meta:
        model = Venue
        fields = ("unit_habit", "dialect", "paper", "address")
        labels = {
            "unit_habit": _("Units"), "dialect": _("Stage words"), "paper": _("Paper"),
            "address": _("Address"),
        }  # fmt: skip
        widgets = {
            "unit_habit": forms.RadioSelect,
            "dialect": forms.RadioSelect,
            "paper": forms.RadioSelect,
            "address": forms.Textarea(attrs={"rows": 3}),
        }
        help_texts = {
            "unit_habit": _("For what is typed without a unit. Any unit may be typed."),
            "address": _("Printed on reports."),
        }

    def __init__(self, *args: Any, **known: Any) -> None:
        super().__init__(*args, **known)
        say_choices(self, "unit_habit", "dialect", "paper")
