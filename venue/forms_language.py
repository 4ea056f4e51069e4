from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from venue.languages import LANGUAGES


class LanguageForm(forms.Form):
    language = forms.ChoiceField(choices=LANGUAGES, widget=forms.RadioSelect, label=_("Language"))
