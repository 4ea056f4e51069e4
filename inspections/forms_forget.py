from __future__ import annotations

from django import forms

from inspections.actions.forget_person import BASES


class ForgetForm(forms.Form):
    basis = forms.ChoiceField(choices=BASES, widget=forms.RadioSelect, label="On what ground")
    reason = forms.CharField(
        max_length=500,
        widget=forms.Textarea(attrs={"rows": 3}),
        label="Why, without the name",
        help_text="It stands in the log for good.",
    )
    sure = forms.BooleanField(
        label="I have read what goes, what stays and what is out of reach. It cannot be undone."
    )
