"""What the search box finds in a venue, grouped by kind. The same number of queries however much there is."""

from __future__ import annotations

from datetime import date

from django.db.models import F
from django.db.models.fields.json import KT
from django.urls import reverse

from inspections.digest import day_words
from inspections.find_actions import FindAction, actions_for
from inspections.find_words import may_be_tags, words_of
from inspections.queries.folded import Folded, holding
from inspections.queries.found import ASKED, MOST, Asked, Group, Hit, group
from inspections.queries.search_kinds import KINDS, NEAREST
from inspections.queries.state import EquipmentState, states_of
from venue.folding import folded
from venue.language_now import said
from venue.models import Equipment, Part, Venue

PART_COLUMNS = ("equipment__tag", "code", "name", "identifier", "certificate", "equipment__name")


def search(venue: Venue, role: str, typed: str, day: date) -> list[Group]:
    """Nothing typed, or a single letter: what the role can do, and the piece whose tag it is."""
    asked = Asked(venue, role, day, words_of(typed), _named(venue, may_be_tags(typed)))
    if not asked.words:
        every = [_action(asked, each, None) for each in actions_for(role, [])]
        states = states_of(set(asked.named), day)
        groups = [_equipment(asked, asked.named, states), Group("What you can do", every)]
    else:
        pieces, parts = _pieces(asked), _parts(asked)
        states = states_of({*pieces[:MOST], *(part.equipment for part in parts[:MOST])}, day)
        told = group(
            "Ropes and other parts",
            parts,
            lambda part: _part(asked, part, states[part.equipment_id]),
        )
        groups = [
            Group("What you can do", _actions(asked)), _equipment(asked, pieces, states), told,
            *(find(asked) for find in KINDS),
        ]  # fmt: skip
    return [group for group in groups if group.hits]


def _named(venue: Venue, tags: list[str]) -> list[Equipment]:
    """The pieces whose whole tag is one of the words."""
    if not tags:
        return []
    rows = Equipment.objects.filter(venue=venue).annotate(tag_folded=Folded("tag"))
    return list(rows.filter(tag_folded__in=tags).select_related("place").order_by("pk"))


def _pieces(asked: Asked) -> list[Equipment]:
    rows = Equipment.objects.filter(venue=asked.venue).select_related("place")
    found = holding(rows, asked.words, "tag", "name", "place__name")
    return list(found.order_by(asked.named_first("pk"), *NEAREST)[:ASKED])


def _parts(asked: Asked) -> list[Part]:
    """Those of the piece that is named before all others, and of these what is in use before what is
    retired. The others have no order of their own: of forty thousand the first few end the search."""
    rows = Part.objects.filter(equipment__venue=asked.venue).select_related("equipment")
    rows = rows.annotate(certificate=KT("fields__certificate"))
    found = holding(rows, asked.words, *PART_COLUMNS)
    theirs = found.filter(equipment__in=asked.named)
    first = list(theirs.order_by(F("retired_on").asc(nulls_first=True), "pk")[:ASKED])
    others = found.exclude(equipment__in=asked.named).order_by("pk")[: ASKED - len(first)]
    return [*first, *others]


def _equipment(asked: Asked, rows: list[Equipment], states: dict[int, EquipmentState]) -> Group:
    url = asked.url("equipment_list", words=asked.typed)
    return group("Equipment", rows, lambda piece: _piece(asked, piece, states[piece.pk]), url)


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
    for piece in asked.named[:1]:
        rest = [word for word in asked.words if word != folded(piece.tag)]
        of_piece = [each for each in actions_for(asked.role, rest, said) if each.of_equipment]
        found = [_action(asked, each, piece) for each in of_piece if rest] + found
    return found[:MOST]


def _action(asked: Asked, action: FindAction, piece: Equipment | None) -> Hit:
    if action.of_equipment and piece is not None:
        return Hit(f"{said(action.name)}: {piece}", "", asked.url(action.url, piece.pk))
    if action.of_equipment and not action.alone:
        return Hit(said(action.name), "Choose the equipment", asked.url("equipment_list"))
    query = f"?{action.query}" if action.query else ""
    where = action.alone or action.url
    url = reverse(where) if action.everywhere else asked.url(where)
    return Hit(said(action.name), "", url + query)
