"""What a kind of report is to tell of, and what is stated in it by whoever signs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from inspections.models import Record, ReturnToService
from inspections.queries.report_kinds import choices
from inspections.queries.report_kinds.content import LONGEST_STATED
from inspections.queries.report_kinds.shapes import Chosen
from inspections.reports.kind_files import ReportKind
from inspections.reports.matter import Item
from venue.forms import DayField
from venue.models import Part, Person, Venue

__all__ = ["ASKING", "ChoosingForm", "StateForm"]
STATE = "state_"
MOST_DAYS = 2 * 366


class ChoosingForm(forms.Form):
    """Asked by GET, so that what was chosen stands in the address."""

    def __init__(
        self, *args: Any, kind: ReportKind, venue: Venue, person: Person, **known: Any
    ) -> None:
        super().__init__(*args, **known)
        self.kind, self.venue, self.person = kind, venue, person

    def chosen(self) -> Chosen:
        raise NotImplementedError


class SpanOfEquipmentForm(ChoosingForm):
    """Some days, and the equipment by its place or by its tags."""

    start = DayField(label=_("From"))
    end = DayField(label=_("To, this day included"))
    place = forms.ChoiceField(required=False, label=_("Place, with all that is below it"))
    tags = forms.CharField(
        required=False,
        max_length=2000,
        label=_("Or only these, by their tags, with commas between"),
    )

    def __init__(self, *args: Any, **known: Any) -> None:
        super().__init__(*args, **known)
        places = choices.places_to_choose(self.venue)
        self.fields["place"].choices = [("", _("No place")), *places]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        start, end = found.get("start"), found.get("end")
        if start and end and end < start:
            raise forms.ValidationError(
                _("The last day is before the first. Look at the two dates.")
            )
        if start and end and (end - start).days >= MOST_DAYS:
            raise forms.ValidationError(_("Two years are the most that one report tells of."))
        if end and end > timezone.now().astimezone(self.venue.zone).date():
            raise forms.ValidationError(
                _("The last day is still to come: nothing can be told of it.")
            )
        try:
            found["equipment"] = choices.equipment_chosen(
                self.venue, self.kind, found.get("place", ""), found.get("tags", "")
            )
        except choices.CannotChoose as refusal:
            raise forms.ValidationError(str(refusal)) from refusal
        return found

    def chosen(self) -> Chosen:
        said = self.cleaned_data
        return Chosen(self.venue, said["start"], said["end"], said["equipment"])


class _RowForm(ChoosingForm):
    """One row out of those of the kind, the newest first."""

    label: Any = ""  # marked for translation
    row = forms.ModelChoiceField(queryset=Record.objects.none(), empty_label=_("Choose one"))

    def __init__(self, *args: Any, **known: Any) -> None:
        super().__init__(*args, **known)
        field = self.fields["row"]
        field.label, field.queryset = self.label, self.rows()  # type: ignore[attr-defined]
        field.label_from_instance = self.words  # type: ignore[attr-defined]

    def rows(self) -> QuerySet:
        raise NotImplementedError

    @staticmethod
    def words(row: Any) -> str:
        raise NotImplementedError


class RecordForm(_RowForm):
    label = _("Record")

    def rows(self) -> QuerySet[Record]:
        return choices.records_to_choose(self.venue, self.kind, self.person)

    @staticmethod
    def words(row: Record) -> str:
        return f"{row.equipment}: {row.version.title}, {row.done_on:%-d %b %Y}, {row.by_name}"

    def chosen(self) -> Chosen:
        return Chosen(self.venue, record=self.cleaned_data["row"])


class RopeForm(_RowForm):
    label = _("Rope")

    def rows(self) -> QuerySet[Part]:
        return choices.ropes_to_choose(self.venue, self.kind)

    @staticmethod
    def words(row: Part) -> str:
        named = f", {row.identifier}" if row.identifier else ""
        retired = f", retired {row.retired_on:%-d %b %Y}" if row.retired_on else ""
        return f"{row.equipment.tag} {row}{named}{retired}"

    def chosen(self) -> Chosen:
        return Chosen(self.venue, rope=self.cleaned_data["row"])


class ReturnedForm(_RowForm):
    label = _("Return to service")

    def rows(self) -> QuerySet[ReturnToService]:
        return choices.returns_to_choose(self.venue)

    @staticmethod
    def words(row: ReturnToService) -> str:
        return f"{row.order.equipment}, {row.at:%-d %b %Y}, {row.by_name}: {row.order.why}"[:160]

    def chosen(self) -> Chosen:
        return Chosen(self.venue, returned=self.cleaned_data["row"])


# By what the kind's file asks for.
ASKING: Mapping[str, type[ChoosingForm]] = {
    "span": SpanOfEquipmentForm,
    "record": RecordForm,
    "rope": RopeForm,
    "return": ReturnedForm,
}


class StateForm(forms.Form):
    """What the records do not say, and what the signature means. A draft may leave it open, so the
    browser is not told that anything is required."""

    use_required_attribute = False

    def __init__(self, *args: Any, kind: ReportKind, items: Sequence[Item], **known: Any) -> None:
        super().__init__(*args, **known)
        draft = "draft" in self.data
        for item in items:
            self.fields[STATE + item.key] = forms.CharField(
                required=item.required and not draft, max_length=LONGEST_STATED, label=f"{item.number} {item.words}",
                help_text=item.hint, widget=forms.Textarea(attrs={"rows": 2}),
            )  # fmt: skip
        self.fields["meaning"] = forms.ChoiceField(
            choices=[(text, text) for text in kind.all_meanings], widget=forms.RadioSelect,
            label=_("What your signature means"), initial=kind.all_meanings[0],
        )  # fmt: skip

    def stated(self) -> dict[str, str]:
        return {
            name.removeprefix(STATE): text
            for name, text in self.cleaned_data.items()
            if name.startswith(STATE) and text.strip()
        }
