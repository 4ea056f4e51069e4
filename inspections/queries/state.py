"""What is fit to use tonight: computed at read time, never stored. An order speaks before all else."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Exists, Max, OuterRef

from inspections.models import Finding, Order, Record, Remedy, Task
from inspections.queries.changed_parts import changed_since_looked_at
from inspections.queries.looked_at import looked_at
from venue.models import Equipment, Venue

OUT = {Order.What.OUT_OF_SERVICE, Order.What.BARRED_FROM}

# Words for the screen; the mark's name is the state's with hyphens.
WORDS = {
    "out of service": "Out of service",
    "restrict": "Restricted",
    "late": "Inspection late",
    "cannot be decided": "Not known",
    "watch": "Watch",
    "fit": "In order at its last check",
    "restricted-late": "Restricted, and inspection late",
    "restricted-unknown": "Restricted; otherwise not known",
    "never": "Never checked here",
    "changed": "A part was changed since the last look",
    "unsigned": "Last checked by someone whose competence does not cover it",
}


@dataclass
class EquipmentState:
    state: str
    words: str
    orders: list[Order] = field(default_factory=list)
    late: int = 0
    last_record: Record | None = None

    @property
    def out(self) -> bool:
        return self.state == "out of service"


def state_of(equipment: Equipment, day: date) -> EquipmentState:
    return states_of([equipment], day)[equipment.pk]


def orders_out(equipment: Equipment, day: date) -> list[Order]:
    """The orders that keep it out of service that day: for a page that has to say no more."""
    return [order for order in _orders([equipment.pk], day)[equipment.pk] if order.what in OUT]


def states_of(equipment: Iterable[Equipment], day: date) -> dict[int, EquipmentState]:
    """The state of many pieces of equipment in six queries, however many they are."""
    ids = [piece.pk for piece in equipment]
    orders, late, records = _orders(ids, day), _late(ids, day), _last_records(ids)
    changed, wrong = changed_since_looked_at(ids), with_open_findings(ids)
    return {
        pk: _state(orders[pk], late[pk], records.get(pk, []), pk in changed, pk in wrong)
        for pk in ids
    }


def _state(
    orders: list[Order], late: int, records: list[Record], changed: bool, wrong: bool
) -> EquipmentState:
    ordered, recorded = _ordered(orders), _recorded(records)
    if ordered == "restrict" and late:
        # Late is the worse of the two, and neither hides the other.
        return EquipmentState("late", WORDS["restricted-late"], orders, late, _newest(records))
    unknown = changed or recorded in ("never", "unsigned", "cannot be decided")
    if ordered == "restrict" and unknown:
        words = WORDS["restricted-unknown"]
        return EquipmentState("restrict", words, orders, late, _newest(records))
    state = ordered or ("late" if late else None) or recorded
    if wrong and state == "fit":
        state = "watch"  # another check since, all in order, cures nothing that was found
    if changed and state in ("fit", "watch", "cannot be decided", "unsigned"):
        state = "changed"
    words = WORDS[state]
    if state in ("never", "changed", "unsigned"):
        state = "cannot be decided"  # nobody who may say so looked: not known, never a pass
    if state == "late":
        words = f"{late} inspections late" if late > 1 else WORDS["late"]
    return EquipmentState(state, words, orders, late, _newest(records))


def _newest(records: list[Record]) -> Record | None:
    return records[0] if records else None


def _ordered(orders: list[Order]) -> str | None:
    kinds = {order.what for order in orders}
    if kinds & OUT:
        return "out of service"
    return "restrict" if kinds else None


def _recorded(records: list[Record]) -> str:
    """The worst of the latest record of each regime. A record that found something out of service
    and was cured since shows as "watch" until that check is done again."""
    if not records:
        return "never"
    states = {record.state for record in records}
    if "cannot be decided" in states:
        return "cannot be decided"
    if states & {"watch", "restrict", "out of service", "retire"}:
        return "watch"
    if not all(record.may_sign for record in records):
        return "unsigned"
    return "fit" if "fit" in states else "cannot be decided"


def orders_in_force(venue: Venue, day: date):
    return (
        Order.objects.filter(venue=venue, returned__isnull=True, bites_on__lte=day)
        .select_related("equipment", "finding", "by")
        .order_by("-at")
    )


def _orders(ids: list[int], day: date) -> dict[int, list[Order]]:
    found: dict[int, list[Order]] = defaultdict(list)
    rows = Order.objects.filter(equipment__in=ids, returned__isnull=True, bites_on__lte=day)
    for order in rows.select_related("finding", "by"):
        found[order.equipment_id].append(order)
    return found


def _late(ids: list[int], day: date) -> dict[int, int]:
    found: dict[int, int] = defaultdict(int)
    rows = Task.objects.filter(equipment__in=ids, state=Task.State.OPEN, last_lawful_on__lt=day)
    for equipment_id in rows.values_list("equipment_id", flat=True):
        found[equipment_id] += 1
    return found


def with_open_findings(ids: Iterable[int]) -> set[int]:
    """Of these, the pieces with a finding that has no remedy yet, or an order not lifted, also one
    that bites on a later day; in one query."""
    remedies = Remedy.objects.filter(finding=OuterRef("pk"))
    orders = Order.objects.filter(finding=OuterRef("pk"), returned__isnull=True)
    found = Finding.objects.filter(equipment__in=list(ids)).exclude(
        Exists(remedies), ~Exists(orders)
    )
    return set(found.values_list("equipment_id", flat=True))


def _last_records(ids: list[int]) -> dict[int, list[Record]]:
    """The latest record of each regime, newest first. A check done on a phone before another one
    is not the newer for having arrived after it."""
    looked = Record.objects.filter(equipment__in=ids).annotate(looked_at=looked_at())
    newest = (
        looked.values("equipment_id", "version__slug")
        .annotate(newest=Max("looked_at"))
        .values_list("equipment_id", "version__slug", "newest")
    )
    wanted = set(newest)
    rows = looked.filter(looked_at__in={at for _, _, at in wanted})
    found: dict[int, list[Record]] = defaultdict(list)
    for record in rows.select_related("version").defer("body").order_by("-looked_at", "-at"):
        if (record.equipment_id, record.version.slug, record.looked_at) in wanted:
            found[record.equipment_id].append(record)
    return found
