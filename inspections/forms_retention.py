from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils.translation import gettext_lazy as _

from inspections.retention_files import retention_rules
from venue.language_now import said
from venue.models import Equipment


class FollowForm(forms.Form):
    """Rules that are not followed yet."""

    rules = forms.ChoiceField(widget=forms.RadioSelect, label=_("Rules"))
    why = forms.CharField(
        max_length=500, widget=forms.Textarea(attrs={"rows": 2}), label=_("Why they apply here")
    )

    def __init__(self, *args: Any, followed: set[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["rules"].choices = [  # type: ignore[attr-defined]
            (slug, said(each.title))
            for slug, each in retention_rules().items()
            if slug not in followed
        ]


class HoldForm(forms.Form):
    equipment = forms.ModelChoiceField(
        queryset=Equipment.objects.none(),
        required=False,
        empty_label=_("The whole house"),
        label=_("Equipment"),
    )
    why = forms.CharField(
        max_length=500, widget=forms.Textarea(attrs={"rows": 2}), label=_("What for")
    )

    def __init__(self, *args: Any, equipment: QuerySet[Equipment], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["equipment"].queryset = equipment  # type: ignore[attr-defined]


class WhyForm(forms.Form):
    why = forms.CharField(max_length=500, widget=forms.Textarea(attrs={"rows": 2}), label=_("Why"))
