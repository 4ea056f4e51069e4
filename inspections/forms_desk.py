"""What is typed at the audit desk and about it."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from venue.forms import DayField


class DeskLinkForm(forms.Form):
    name = forms.CharField(
        max_length=200,
        label=_("For whom"),
        help_text=_("A person or an office, as the log shall name it."),
    )
    address = forms.EmailField(label=_("Email address"))
    last_day = DayField(label=_("Good until, that day included"), help_text=_("90 days at most."))
    send = forms.BooleanField(
        required=False, initial=True, label=_("Send it to that address by mail"),
        help_text=_("Else hand it over yourself: it is shown once, and kept nowhere."),
    )  # fmt: skip


class QuestionForm(forms.Form):
    question = forms.CharField(
        max_length=4000, widget=forms.Textarea(attrs={"rows": 5}), label=_("What you ask"),
        help_text=_("It stays for good, with its answer, in the log and in bundles of evidence."),
    )  # fmt: skip


class AnswerForm(forms.Form):
    answer = forms.CharField(
        max_length=4000, widget=forms.Textarea(attrs={"rows": 5}), label=_("Answer"),
        help_text=_("It stays for good, under your name, in the log and in bundles of evidence."),
    )  # fmt: skip
