"""Forms of what a manager tells the year planner. They speak kindly; the actions decide."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _

from inspections.models import ExaminerTrade, PlanningSettings, SetUpPrice, WorkingWeek
from inspections.models.planning_settings import WEEKDAYS
from venue.forms import ACCESS_CHOICES, DayField
from venue.language_now import said_choices
from venue.models import Membership, Person, Venue

HALF_DAYS = said_choices(
    (2 * number + half, f"{day}, {words}")
    for number, day in enumerate(WEEKDAYS)
    for half, words in enumerate(("morning", "afternoon"))
)
MOST_ARRANGED = 120


def _ticks(
    choices: Iterable[tuple[Any, str]], label: Any, coerce: Any = int, **known: Any
) -> forms.Field:
    return forms.TypedMultipleChoiceField(
        choices=list(choices), coerce=coerce, required=False, label=label,
        widget=forms.CheckboxSelectMultiple, **known,
    )  # fmt: skip


class PlanningForm(forms.ModelForm):
    left_beside_a_show = _ticks(
        ACCESS_CHOICES, _("What can be reached beside a booking"), str,
        help_text=_(
            "In the half of a day that has no booking while the other half or the evening has one, and "
            "on an empty day within a run."
        ),
    )  # fmt: skip

    class Meta:
        model = PlanningSettings
        fields: ClassVar = [
            "money_unit", "hour_price", "overtime_price", "early_price", "year_budget",
            "week_target_hours",
            "margin_days", "morning_starts", "noon", "afternoon_ends", "certificates_renewed",
            "longest_pause", "left_beside_a_show",
        ]  # fmt: skip
        labels: ClassVar = {
            "money_unit": _("Money is written as"),
            "hour_price": _("An hour of one person"),
            "overtime_price": _("An hour of overtime costs more by"),
            "early_price": _("Each day too early"),
            "year_budget": _("Budget of a calendar year for all inspections"),
            "week_target_hours": _("Hours of people that a week should not pass"),
            "margin_days": _("Days before a last lawful day to keep free"),
            "morning_starts": _("Mornings begin at (hour)"),
            "noon": _("Afternoons begin at (hour)"),
            "afternoon_ends": _("Afternoons end at (hour)"),
            "certificates_renewed": _("Take certificates as renewed in time"),
            "longest_pause": _("Days a run may pause with its set standing"),
        }
        help_texts: ClassVar = {
            "certificates_renewed": _(
                "For plans of more than a year. Each plan names whose certificate ends."
            ),
            "week_target_hours": _("0: weeks are not levelled."),
            "year_budget": _(
                "Empty: none. Nothing is left out and nothing is put off for it; each plan says what is over."
            ),
            "early_price": _("Before the days in which a check may be done without loss."),
            "longest_pause": _(
                "From one booking to the next of the same title or series. On the empty days between "
                "them what was built for it is taken to stand. 0: it is struck every time. A dark day "
                "that is entered says for itself what it leaves."
            ),
        }

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        names = ("morning_starts", "noon", "afternoon_ends")
        hours = [found[name] for name in names if found.get(name) is not None]
        if len(hours) == len(names) and not hours[0] < hours[1] < hours[2]:
            raise forms.ValidationError(
                _("The halves of a day follow each other. Look at the hours.")
            )
        return found


class WeekForm(forms.ModelForm):
    half_days = _ticks(HALF_DAYS, _("Half-days in which inspections can be given"))

    class Meta:
        model = WorkingWeek
        fields: ClassVar = ["half_days", "hours", "overtime_hours"]
        labels: ClassVar = {
            "hours": _("Hours in each of them"), "overtime_hours": _("Hours of overtime beyond those"),
        }  # fmt: skip


class AbsenceForm(forms.Form):
    person = forms.ModelChoiceField(
        queryset=Person.objects.none(), label=_("Who"), empty_label=_("Choose one")
    )
    first_day = DayField(label=_("From"))
    last_day = DayField(label=_("To, this day included"))
    why = forms.CharField(
        max_length=120, required=False, label=_("Why"),
        help_text=_("A word is enough. It stands in the log for good: nothing about somebody’s health."),
    )  # fmt: skip

    def __init__(self, *args: Any, venue: Venue, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        here = Membership.objects.filter(venue=venue, ended_on__isnull=True).values("person_id")
        people = Person.objects.filter(pk__in=here).order_by("name")
        self.fields["person"].queryset = people  # type: ignore[attr-defined]
        self.fields["person"].empty_label = _("Nobody named")  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        found = super().clean() or {}
        first, last = found.get("first_day"), found.get("last_day")
        if first and last and last < first:
            raise forms.ValidationError(
                _("The last day is before the first. Look at the two dates.")
            )
        return found


class DaysField(forms.CharField):
    """Days, one on a line, kept as ISO texts in their order."""

    widget = forms.Textarea(attrs={"rows": 4})

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, list) else value

    def clean(self, value: Any) -> list[str]:
        words = str(super().clean(value)).split()
        try:
            days = sorted({date.fromisoformat(word) for word in words})
        except ValueError as fault:
            raise forms.ValidationError(
                _("Write each day as 2027-03-01, one on a line.")
            ) from fault
        if len(days) > MOST_ARRANGED:
            raise forms.ValidationError(_("At most %(days)s days."), params={"days": MOST_ARRANGED})
        return [day.isoformat() for day in days]


class TradeForm(forms.ModelForm):
    weekdays = _ticks(
        said_choices(enumerate(WEEKDAYS)), _("Days of the week on which one can come")
    )
    arranged = DaysField(
        required=False, max_length=2000, label=_("Days that are arranged already"),
        help_text=_("One on a line, as 2027-03-01. On these the examiner comes anyway."),
    )  # fmt: skip

    class Meta:
        model = ExaminerTrade
        fields: ClassVar = [
            "day_fee", "year_budget", "hours_a_day", "notice_days", "weekdays", "arranged", "person",
        ]  # fmt: skip
        labels: ClassVar = {
            "day_fee": _("A day costs"),
            "year_budget": _("Budget of a calendar year for these visits"),
            "hours_a_day": _("Hours of examining in a day"),
            "notice_days": _("Days of notice"), "person": _("Who comes"),
        }  # fmt: skip
        help_texts: ClassVar = {
            "year_budget": _(
                "Empty: none. Nothing is left out and nothing is put off for it; each plan says what is over."
            ),
            "person": _(
                "Named: only days on which their certificate is valid. Empty: whoever comes must "
                "bring a valid one."
            ),
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        examiners = Membership.objects.filter(
            venue=self.instance.venue, role="examiner", ended_on__isnull=True
        )
        people = Person.objects.filter(pk__in=examiners.values("person_id")).order_by("name")
        self.fields["person"].queryset = people  # type: ignore[attr-defined]
        self.fields["person"].empty_label = _("Nobody named")  # type: ignore[attr-defined]


class SetUpForm(forms.ModelForm):
    class Meta:
        model = SetUpPrice
        fields: ClassVar = ["price", "notice_days"]
        labels: ClassVar = {"price": _("It costs, each time"), "notice_days": _("Days of notice")}
