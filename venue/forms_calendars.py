"""Forms of calendars and of the rules for bookings, and the slip that confirms what was shown."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from django import forms
from django.core import signing
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from venue.calendar.kinds import UNKNOWN, KindRule, plain
from venue.calendar.reading import MAX_BYTES
from venue.calendar_address import NotFetched, proper_address
from venue.forms import ACCESS_CHOICES, DayField
from venue.language_now import said_choices
from venue.models import Booking, BookingRule, CalendarSource, Person

SALT = "venue.calendar.agreed"
GOOD_FOR_SECONDS = 24 * 3600
KINDS = said_choices(choice for choice in Booking.What.choices if choice[0] != UNKNOWN)
MOST_HALF_DAYS = 14


class CalendarForm(forms.Form):
    name = forms.CharField(
        max_length=100, label=_("Name"), help_text=_("What people call it: Main stage diary.")
    )
    address = forms.CharField(
        required=False,
        label=_("Address"),
        help_text=_(
            "The calendar's own .ics address (https:// or webcal://), fetched once a day. "
            "Whoever knows it can read the calendar: only managers see it here."
        ),
        widget=forms.TextInput(attrs={"inputmode": "url", "autocomplete": "off"}),
    )

    def clean_address(self) -> str:
        address: str = self.cleaned_data["address"].strip()
        if not address:
            return ""
        try:
            return proper_address(address)
        except NotFetched as fault:
            raise forms.ValidationError(str(fault)) from fault


class FirstCalendarForm(CalendarForm):
    """A file or an address: what there is. Its name can be changed later."""

    name = None  # type: ignore[assignment]
    file = forms.FileField(
        required=False,
        label=_("Calendar file (.ics)"),
        help_text=_("At most 5 MB. It is tried first; nothing is changed until you confirm."),
        widget=forms.ClearableFileInput(attrs={"accept": ".ics,text/calendar"}),
        allow_empty_file=True,  # the reader says it in better words
    )
    field_order = ("file", "address")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        if not found.get("file") and not found.get("address") and not self.errors:
            raise forms.ValidationError(_("Give a file, or an address."))
        if found.get("file") and (found["file"].size or 0) > MAX_BYTES:
            self.add_error("file", _("A calendar file may have 5 MB."))
        return found


class CalendarFileForm(forms.Form):
    file = forms.FileField(
        label=_("Calendar file (.ics)"),
        help_text=_("At most 5 MB. It is tried first; nothing is changed until you confirm."),
        widget=forms.ClearableFileInput(attrs={"accept": ".ics,text/calendar"}),
        allow_empty_file=True,  # the reader says it in better words
    )

    def clean_file(self) -> UploadedFile:
        upload: UploadedFile = self.cleaned_data["file"]
        if (upload.size or 0) > MAX_BYTES:
            raise forms.ValidationError(_("The file has more than 5 MB. Send fewer years."))
        return upload


class CompleteForm(forms.Form):
    """Beside the confirmation, and alone for a house that enters its bookings by hand."""

    until = DayField(
        required=False,
        label=_("Everything booked is entered up to"),
        help_text=_(
            "Days after it count as not known: the planner takes none of them for free. "
            "Empty: say nothing about it."
        ),
    )


class RuleForm(forms.Form):
    words = forms.CharField(
        max_length=300,
        label=_("Words"),
        help_text=_(
            "Phrases parted by commas, found as whole words. A star stands for the rest of a "
            "word: rehears*. In double quotes: the whole text must be this."
        ),
    )
    where = forms.ChoiceField(
        choices=said_choices(BookingRule.Where.choices), label=_("Looked for in")
    )
    what = forms.ChoiceField(choices=KINDS, label=_("Then it is"))
    leaves = forms.MultipleChoiceField(
        choices=ACCESS_CHOICES, required=False, widget=forms.CheckboxSelectMultiple,
        label=_("What it leaves accessible"),
    )  # fmt: skip
    before = forms.IntegerField(
        min_value=0, max_value=MOST_HALF_DAYS, initial=0, label=_("Half-days of load-in before it")
    )
    after = forms.IntegerField(
        min_value=0, max_value=MOST_HALF_DAYS, initial=0, label=_("Half-days of load-out after it")
    )

    def clean_words(self) -> str:
        words: str = self.cleaned_data["words"]
        if not any(plain(phrase) for phrase in words.split(",")):
            raise forms.ValidationError(_("Write at least one word that is looked for."))
        return words

    def rule(self) -> KindRule:
        said = self.cleaned_data
        return KindRule(said["words"], said["where"], said["what"], tuple(said["leaves"]),
                        said["before"], said["after"])  # fmt: skip


def shown_rule(rule: KindRule) -> dict[str, Any]:
    """The form's fields of a rule that is there."""
    return asdict(rule) | {"leaves": list(rule.leaves)}


class AnswerForm(forms.Form):
    what = forms.ChoiceField(choices=[("", _("Choose")), *KINDS], label=_("What is it?"))
    leaves = forms.MultipleChoiceField(
        choices=ACCESS_CHOICES, required=False, widget=forms.CheckboxSelectMultiple,
        label=_("What it leaves accessible"),
    )  # fmt: skip
    holds = forms.ChoiceField(
        choices=[
            ("rule", _("These bookings and later ones with this title: a rule is added")),
            ("once", _("Only these bookings")),
        ],
        initial="rule", widget=forms.RadioSelect, label=_("The answer is for"),
    )  # fmt: skip

    def rule(self, words: str) -> KindRule:
        said = self.cleaned_data
        return KindRule(words, BookingRule.Where.TITLE, said["what"], tuple(said["leaves"]))


@dataclass(frozen=True)
class Slip:
    """Which calendar a person was shown the outcome of, and what that outcome was."""

    source: int
    person: int
    sha256: str
    file_name: str
    digest: str


def to_agree_to(slip: Slip) -> str:
    return signing.dumps(asdict(slip), salt=SALT)


def agreed_to(text: str, *, source: CalendarSource, person: Person) -> Slip | None:
    """The slip if it is whole, fresh, and of this person and calendar."""
    try:
        slip = Slip(**signing.loads(text, salt=SALT, max_age=GOOD_FOR_SECONDS))
    except (signing.BadSignature, TypeError):
        return None
    return slip if (slip.source, slip.person) == (source.pk, person.pk) else None
