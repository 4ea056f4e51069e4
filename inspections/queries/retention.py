"""Until when the records of a house are kept, by the rules it follows, and what holds them back."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from uuid import UUID

from django.db.models import Max, QuerySet

from inspections.models import LegalHold, Record, RetentionChoice
from inspections.regime_files import regimes
from inspections.retention import Facts, Kept, RetentionRules, Rule, following, kept_until
from inspections.retention_files import RecordClass, class_of, record_classes, retention_rules
from venue.models import Equipment, LogLine, Person, Venue


@dataclass(frozen=True)
class Followed:
    """A choice of the venue, and the file as it is now. `changed`: it was another when chosen."""

    choice: RetentionChoice
    rules: RetentionRules | None

    @property
    def changed(self) -> bool:
        return self.rules is not None and self.rules.hash != self.choice.rules_hash


@dataclass(frozen=True)
class KeptRecord:
    """A record with its class, until when it is kept, and whether a hold stands over it."""

    pk: str
    equipment_id: int
    by_id: int
    made: date
    record_class: RecordClass
    facts: Facts
    kept: Kept
    held: bool
    series: tuple[date, ...] = ()  # the days of every record of its kind on the equipment

    def may_go(self, today: date) -> bool:
        return not self.held and self.kept.may_go(today)


@dataclass
class ClassKept:
    """What the page says of one class."""

    record_class: RecordClass
    count: int = 0
    may_go: int = 0
    held: int = 0
    for_ever: int = 0
    undecided: Counter[str] = field(default_factory=Counter)  # by what is missing
    first_until: date | None = None
    last_until: date | None = None
    rules: tuple[Rule, ...] = ()

    def add(self, record: KeptRecord, today: date) -> None:
        self.count += 1
        self.held += record.held
        self.may_go += record.may_go(today)
        kept = record.kept
        self.for_ever += kept.for_ever
        self.undecided.update(kept.missing)
        if kept.until:
            self.first_until = min(self.first_until or kept.until, kept.until)
            self.last_until = max(self.last_until or kept.until, kept.until)

    @property
    def missing(self) -> list[tuple[str, int]]:
        return sorted(self.undecided.items())


def followed_by(venue: Venue) -> list[Followed]:
    known = retention_rules()
    rows = RetentionChoice.objects.in_venue(venue).filter(ended_on=None)
    return [
        Followed(row, known.get(row.rules)) for row in rows.select_related("chosen_by", "venue")
    ]


def rules_of(venue: Venue) -> tuple[Rule, ...] | None:
    """Every rule followed; None where a chosen file is gone: then nothing may be decided."""
    found = followed_by(venue)
    if any(each.rules is None for each in found):
        return None
    return tuple(rule for each in found if each.rules for rule in each.rules.rules)


def holds_of(venue: Venue) -> QuerySet[LegalHold]:
    rows = LegalHold.objects.in_venue(venue)
    return rows.select_related("equipment", "placed_by", "lifted_by", "venue")


def kept_records(venue: Venue) -> list[KeptRecord]:
    """Every record of the house, in the same few questions whatever their number."""
    rules = rules_of(venue) or ()
    standing = holds_of(venue).filter(lifted_at=None).values_list("equipment_id", flat=True)
    held = set(standing)
    ended, known = ends_of_use(venue), regimes()
    kept = []
    for (equipment, slug), series in _series(venue).items():
        which = class_of(slug, known[slug].level if slug in known else "")
        is_held = None in held or equipment in held
        days = tuple(day for *_, day in series)
        later = following(days)
        for place, (pk, by, day) in enumerate(series):
            facts = Facts(which.slug, day, later[place], ended.get(equipment), first=place == 0)
            until = kept_until(facts, rules)
            kept.append(KeptRecord(str(pk), equipment, by, day, which, facts, until, is_held, days))
    return kept


def as_if_made(record: KeptRecord, day: date, rules: Sequence[Rule]) -> KeptRecord:
    """As if it had been made on that day, where that is later: its next is then the first after it."""
    made = max(record.made, day)
    later = next((each for each in record.series if each > made), None)
    facts = replace(record.facts, made=made, next=later)
    return replace(record, facts=facts, kept=kept_until(facts, rules))


def _series(venue: Venue) -> dict[tuple[int, str], list[tuple[UUID, int, date]]]:
    """The records of one kind on one piece of equipment, in their order: id, by whom, day."""
    rows: dict[tuple[int, str], list[tuple[UUID, int, date]]] = defaultdict(list)
    found = Record.objects.in_venue(venue).order_by("done_on", "at", "pk")
    for pk, equipment, slug, by, day in found.values_list(
        "pk", "equipment_id", "version__slug", "by_id", "done_on"
    ):
        rows[equipment, slug].append((pk, by, day))
    return rows


def ends_of_use(venue: Venue) -> dict[int, date]:
    """The last day on which the log tells anything of equipment that is gone: it went then or before,
    so what is counted from it is rather kept too long."""
    gone = Equipment.objects.filter(venue=venue, standing=Equipment.Standing.GONE)
    names = {f"{Equipment._meta.label_lower} {pk}": pk for pk in gone.values_list("pk", flat=True)}
    if not names:
        return {}
    told = LogLine.objects.in_venue(venue).filter(subject__in=names).order_by()
    told = told.exclude(did="dispose_of_files")
    last = told.values_list("subject").annotate(last=Max("at"))
    return {names[subject]: at.astimezone(venue.zone).date() for subject, at in last}


def classes_kept(venue: Venue, today: date) -> list[ClassKept]:
    """One for each class, empty ones too."""
    rules = rules_of(venue) or ()
    found = {
        each.slug: ClassKept(each, rules=tuple(rule for rule in rules if each.slug in rule.classes))
        for each in record_classes()
    }
    for record in kept_records(venue):
        found[record.record_class.slug].add(record, today)
    return list(found.values())


def must_be_kept(records: Iterable[KeptRecord], person: Person, today: date) -> int:
    """How many records of that person may not go yet."""
    return sum(each.by_id == person.pk and not each.may_go(today) for each in records)


def kept_record(record: Record) -> KeptRecord:
    """What is said of one record."""
    found = kept_records(record.venue)
    return next(each for each in found if each.pk == str(record.pk))


def why_it_stays(record: KeptRecord, today: date) -> str:
    """In words, why nothing of it may be disposed of; nothing where it may."""
    kept = record.kept
    if record.held:
        return "A hold stands over it. It has to be lifted first."
    if kept.no_rule:
        return "No rule that this house follows tells of it, so it is kept."
    if kept.for_ever:
        return "It is kept for ever."
    if kept.missing:
        return f"It is kept, because this is not known: {', '.join(kept.missing)}."
    if not kept.may_go(today):
        return f"It is kept until {kept.until:%-d %B %Y}, that day included."
    return ""
