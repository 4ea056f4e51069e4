from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from inspections.actions.forget_person import BASES
from venue.language_now import said_choices


class ForgetForm(forms.Form):
    basis = forms.ChoiceField(
        choices=said_choices(BASES), widget=forms.RadioSelect, label=_("On what ground")
    )
    reason = forms.CharField(
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        label=_("Why, without the name"),
        help_text=_("It stands in the log for good."),
    )
    sure = forms.BooleanField(
        label=_("I have read what goes, what stays and what is out of reach. It cannot be undone.")
    )
