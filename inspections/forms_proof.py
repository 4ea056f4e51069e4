"""Forms for signing, sending and exporting. They speak kindly; the actions decide."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from inspections.models import Record
from inspections.reports.words import COUNTER_MEANINGS, MEANINGS, state_words
from venue.forms import DayField
from venue.language_now import said


class RecordsField(forms.ModelMultipleChoiceField):
    """Records to tick, each with what it is and how it came out."""

    def label_from_instance(self, record: Record) -> str:
        return (
            f"{record.equipment}: {said(record.version.title)} ({record.by_name}). "
            f"{said(state_words(record.state))}"
        )


class SignForm(forms.Form):
    """Which records, and what the signature means."""

    records = RecordsField(
        queryset=Record.objects.none(), widget=forms.CheckboxSelectMultiple, label=_("Records")
    )
    meaning = forms.ChoiceField(
        choices=[(text, text) for text in MEANINGS],
        widget=forms.RadioSelect,
        label=_("What your signature means"),
        initial=MEANINGS[0],
    )

    def __init__(self, *args: Any, records: QuerySet[Record], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["records"].queryset = records  # type: ignore[attr-defined]


class CountersignForm(forms.Form):
    meaning = forms.ChoiceField(
        choices=[(text, text) for text in COUNTER_MEANINGS], widget=forms.RadioSelect,
        label=_("What your signature means"),
        help_text=_("Whoever agrees with a report needs the competence for what it tells of."),
    )  # fmt: skip


class MailForm(forms.Form):
    to = forms.EmailField(label=_("Send to"))
    note = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}), label=_("Note")
    )


class DaysForm(forms.Form):
    """Both days are part of it."""

    start = DayField(label=_("From"))
    end = DayField(label=_("To, this day included"))

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        start, end = found.get("start"), found.get("end")
        if start and end and end < start:
            raise forms.ValidationError(
                _("The last day is before the first. Look at the two dates.")
            )
        return found


class SpanForm(DaysForm):
    """The days of a bundle."""

    names = forms.BooleanField(
        required=False,
        label=_("With the names behind the log's references"),
        help_text=_(
            "Without them the log says who did it by references only: the same person has the same "
            "reference. Records and reports name who made them either way."
        ),
    )


class DrawForm(DaysForm):
    """A seed is letters, digits, dots and dashes: it is typed again on somebody's command line."""

    seed = forms.RegexField(
        r"^[A-Za-z0-9._-]{1,60}$", label=_("Seed"), help_text=_("Letters, digits, dots and dashes.")
    )
    number = forms.IntegerField(min_value=1, max_value=200, initial=25, label=_("How many"))


class PasswordForm(forms.Form):
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
        strip=False,
        max_length=200,
        label=_("Your password"),
    )


class ReceiverForm(forms.Form):
    to = forms.EmailField(label=_("Address that is sent the heads"))
    whose = forms.CharField(max_length=200, label=_("Whose it is"))
