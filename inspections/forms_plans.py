from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from venue.forms import DayField


class ShortenDateForm(forms.Form):
    no_later_than = DayField(label=_("To be done again no later than"))
    why = forms.CharField(
        widget=forms.Textarea(attrs={"rows": 4}),
        label=_("Why it cannot wait for the usual interval"),
        help_text=_("What was seen, by whom, and the number of the report if there is one."),
        max_length=2000,
    )
