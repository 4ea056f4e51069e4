"""What the search box finds in a venue, grouped by kind. The same number of queries however much there is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from urllib.parse import urlencode

from django.db.models import Exists, OuterRef
from django.db.models.fields.json import KT
from django.urls import reverse

from inspections.digest import day_words
from inspections.find_actions import FindAction, actions_for
from inspections.find_words import folded, words_of
from inspections.models import Finding, Order, Remedy, Report, Task
from inspections.queries.folded import Folded, holding
from inspections.queries.state import EquipmentState, states_of
from inspections.queries.tasks import open_tasks, with_standing
from venue.language_now import said
from venue.models import Equipment, Membership, Part, Place, Venue

MOST = 6  # of a kind
AHEAD = timedelta(days=120)  # tasks planned later are on the page of their equipment


@dataclass(frozen=True)
class Hit:
    """One thing found: what it is, where it is, and how it stands."""

    what: str
    more: str
    url: str
    state: str = ""
    state_words: str = ""


@dataclass(frozen=True)
class Group:
    title: str
    hits: list[Hit]


@dataclass(frozen=True)
class Asked:
    venue: Venue
    role: str
    day: date
    words: list[str]

    def url(self, name: str, *more: object) -> str:
        return reverse(name, args=[self.venue.slug, *more])


def search(venue: Venue, role: str, typed: str, day: date) -> list[Group]:
    """Nothing typed, or a single letter: what the role can do."""
    asked = Asked(venue, role, day, words_of(typed))
    if not asked.words:
        return [
            Group("What you can do", [_action(asked, each, None) for each in actions_for(role, [])])
        ]
    pieces = list(holding(_pieces(venue), asked.words, "tag", "name", "place__name")[:MOST])
    # Without an order of their own: of forty thousand parts the first six end the search.
    parts = list(holding(_parts(venue), asked.words, *PART_COLUMNS).order_by("pk")[:MOST])
    states = states_of({*pieces, *(part.equipment for part in parts)}, day)
    groups = [
        Group("What you can do", _actions(asked)),
        Group("Equipment", [_piece(asked, each, states[each.pk]) for each in pieces]),
        Group("Ropes and other parts", [_part(asked, each, states[each.equipment_id]) for each in parts]),
        *(Group(title, find(asked)) for title, find in KINDS.items()),
    ]  # fmt: skip
    return [group for group in groups if group.hits]


def _pieces(venue: Venue):
    return Equipment.objects.filter(venue=venue).select_related("place")


PART_COLUMNS = ("equipment__tag", "code", "name", "identifier", "certificate", "equipment__name")


def _parts(venue: Venue):
    rows = Part.objects.filter(equipment__venue=venue).select_related("equipment")
    return rows.annotate(certificate=KT("fields__certificate"))


def _piece(asked: Asked, piece: Equipment, state: EquipmentState) -> Hit:
    gone = "" if piece.standing == Equipment.Standing.INSTALLED else piece.get_standing_display()
    more = ", ".join(each for each in (piece.place.name, gone) if each)
    url = asked.url("equipment", piece.pk)
    return Hit(str(piece), more, url, state.state, state.words)


def _part(asked: Asked, part: Part, state: EquipmentState) -> Hit:
    """It stands as its equipment does; a retired one says only that."""
    known = (part.equipment.name, part.identifier, part.fields.get("certificate", ""))
    more = ", ".join(each for each in known if each)
    what, url = f"{part.equipment.tag}: {part}", asked.url("part", part.pk)
    if part.retired_on:
        return Hit(what, more, url, "not judged", f"Retired on {day_words(part.retired_on)}")
    return Hit(what, more, url, state.state, f"{part.equipment.tag}: {state.words}")


def _actions(asked: Asked) -> list[Hit]:
    """Also with the tag of a piece among the words: then of that piece."""
    found = [_action(asked, each, None) for each in actions_for(asked.role, asked.words, said)]
    if len(asked.words) > 1:
        piece, rest = _piece_named(asked)
        of_piece = [
            each for each in actions_for(asked.role, rest, said) if each.of_equipment and rest
        ]
        found = [_action(asked, each, piece) for each in of_piece if piece] + found
    return found[:MOST]


def _piece_named(asked: Asked) -> tuple[Equipment | None, list[str]]:
    """The piece one of whose words is the whole tag, and the other words."""
    rows = Equipment.objects.filter(venue=asked.venue).annotate(tag_folded=Folded("tag"))
    piece = rows.filter(tag_folded__in=asked.words).order_by("pk").first()
    if piece is None:
        return None, []
    return piece, [word for word in asked.words if word != folded(piece.tag)]


def _action(asked: Asked, action: FindAction, piece: Equipment | None) -> Hit:
    if action.of_equipment:
        if piece is not None:
            return Hit(f"{said(action.name)}: {piece}", "", asked.url(action.url, piece.pk))
        return Hit(said(action.name), "Choose the equipment", asked.url("equipment_list"))
    query = f"?{action.query}" if action.query else ""
    return Hit(said(action.name), "", asked.url(action.url) + query)


def _places(asked: Asked) -> list[Hit]:
    rows = holding(Place.objects.filter(venue=asked.venue), asked.words, "name")[:MOST]
    where = asked.url("equipment_list")
    return [
        Hit(one.name, "; ".join(one.hazards), f"{where}?{urlencode({'words': one.name})}")
        for one in rows
    ]


def _people(asked: Asked) -> list[Hit]:
    rows = Membership.objects.filter(venue=asked.venue, ended_on=None).select_related("person")
    found = holding(rows, asked.words, "person__name")[:MOST]
    return [Hit(one.person.name, one.get_role_display(), asked.url("people")) for one in found]


def _findings(asked: Asked) -> list[Hit]:
    remedies = Remedy.objects.filter(finding=OuterRef("pk"))
    orders = Order.objects.filter(finding=OuterRef("pk"), returned__isnull=True)
    rows = Finding.objects.filter(venue=asked.venue).select_related("equipment")
    rows = rows.annotate(has_remedy=Exists(remedies), has_order=Exists(orders))
    found = holding(rows, asked.words, "what", "equipment__tag", "equipment__name")[:MOST]
    return [_finding(asked, one) for one in found]


def _finding(asked: Asked, one: Finding) -> Hit:
    cured = one.has_remedy and not one.has_order  # type: ignore[attr-defined]
    state, words = ("done", "Cured") if cured else ("watch", "Open")
    more = f"{one.equipment}, {day_words(one.at.astimezone(asked.venue.zone).date())}"
    return Hit(one.what, more, asked.url("finding", one.pk), state, words)


def _orders(asked: Asked) -> list[Hit]:
    rows = Order.objects.filter(venue=asked.venue).select_related("equipment", "returned")
    found = holding(rows, asked.words, "why", "restriction", "equipment__tag", "equipment__name")
    return [_order(asked, one) for one in found[:MOST]]


def _order(asked: Asked, one: Order) -> Hit:
    more, url = f"{one.equipment}", asked.url("finding", one.finding_id)
    if hasattr(one, "returned"):
        return Hit(one.why, more, url, "done", "Returned to service")
    if one.what == Order.What.RESTRICTED:
        return Hit(one.why, more, url, "restrict", "Restricted")
    if one.bites_on > asked.day:
        return Hit(one.why, more, url, "watch", f"Out of service from {day_words(one.bites_on)}")
    return Hit(one.why, more, url, "out of service", "Out of service")


def _reports(asked: Asked) -> list[Hit]:
    rows = Report.objects.filter(venue=asked.venue).defer("record_json")
    found = holding(rows, [word for word in asked.words if word != "report"], "number", "title")
    return [
        Hit(f"Report {one.number}", one.title, asked.url("report", one.number), "done",
            f"Examined on {day_words(one.examined_on)}")
        for one in found[:MOST]
    ]  # fmt: skip


def _tasks(asked: Asked) -> list[Hit]:
    rows = open_tasks(asked.venue).filter(planned_on__lte=asked.day + AHEAD)
    columns = ("equipment__tag", "equipment__name", "plan__version__title")
    found = holding(rows, asked.words, *columns).order_by("planned_on", "pk")[:MOST]
    return [
        Hit(f"{stop.task.equipment}: {stop.task.plan.version.title}",
            _planned(stop.task), asked.url("task", stop.task.pk), stop.mark, stop.words)
        for stop in with_standing(found, asked.day)
    ]  # fmt: skip


def _planned(task: Task) -> str:
    words = f"planned for {day_words(task.planned_on)}"
    return f"{words}, {task.half_words}" if task.half else words


KINDS: dict[str, Callable[[Asked], list[Hit]]] = {
    "Tasks": _tasks,
    "Findings": _findings,
    "Orders": _orders,
    "Reports": _reports,
    "Places": _places,
    "People": _people,
}
