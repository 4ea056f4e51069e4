"""Forms by which people are invited and come in."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.utils.translation import gettext_lazy as _

from venue.actions.invitations import Certificate
from venue.forms import DayField
from venue.language_now import said_choices
from venue.models import Competence, Person, Role

ASKED = ("level", "certificate", "issued_by", "valid_from", "expires_on")


class InviteForm(forms.Form):
    """A person, and the certificate that says what they may sign, if there is one."""

    name = forms.CharField(max_length=200, label=_("Name"))
    email = forms.EmailField(label=_("Email address"), help_text=_("They sign in with it."))
    role = forms.ChoiceField(choices=said_choices(Role.choices), label=_("Role"))
    level = forms.ChoiceField(
        required=False,
        label=_("Level"),
        choices=[("", _("No certificate now")), *said_choices(Competence.Level.choices)],
        help_text=_("Without a certificate somebody may record, and may not sign."),
    )
    certificate = forms.CharField(required=False, max_length=200, label=_("Certificate or reason"))
    issued_by = forms.CharField(required=False, max_length=200, label=_("Issued by"))
    valid_from = DayField(required=False, label=_("Valid from"))
    expires_on = DayField(
        required=False, label=_("Expires on"), help_text=_("Left empty: no end date.")
    )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        given = [name for name in ASKED if found.get(name)]
        for name in ("level", "certificate", "issued_by", "valid_from"):
            if given and not found.get(name) and name not in self.errors:
                self.add_error(name, _("A certificate needs this; or leave all of them empty."))
        start, end = found.get("valid_from"), found.get("expires_on")
        if start and end and end < start:
            self.add_error("expires_on", _("It ends before it starts. Look at the two dates."))
        return found

    def given(self) -> Certificate | None:
        if not self.cleaned_data["level"]:
            return None
        return Certificate(**{name: self.cleaned_data[name] for name in ASKED})


class OwnPasswordForm(forms.Form):
    email = forms.EmailField(
        disabled=True, required=False, label=_("You sign in with"),
        widget=forms.EmailInput(attrs={"autocomplete": "username"}),
    )  # fmt: skip
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        label=_("Your own password"),
        help_text=_("At least 12 characters. A passkey can be added afterwards."),
    )

    def __init__(self, *args: Any, person: Person, **known: Any) -> None:
        super().__init__(*args, **known)
        self.fields["email"].initial = person.email
        self.person = person

    def clean_password(self) -> str:
        password: str = self.cleaned_data["password"]
        try:
            validate_password(password, self.person)
        except ValidationError as fault:
            raise forms.ValidationError(fault.messages) from fault
        return password
