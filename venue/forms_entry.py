"""Forms whose fields are columns of the register. They check nothing themselves: the reader of
register files does, with the same words for a file and for a screen."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.core import signing
from django.forms.boundfield import BoundField
from django.utils.html import escape
from django.utils.translation import gettext_lazy as _

from venue.forms import DateInput
from venue.kind_files import in_words
from venue.kind_shapes import Field, PartKind
from venue.language_now import choice_said, said
from venue.models import Venue
from venue.quantities import UNITS
from venue.register.columns import field_column
from venue.register.grid import MAX_CELL, Fault
from venue.register.on_screen import changed_meanwhile

SALT = "venue.forms_entry.shown"
UNKNOWN = "not_known"  # a choice of many kinds; for whoever fills in, the same as nothing
Cells = Mapping[str, str]
Choices = list[tuple[str, str]]


@dataclass(frozen=True)
class Entry:
    """One column as a field on screen. `lines`: one item a line, parted in the file by “ | ”."""

    column: str
    label: str
    help: str = ""
    needed: bool = False
    choices: Choices | None = None
    date: bool = False
    lines: bool = False
    many: bool = False
    long: bool = False
    numeric: bool = False

    @property
    def name(self) -> str:
        return re.sub(r"[^a-z0-9]+", "_", self.column.lower())

    def field(self) -> forms.Field:
        if self.many:
            return EntriesField(
                choices=self.choices or [], required=False, label=self.label,
                widget=forms.CheckboxSelectMultiple, help_text=escape(said(self.help)),
            )  # fmt: skip
        return EntryField(
            label=self.label, required=self.needed, widget=self.widget(), max_length=MAX_CELL,
            help_text=escape(said(self.help)),
        )  # fmt: skip

    def widget(self) -> forms.Widget:
        if self.choices is not None:
            return forms.Select(choices=self.choices)
        if self.lines or self.long:
            return forms.Textarea(attrs={"rows": 3})
        plain = {"autocomplete": "off"} | ({"inputmode": "numeric"} if self.numeric else {})
        return DateInput() if self.date else forms.TextInput(attrs=plain)


class EntryField(forms.CharField):
    def validate(self, value: Any) -> None:
        """What is missing, the reader of the register says; the browser says it before."""


class EntriesField(forms.MultipleChoiceField):
    def validate(self, value: Any) -> None:
        """What cannot be chosen, the reader of the register says."""


@dataclass(frozen=True)
class Group:
    """Fields that stand together under a heading; `pairs`: two and two, side by side."""

    title: str
    entries: list[Entry] = field(default_factory=list)
    pairs: bool = False


class EntryForm(forms.Form):
    """`cells` are what the thing holds now. They travel with the form, signed, so that a change
    made by someone else in between is seen."""

    shown = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, data: Any = None, *, groups: Iterable[Group], cells: Cells) -> None:
        self.of = [group for group in groups if group.entries]
        self.entries = {entry.column: entry for group in self.of for entry in group.entries}
        self.cells = dict(cells)
        initial = {one.name: as_typed(one, cells.get(one.column, "")) for one in self._every()}
        super().__init__(data, initial=initial | {"shown": signing.dumps(self.cells, salt=SALT)})
        self.fields |= {one.name: one.field() for one in self._every()}

    def _every(self) -> Iterable[Entry]:
        return self.entries.values()

    def groups(self) -> list[tuple[Group, list[BoundField]]]:
        return [(group, [self[one.name] for one in group.entries]) for group in self.of]

    def typed(self) -> dict[str, str]:
        """What was typed, by column."""
        return {one.column: as_cell(one, self.cleaned_data[one.name]) for one in self._every()}

    def was_shown(self) -> dict[str, str]:
        """The cells the form was first filled with; nothing if that was tampered with."""
        try:
            return dict(signing.loads(self.cleaned_data.get("shown", ""), salt=SALT))
        except (signing.BadSignature, ValueError, TypeError):
            return {}

    def tell(self, faults: Iterable[Fault]) -> None:
        """Put each fault beside its field; one of a column that is not asked here comes first."""
        for fault in faults:
            entry = self.entries.get(fault.column)
            if entry:
                self.add_error(entry.name, fault.words.removeprefix(f"{entry.label}: "))
            else:
                self.add_error(None, f"{fault.column}: {fault.words}")

    def caught_up(self, shown: Cells, now: Cells) -> EntryForm:
        """The form again after someone else changed the thing: what this person typed stays, what
        they left alone shows what it is now, and every difference is told."""
        merged = {
            column: now.get(column, "") if text == shown.get(column, "") else text
            for column, text in self.typed().items()
        }
        data = {one.name: as_typed(one, merged[one.column]) for one in self._every()}
        data["shown"] = signing.dumps(dict(now), salt=SALT)
        again = EntryForm(data, groups=self.of, cells=now)
        again.add_error(
            None, _("Someone changed this while you were typing. Look, and save again.")
        )
        for column, (before, after) in changed_meanwhile(shown, now).items():
            words = f"was “{before or 'empty'}”, someone else made it “{after or 'empty'}”."
            again.tell([Fault(0, column, words)])
        return again


def as_typed(entry: Entry, cell: str) -> Any:
    """A cell of the register as the field on screen holds it."""
    items = [item.strip() for item in cell.split("|") if item.strip()]
    if entry.many:
        return items
    return "\n".join(items) if entry.lines else cell


def as_cell(entry: Entry, value: Any) -> str:
    if entry.many:
        return " | ".join(value)
    if entry.lines:
        return " | ".join(line.strip() for line in value.splitlines() if line.strip())
    return str(value)


def entries_of_kind(kind: PartKind, venue: Venue, cells: Cells) -> list[Entry]:
    """The fields of a kind's file, in its order."""
    return [_entry(one, venue, cells.get(field_column(one.name), "")) for one in kind.fields]


def _entry(one: Field, venue: Venue, held: str) -> Entry:
    choices = None
    if one.type == "choice":
        choices = [(choice, choice_said(choice)) for choice in one.choices]
    elif one.type == "yes_no":
        choices = [("yes", said("Yes")), ("no", said("No"))]
    return Entry(
        column=field_column(one.name),
        label=one.label,
        help=" ".join(said(part) for part in (one.help, unit_words(one, venue)) if part),
        needed=one.required,
        choices=with_held(choices, held, one.required) if choices else None,
        date=one.type == "date",
        numeric=one.type == "whole_number",
    )


def with_held(choices: Choices, held: str, needed: bool) -> Choices:
    """Not known comes first. What is held stays on offer even if its file no longer names it."""
    first = ("", said("Choose one" if needed else "Not known"))
    known = {value for value, _ in choices}
    left = (
        [(held, said(f"{in_words(held)} (no longer offered)"))]
        if held and held not in known
        else []
    )
    if not needed and held != UNKNOWN:  # else it would be offered twice
        choices = [choice for choice in choices if choice[0] != UNKNOWN]
    return [first, *choices, *left]


def unit_words(one: Any, venue: Venue) -> str:
    """What a bare number means. A rated load of a kind has its usual unit in the same way."""
    if not one.dimension:
        return ""
    unit = one.unit(venue.unit_habit)
    if one.dimension == "count":
        return "A whole number."
    if not unit:
        return "Type the unit too."
    return f"Unit of a number alone: {UNITS[unit].label}. Another unit may be typed after it."
