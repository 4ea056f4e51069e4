"""For whom a calendar of tasks is made."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from venue.models import Person, Place
from venue.queries.places import Branch


class FeedForm(forms.Form):
    whose = forms.ChoiceField(label=_("A calendar for"))

    def __init__(self, data: Any, *, places: Iterable[Branch], examiners: Iterable[Person]) -> None:
        super().__init__(data)
        self._places = {f"place-{one.place.pk}": one for one in places}
        self._people = {f"examiner-{one.pk}": one for one in examiners}
        people = [(key, person.name) for key, person in self._people.items()]
        branches = [(key, branch.path) for key, branch in self._places.items()]
        self.fields["whose"].choices = [  # type: ignore[attr-defined]
            (_("Outside examiners"), people), (_("Places, with what stands in them"), branches),
        ]  # fmt: skip

    def place(self) -> Place | None:
        branch = self._places.get(self.cleaned_data["whose"])
        return branch.place if branch else None

    def person(self) -> Person | None:
        return self._people.get(self.cleaned_data["whose"])
