"""The house of the walk: its people at their screens, its register in a file, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils import timezone

from tests.browser.hands import Person
from tests.house import NOW, PASSWORD, make_venue
from tests.venue.register_samples import ROPE, WINCH
from venue.actions.people import add_competence, add_person
from venue.models import Equipment, Venue

V = "/v/larkspur/"
CLAUSE = "(a)(2)(ii)(A)(1)"  # of 29 CFR 1926.1413: six broken wires in one lay
STAFF = {
    "odile": ("Odile Varga", "manager", "competent_person"),
    "priya": ("Priya Kestrel", "stagehand", "trained_user"),
    "tam": ("Tam Achterberg", "competent", "competent_person"),
    "marisol": ("Marisol Dunne", "examiner", "outside_examiner"),
    "ines": ("Ines Halloran", "auditor", ""),
}
REGISTER = [
    {"row": "place", "place": "Stage house / Gridiron", "place hazards": "Openings between the channels"},
    WINCH | {"tag": "W4", "field: line_count": "1"},
    ROPE | {
        "tag": "W4", "identifier": "R-7", "field: nominal_diameter": "3/8 in",
        "field: lay_type": "ordinary", "field: rotation_resistant": "no", "field: strands": "7",
        "field: wires_per_strand": "19", "field: total_wires": "133",
        "field: outer_load_bearing_wires": "114", "field: baseline_diameter": "0.38 in",
    },
    {"row": "equipment", "tag": "C1", "place": "Auditorium / Catwalks", "kind": "catwalk",
     "name": "Catwalk 1", "field: height": "11 m"},
]  # fmt: skip


@dataclass
class House:
    """The venue with its people at their screens, and nothing else in it yet."""

    venue: Venue
    address: str
    odile: Person
    priya: Person
    tam: Person
    marisol: Person
    ines: Person

    @property
    def winch(self) -> Equipment:
        return Equipment.objects.get(tag="W4")

    @property
    def today(self) -> date:
        return timezone.now().astimezone(self.venue.zone).date()


def open_house(size: dict[str, int], address: str, tab: Callable[..., Any]) -> House:
    venue = make_venue()
    Venue.objects.filter(pk=venue.pk).update(unit_habit="us")
    venue.refresh_from_db()
    for key, (name, role, level) in STAFF.items():
        hire(venue, f"{key}@larkspur.example", name, role, level)
    screens = {key: Person(tab, size, f"{key}@larkspur.example") for key in STAFF}
    return House(venue, address, **screens)


def hire(venue: Venue, email: str, name: str, role: str, level: str) -> None:
    member = add_person(
        venue=venue, email=email, name=name, role=role, password=PASSWORD, by=None, at=NOW
    )
    if level:
        add_competence(
            membership=member, level=level, certificate="Card 118", issued_by="Tern Harbour College",
            valid_from=date(2024, 1, 1), expires_on=None, by=None, at=NOW,
        )  # fmt: skip
