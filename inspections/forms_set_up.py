"""The forms of the first hour that are not pages of their own elsewhere."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inspections.regime_proposals import Proposal
from rigging.first_choice import PlainRuleSet, countries
from venue.forms import DayField
from venue.language_now import said_choices

LONGEST_WAIT = timedelta(days=366)
USUAL_WAIT = timedelta(days=28)


class CountryForm(forms.Form):
    country = forms.ChoiceField(label=_("Whose rules apply"))

    def __init__(self, *args: Any, **known: Any) -> None:
        super().__init__(*args, **known)
        choices: Any = self.fields["country"]
        choices.choices = said_choices((one.slug, one.words) for one in countries().values())


class RuleSetsForm(forms.Form):
    ruleset = forms.MultipleChoiceField(
        label=_("Rule sets"), error_messages={"required": _("Tick at least one rule set.")}
    )
    why = forms.CharField(
        max_length=500,
        label=_("Why they apply in this house"),
        help_text=_(
            "The law, the maker’s manual, the insurer, a decision of the house. It stands "
            "beside your name in the book."
        ),
        widget=forms.Textarea(attrs={"rows": 2}),
    )

    def __init__(self, *args: Any, rows: Sequence[PlainRuleSet], **known: Any) -> None:
        super().__init__(*args, **known)
        choices: Any = self.fields["ruleset"]
        choices.choices = [(row.rules.slug, row.rules.title) for row in rows]


class RegimesForm(forms.Form):
    proposal = forms.MultipleChoiceField(
        label=_("Regimes"),
        error_messages={"required": _("Tick at least one regime, or leave this step for later.")},
    )
    counted = forms.MultipleChoiceField(required=False)  # those counted from what a list says
    first_by = DayField(
        label=_("First looked at by"),
        help_text=_(
            "Where nobody knows when it was last done. Until it is looked at, a thing shows “cannot "
            "be decided”, never fit. What comes round sooner than this is due sooner."
        ),
    )

    def __init__(
        self, *args: Any, proposals: Sequence[Proposal], today: date, **known: Any
    ) -> None:
        super().__init__(*args, **known)
        self.today = today
        for name in ("proposal", "counted"):
            choices: Any = self.fields[name]
            choices.choices = said_choices((one.key, one.regime.title) for one in proposals)
        self.fields["first_by"].initial = today + USUAL_WAIT

    def clean_first_by(self) -> date:
        day: date = self.cleaned_data["first_by"]
        if not self.today <= day <= self.today + LONGEST_WAIT:
            raise forms.ValidationError(_("A day from today on, and within a year."))
        return day
