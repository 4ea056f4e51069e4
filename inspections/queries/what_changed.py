"""What others changed in a venue since a person was last there, in words, from the log."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Case, Count, QuerySet, When
from django.urls import reverse

from inspections.models import Order, Remedy, Report, ReturnToService, Task
from inspections.queries.tasks import open_tasks
from inspections.visits import Visit
from venue.models import LogLine, Person, Venue
from venue.queries.log_names import ShownLine, shown, with_names

MOST = 6
# What is told, by what a line of the log says was done: the word before it, and how one and
# how many of it are counted. What changes the verdict of every rope comes first.
DEEDS = {
    "choose_ruleset": ("Rule set chosen", "rule set chosen", "rule sets chosen"),
    "end_ruleset": ("Rule set ended", "rule set ended", "rule sets ended"),
    "confirm_figure": ("Figure confirmed", "figure confirmed", "figures confirmed"),
    "end_confirmation": ("No longer confirmed", "confirmation ended", "confirmations ended"),
    "revoke_seal": ("Seal revoked", "seal revoked", "seals revoked"),
    "give_order": ("Order", "order", "orders"),
    "open_finding": ("Finding", "finding", "findings"),
    "record_remedy": ("Remedy", "remedy", "remedies"),
    "return_to_service": ("Returned", "returned to service", "returned to service"),
    "retire_part": ("Retired", "part retired", "parts retired"),
    "replace_part": ("Replaced", "part replaced", "parts replaced"),
    "move_part": ("Moved", "part moved", "parts moved"),
    "issue_report": ("Report", "report", "reports"),
    "countersign_report": ("Countersigned", "report countersigned", "reports countersigned"),
    "publish_year_plan": ("Year plan published", "year plan published", "year plans published"),
    "withdraw_year_plan": ("Year plan withdrawn", "year plan withdrawn", "year plans withdrawn"),
    "defer_task": ("Put off", "task put off", "tasks put off"),
    "plan_task": ("Planned", "task planned", "tasks planned"),
    "cancel_task": ("Cancelled", "task cancelled", "tasks cancelled"),
    "shorten_date": ("Earlier date", "date made earlier", "dates made earlier"),
    "end_plan": ("Plan ended", "plan ended", "plans ended"),
    "apply_regime": ("Regime applied", "regime applied", "regimes applied"),
    "ask_question": ("Question", "question", "questions"),
    "answer_question": ("Answer", "answer", "answers"),
    "confirm_nothing_applies": ("Nothing applied", "task where nothing applied", "tasks where nothing applied"),
    "submit_check": ("Check", "check", "checks"),
    "import_register": ("Register read in", "register read in", "registers read in"),
    "create_equipment_by_import": ("Read in", "thing read in", "things read in"),
    "change_equipment_by_import": ("Changed by a list", "thing changed by a list", "things changed by a list"),
    "add_equipment": ("Equipment added", "thing added", "things added"),
    "change_equipment": ("Equipment changed", "thing changed", "things changed"),
    "add_part": ("Part added", "part added", "parts added"),
    "change_part": ("Part changed", "part changed", "parts changed"),
    "add_place": ("Place added", "place added", "places added"),
    "change_place": ("Place changed", "place changed", "places changed"),
    "change_venue": ("The house changed", "change of the house", "changes of the house"),
    "import_calendar": ("Calendar read in", "calendar read in", "calendars read in"),
    "end_calendar": ("Calendar ended", "calendar ended", "calendars ended"),
    "add_person": ("Role given", "role given", "roles given"),
    "end_membership": ("Role ended", "role ended", "roles ended"),
    "add_competence": ("Competence added", "competence added", "competences added"),
}  # fmt: skip
FIRST = ("choose_ruleset", "end_ruleset", "confirm_figure", "end_confirmation", "revoke_seal")
# Counted, and not told one by one: there are too many of them.
ONLY_COUNTED = (
    "submit_check", "apply_regime", "plan_task", "create_equipment_by_import", "change_equipment_by_import",
)  # fmt: skip
# Where what has no page of its own stands, by what was done.
LISTS = {
    "choose_ruleset": "rules", "end_ruleset": "rules", "confirm_figure": "rules", "end_confirmation": "rules",
    "revoke_seal": "seals", "import_register": "equipment_list", "add_place": "house", "change_place": "house",
    "change_venue": "house", "import_calendar": "bookings", "end_calendar": "bookings", "add_person": "people",
    "end_membership": "people", "add_competence": "people",
}  # fmt: skip
PAGES = {
    "inspections.finding": "finding", "inspections.task": "task", "venue.part": "part",
    "inspections.yearplan": "year_plan", "venue.equipment": "equipment",
}  # fmt: skip


@dataclass(frozen=True)
class Change:
    """One line in words, with the page of what it tells of, where there is one."""

    word: str
    shown: ShownLine
    url: str


@dataclass(frozen=True)
class WhatChanged:
    visit: Visit
    changes: list[Change]
    counted: dict[str, int]
    late: list[Task]
    late_count: int

    @property
    def more(self) -> int:
        told = sum(count for did, count in self.counted.items() if did not in ONLY_COUNTED)
        return told - len(self.changes)

    @property
    def counts(self) -> list[tuple[int, str]]:
        """How many of each, in the order of `DEEDS`."""
        return [
            (self.counted[did], one if self.counted[did] == 1 else many)
            for did, (_, one, many) in DEEDS.items() if did in self.counted
        ]  # fmt: skip

    def __bool__(self) -> bool:
        return bool(self.counted or self.late)


def what_changed(venue: Venue, person: Person, visit: Visit, day: date) -> WhatChanged:
    """Nine queries at most, however much changed. What they did themselves is no news to them."""
    lines = LogLine.objects.in_venue(venue).filter(number__gt=visit.seen_line, did__in=DEEDS)
    lines = lines.exclude(by=person)
    counted = dict(lines.order_by().values_list("did").annotate(Count("pk")))
    first = Case(When(did__in=FIRST, then=0), default=1)
    told = lines.exclude(did__in=ONLY_COUNTED).order_by(first, "-number")
    changes = _changes(venue, shown(with_names(told)[:MOST])) if counted else []
    late = _late_since(venue, visit, day)
    return WhatChanged(visit, changes, counted, list(late[:MOST]), late.count())


def _late_since(venue: Venue, visit: Visit, day: date) -> QuerySet[Task]:
    """Their last lawful day passed since: no line of the log tells of it."""
    then = visit.seen_at.astimezone(venue.zone).date()
    rows = open_tasks(venue).filter(last_lawful_on__lt=day, last_lawful_on__gte=then)
    return rows.order_by("last_lawful_on", "pk")


def _changes(venue: Venue, lines: Iterable[ShownLine]) -> list[Change]:
    lines = list(lines)
    pages = _pages(venue, [each.line.subject for each in lines])
    return [Change(DEEDS[each.line.did][0], each, _page(venue, each.line, pages)) for each in lines]


def _page(venue: Venue, line: LogLine, pages: dict[str, str]) -> str:
    if line.did in LISTS:
        return reverse(LISTS[line.did], args=[venue.slug])
    return pages.get(line.subject, "")


def _pages(venue: Venue, subjects: list[str]) -> dict[str, str]:
    """Where each subject has its page; orders, remedies and returns on that of their finding."""
    by_model: dict[str, list[int]] = {}
    for subject in subjects:
        model, pk = subject.rsplit(" ", 1)
        if pk.isdecimal():
            by_model.setdefault(model, []).append(int(pk))
    found = {
        f"{model} {pk}": reverse(PAGES[model], args=[venue.slug, pk])
        for model, pks in by_model.items() if model in PAGES for pk in pks
    }  # fmt: skip
    for model, rows, column, page in (
        ("inspections.order", Order.objects, "finding", "finding"),
        ("inspections.remedy", Remedy.objects, "finding", "finding"),
        ("inspections.returntoservice", ReturnToService.objects, "order__finding", "finding"),
        ("inspections.report", Report.objects, "number", "report"),
    ):
        if pks := by_model.get(model):
            for pk, where in rows.filter(pk__in=pks).values_list("pk", column):
                found[f"{model} {pk}"] = reverse(page, args=[venue.slug, where])
    return found
