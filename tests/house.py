"""A small house for tests: two venues, the same people everywhere, one winch with a rope."""

from __future__ import annotations

from datetime import UTC, date, datetime
from types import SimpleNamespace
from typing import Any

from inspections.regime_files import regimes
from rigging.actions.choose_ruleset import choose_ruleset
from venue.actions.people import add_competence, add_person
from venue.kind_fields import read_fields
from venue.kind_files import kinds, part_kinds
from venue.models import Equipment, Organisation, Part, Person, Place, Venue

NOW = datetime(2026, 5, 4, 12, 0, tzinfo=UTC)
# Farther than any plan of a test reaches, also from the day on which it is run.
CARD_ENDS = date(2098, 1, 1)
TODAY = date(2026, 5, 4)
PASSWORD = "only-for-tests-1"
ROLES = ("manager", "competent", "second", "stagehand", "examiner", "auditor")
LEVEL = {
    "manager": "competent_person", "competent": "qualified_person", "second": "competent_person",
    "stagehand": "trained_user", "examiner": "outside_examiner",
}  # fmt: skip
ROPE = {
    "construction": "7x19", "nominal_diameter": "1/4 in", "lay_type": "ordinary", "lay_length": "1 1/2 in",
    "rotation_resistant": "no", "duty": "running", "strands": "7", "wires_per_strand": "19",
    "total_wires": "133", "outer_load_bearing_wires": "114", "baseline_diameter": "0.26 in",
}  # fmt: skip
WINCH = {"service": "normal", "line_count": "1", "over_people": "no"}


def make_venue(slug: str = "larkspur") -> Venue:
    organisation, _ = Organisation.objects.get_or_create(slug="trust", name="The Larkspur Trust")
    return Venue.objects.create(
        organisation=organisation, slug=slug, name=slug.title(), time_zone="Europe/London"
    )


def make_person(venue: Venue, role: str, name: str = "") -> Person:
    """A person with a role, and the competence that usually goes with it."""
    name = name or role
    held = {"second": "competent"}.get(role, role)
    member = add_person(
        venue=venue,
        email=f"{name}@{venue.slug}.example",
        name=name.title(),
        role=held,
        password=PASSWORD,
        by=None,
        at=NOW,
    )
    if role in LEVEL:
        add_competence(
            membership=member, level=LEVEL[role], certificate="Card 1", issued_by="College",
            valid_from=date(2024, 1, 1), expires_on=CARD_ENDS, by=None, at=NOW,
        )  # fmt: skip
    return member.person


def make_place(venue: Venue) -> Place:
    return Place.objects.create(venue=venue, slug="stage", name="Stage", hazards=["Moving load"])


def make_equipment(
    venue: Venue, tag: str = "W1", kind: str = "drum_winch", fields: dict | None = None
) -> Equipment:
    place = venue.places.first() or make_place(venue)
    stored, faults = read_fields(kinds()[kind], fields or WINCH, "metric")
    assert not faults, faults
    return Equipment.objects.create(
        venue=venue,
        place=place,
        tag=tag,
        name=f"Winch {tag}",
        kind=kind,
        kind_hash=kinds()[kind].hash,
        fields=stored,
    )


def make_rope(equipment: Equipment, code: str = "line 1", **changed: str) -> Part:
    stored, faults = read_fields(part_kinds()["wire_rope"], ROPE | changed, "us")
    assert not faults, faults
    return Part.objects.create(
        equipment=equipment,
        code=code,
        kind="wire_rope",
        kind_hash="",
        name="Wire rope",
        identifier="R-1",
        fields=stored,
    )


def make_house() -> Any:
    """The venue, everyone, a winch W1 with one rope, two rule sets in force, and another venue."""
    venue, other = make_venue(), make_venue("tern-studio")
    house = SimpleNamespace(
        venue=venue, other=other, people={role: make_person(venue, role) for role in ROLES}
    )
    house.people["other manager"] = make_person(other, "manager")
    for ruleset in ("us-osha-1926-1413", "us-msha-30cfr-56-19024"):
        choose_ruleset(
            venue=venue, ruleset=ruleset, why="For the tests.", by=house.people["manager"], at=NOW
        )
    house.winch = make_equipment(venue)
    house.rope = make_rope(house.winch)
    house.regime = regimes()["winch_ropes_monthly"]
    return house
