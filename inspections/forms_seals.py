"""Forms of the signing keys."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from inspections.reports.certificates import REASONS
from venue.forms import year_looks_right
from venue.language_now import said_choices


class RenewForm(forms.Form):
    why = forms.CharField(max_length=300, label=_("Why a new seal is made"))


class RevokeForm(forms.Form):
    reason = forms.ChoiceField(
        choices=said_choices((key, text[0].upper() + text[1:]) for key, text in REASONS.items()),
        widget=forms.RadioSelect, label=_("Reason"),
    )  # fmt: skip
    words = forms.CharField(max_length=300, label=_("What happened"))
    not_trusted_from = forms.DateTimeField(
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}), validators=[year_looks_right],
        label=_("Not to be trusted from"),
        help_text=_("The earliest time at which somebody else may have had the key. Rather too early."),
    )  # fmt: skip
