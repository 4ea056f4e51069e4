"""Files that belong to no record of their own: of remedies, equipment and parts. How long they are kept
is counted by the records they hang on, each as if made when the thing was last of use."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from itertools import islice
from typing import Any
from uuid import UUID

from django.db.models import Model, Q, QuerySet

from inspections.models import Answer, Disposal, Remedy, RemedyFile
from inspections.queries.disposal import NO_RECORD, Own, longest_of, still_there_alone
from inspections.queries.retention import (
    KeptRecord,
    as_if_made,
    ends_of_use,
    holds_of,
    kept_records,
    rules_of,
    why_it_stays,
)
from inspections.retention import Kept, Rule, kept_until
from venue.models import Equipment, EquipmentFile, KeptFile, Part, PartFile, Venue
from venue.queries.parts import same_thing, spells

Thing = Remedy | Equipment | Part
MOST_SHOWN = 50
HELD = "A hold stands over it. It has to be lifted first."
ORDERED = "An order of its finding is in force: it is kept until equipment and order are cleared."
IN_USE = "It is not gone from the house, so its files are kept."
FITTED = "It has not been taken out, so its files are kept."


@dataclass(frozen=True)
class Known:
    """What the house holds, asked once for many things."""

    venue: Venue
    records: list[KeptRecord]
    rules: tuple[Rule, ...]
    ended: Mapping[int, date]


@dataclass(frozen=True)
class Hung:
    """What a thing hangs on. `counted_from`: when it was last of use, None while it is."""

    equipment: set[int]
    records: set[str]
    counted_from: date | None
    why_not: str = ""
    is_over: bool = True  # nothing follows any more: that day stands for every other


@dataclass(frozen=True)
class ThingKept:
    """`stays`: in words, why nothing of it may be disposed of; nothing where it may."""

    stays: str
    kept: Kept | None


def known_of(venue: Venue) -> Known:
    return Known(venue, kept_records(venue), rules_of(venue) or (), ends_of_use(venue))


def venue_of(thing: Thing) -> Venue:
    if isinstance(thing, Remedy):
        return thing.finding.venue
    return (thing if isinstance(thing, Equipment) else thing.equipment).venue


def files_of_thing(thing: Thing) -> list[KeptFile]:
    """Those still there to which nothing else leads. A part's are those of all its places."""
    model, own = _links_of(thing)
    rows = model._default_manager.filter(**own).values("kept_file")
    return still_there_alone(KeptFile.objects.filter(pk__in=rows), {model: own})


def own_of_thing(thing: Thing) -> Own:
    model, own = _links_of(thing)
    return {model: own}


def _links_of(thing: Thing) -> tuple[type[Model], dict[str, Any]]:
    """The table that leads to its files, and its own rows there."""
    if isinstance(thing, Remedy):
        return RemedyFile, {"remedy": thing}
    if isinstance(thing, Equipment):
        return EquipmentFile, {"equipment": thing}
    return PartFile, {"part__in": [row.pk for row in same_thing(thing, spells(thing))]}


def thing_kept(thing: Thing, known: Known, today: date) -> ThingKept:
    hung = _hung(thing, known)
    records = list(_counted(hung, known))
    if _is_held(hung, known.venue):
        stays = HELD
    elif hung.why_not or not records:
        stays = hung.why_not or NO_RECORD
    else:
        stays = next((words for each in records if (words := why_it_stays(each, today))), "")
    return ThingKept(stays, None if stays else longest_of(records))


def _hung(thing: Thing, known: Known) -> Hung:
    if isinstance(thing, Remedy):
        return _of_remedy(thing, known.venue)
    if isinstance(thing, Equipment):
        ended = known.ended.get(thing.pk)
        return Hung({thing.pk}, set(), ended, "" if ended else IN_USE)
    return _of_part(thing, known)


def _of_remedy(remedy: Remedy, venue: Venue) -> Hung:
    """By the record of its finding, not before the last return that leans on it."""
    finding = remedy.finding
    orders = list(finding.orders.select_related("returned"))
    returns = [getattr(order, "returned", None) for order in orders]
    last = max([remedy.at, *(row.at for row in returns if row)])
    return Hung(
        {finding.equipment_id}, {str(finding.record_id)} if finding.record_id else set(),
        last.astimezone(venue.zone).date(), ORDERED if None in returns else "", is_over=False,
    )  # fmt: skip


def _of_part(part: Part, known: Known) -> Hung:
    """By the records of every equipment it was in, and every one that asks about it."""
    rows = same_thing(part, spells(part))
    last = rows[-1]
    answers = Answer.objects.filter(part__in=rows).values_list("record", flat=True)
    written = last.retired_at.astimezone(known.venue.zone).date() if last.retired_at else None
    days = [last.retired_on, written, known.ended.get(last.equipment_id)]
    ended = max((day for day in days if day), default=None)
    return Hung(
        {row.equipment_id for row in rows}, {str(pk) for pk in answers}, ended,
        "" if ended else FITTED,
    )  # fmt: skip


def _counted(hung: Hung, known: Known) -> Iterator[KeptRecord]:
    """The records, as if made when the thing was last of use, where that is later. Of what is over no
    next record need follow: where none did, that day stands for it, and for the end of use."""
    day = hung.counted_from
    for each in known.records:
        mine = each.pk in hung.records or (hung.is_over and each.equipment_id in hung.equipment)
        if day is None or not mine:
            continue
        counted = as_if_made(each, day, known.rules)
        if hung.is_over:
            facts = counted.facts
            facts = replace(
                facts, next=facts.next or facts.made, use_ended=max(facts.use_ended or day, day)
            )
            counted = replace(counted, facts=facts, kept=kept_until(facts, known.rules))
        yield counted


def _is_held(hung: Hung, venue: Venue) -> bool:
    over = Q(equipment=None) | Q(equipment__in=hung.equipment)
    return holds_of(venue).filter(over, lifted_at=None).exists()


def things_that_may_go(venue: Venue, today: date) -> list[tuple[str, Thing]]:
    """Those whose files may be disposed of and are still there, each by what it is; fifty at most."""
    if not rules_of(venue):
        return []
    known = known_of(venue)
    may = (
        (what, thing)
        for what, thing in _with_files(known, today)
        if not thing_kept(thing, known, today).stays
    )
    return list(islice(may, MOST_SHOWN))


def _with_files(known: Known, today: date) -> Iterator[tuple[str, Thing]]:
    gone = Disposal.objects.values("kept_file")
    over = [UUID(each.pk) for each in known.records if each.may_go(today)]
    remedies = Remedy.objects.in_venue(known.venue).filter(finding__record__in=over)
    with_files: QuerySet[Any, Any] = RemedyFile.objects.exclude(kept_file__in=gone).values("remedy")
    for remedy in remedies.filter(pk__in=with_files).select_related("finding").order_by("at", "pk"):
        yield "remedy", remedy
    with_files = EquipmentFile.objects.exclude(kept_file__in=gone).values("equipment")
    gone_from_here = Equipment.objects.filter(pk__in=list(known.ended))
    for equipment in gone_from_here.filter(pk__in=with_files):
        yield "equipment", equipment
    with_files = PartFile.objects.exclude(kept_file__in=gone).values("part")
    taken_out = Q(retired_on__isnull=False) | Q(equipment__in=list(known.ended))
    parts = Part.objects.in_venue(known.venue).filter(taken_out, pk__in=with_files)
    yield from _last_of(parts.select_related("equipment").order_by("retired_on", "pk"))


def _last_of(parts: Iterable[Part]) -> Iterator[tuple[str, Part]]:
    """The row that says where each thing was last, once."""
    known = set()
    for part in parts:
        last = same_thing(part, spells(part))[-1]
        if last.pk not in known:
            known.add(last.pk)
            yield "part", last
