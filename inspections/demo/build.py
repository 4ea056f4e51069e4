"""Build the demo house through the same actions that people use, so that its log and records are
real. Seeded: the same day gives the same house."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta

from django.db import transaction

from inspections.actions.plans import apply_regime
from inspections.demo import scenario
from inspections.demo.history import write_history
from inspections.regime_files import regimes_for
from rigging.actions.choose_ruleset import choose_ruleset
from venue.actions.house import add_booking
from venue.actions.people import add_competence, add_person
from venue.kind_fields import read_fields
from venue.kind_files import kinds, part_kinds
from venue.models import Equipment, Organisation, Part, Person, Place, RatedLoad, Venue
from venue.quantities import read_quantity

YEARS_BACK = 2


def build(now: datetime) -> Venue:
    """The Larkspur with two years of history, and its sister house."""
    organisation = Organisation.objects.create(
        slug="larkspur-trust", name="The Larkspur Trust", address="1 Quay Row, Tern Harbour"
    )
    larkspur = _venue(organisation, "larkspur", "The Larkspur", now)
    studio = _venue(organisation, "tern-studio", "The Tern Studio", now)
    people = _people(larkspur, now)
    add_person(
        venue=studio, email="studio@larkspur.example", name="Kit Marlow", role="manager",
        password=scenario.PASSWORD, by=None, at=now,
    )  # fmt: skip
    manager = people["odile@larkspur.example"]
    _rules(larkspur, manager, now)
    _equipment(larkspur)
    _bookings(larkspur, manager, now)
    _plans(larkspur, manager, now)
    write_history(larkspur, people, now)
    return larkspur


def _venue(organisation: Organisation, slug: str, name: str, now: datetime) -> Venue:
    return Venue.objects.create(
        organisation=organisation, slug=slug, name=name, address=f"{name}, 1 Quay Row, Tern Harbour",
        time_zone="Europe/London", unit_habit="metric", dialect="en-GB",
    )  # fmt: skip


def _people(venue: Venue, now: datetime) -> dict[str, Person]:
    people, start = {}, (now - timedelta(days=365 * YEARS_BACK)).date()
    for email, name, role, level, certificate in scenario.PEOPLE:
        member = add_person(
            venue=venue,
            email=email,
            name=name,
            role=role,
            password=scenario.PASSWORD,
            by=None,
            at=now,
        )
        people[email] = member.person
        if level:
            # The examiner's card lapses in March.
            ends = (
                _next_march(now.date()) if role == "examiner" else start + timedelta(days=365 * 5)
            )
            add_competence(
                membership=member, level=level, certificate=certificate, issued_by="Tern Harbour College",
                valid_from=start, expires_on=ends, by=None, at=now,
            )  # fmt: skip
    return people


def _next_march(today: date) -> date:
    return date(today.year + (today >= date(today.year, 3, 14)), 3, 14)


def _rules(venue: Venue, manager: Person, now: datetime) -> None:
    begun = now - timedelta(days=365 * YEARS_BACK)
    for slug, why in (
        ("us-osha-1926-1413", "The insurer asks for this rule on every running rope."),
        (
            "us-msha-30cfr-56-19024",
            "The stricter count in the valleys, and the loss from the baseline.",
        ),
    ):
        choose_ruleset(venue=venue, ruleset=slug, why=why, by=manager, at=begun)


@transaction.atomic
def _equipment(venue: Venue) -> None:
    places: dict[str, Place] = {}
    for order, (slug, name, parent, level, hazards, access) in enumerate(scenario.PLACES):
        places[slug] = Place.objects.create(
            venue=venue, slug=slug, name=name, parent=places.get(parent or ""), level=level,
            walking_order=order, hazards=hazards, access=access,
        )  # fmt: skip
    for order, (tag, name, kind_slug, place, raw, ropes) in enumerate(scenario.equipment()):
        kind = kinds()[kind_slug]
        piece = Equipment.objects.create(
            venue=venue, place=places[place], tag=tag, name=name, kind=kind_slug, kind_hash=kind.hash,
            walking_order=order, serial=f"LT-{1000 + order}", made_on="1998" if tag[0] in "LW" else "",
            fields=_checked(kind, raw),
        )  # fmt: skip
        _loads(piece, kind)
        for number in range(1, ropes + 1):
            _rope(piece, number)


def _loads(piece: Equipment, kind) -> None:
    usual = {"moving": "4500 kg", "at_rest": "9000 kg", "whole": "500 kg", "per_line": "125 kg"}
    for load in kind.rated_loads:
        if load.purpose in usual:
            quantity = read_quantity(usual[load.purpose], load.dimension).stored()
            RatedLoad.objects.create(
                equipment=piece, purpose=load.purpose, quantity=quantity, source="Name plate"
            )


def _rope(piece: Equipment, number: int) -> None:
    kind = part_kinds()["wire_rope"]
    Part.objects.create(
        equipment=piece, code=f"line {number}", kind="wire_rope", kind_hash=kind.hash, name="Wire rope",
        identifier=f"R-{piece.tag}-{number}", installed_on=date(2022, 8, 1), walking_order=number,
        fields=_checked(kind, scenario.ROPE),
    )  # fmt: skip


def _checked(kind, raw: dict[str, str]) -> dict:
    stored, faults = read_fields(kind, raw, "metric")
    if faults:
        raise ValueError(f"{kind.slug}: {faults}")
    return stored


def _bookings(venue: Venue, manager: Person, now: datetime) -> None:
    shows = ("The Salt Stair", "Nine Lanterns", "A House of Reeds", "The Glass Ferry")
    monday = now.date() - timedelta(days=now.weekday())
    for week in range(-2, 26):
        start = monday + timedelta(weeks=week)
        title = shows[(week // 2) % len(shows)]
        if week % 2 == 0:
            _book(venue, manager, now, "load_in", title, start, 9, 22)
        else:
            _book(venue, manager, now, "dark", "Dark", start, 8, 22)
        for day in range(2, 6):
            _book(venue, manager, now, "performance", title, start + timedelta(days=day), 18, 23)


def _book(venue, manager, now, what, title, day, first, last) -> None:
    leaves = (
        ["stage_clear", "grid_empty", "house_empty", "machine_locked"] if what == "dark" else []
    )
    starts, ends = (datetime.combine(day, time(hour), venue.zone) for hour in (first, last))
    add_booking(
        venue=venue,
        what=what,
        title=title,
        starts=starts,
        ends=ends,
        leaves_accessible=leaves,
        by=manager,
        at=now,
    )


def _plans(venue: Venue, manager: Person, now: datetime) -> None:
    """Every dated regime of every kind, begun two years ago, spread over the weeks by the tag."""
    begun = now - timedelta(days=365 * YEARS_BACK)
    for order, piece in enumerate(venue.equipment.all()):
        for regime in regimes_for(kinds()[piece.kind], piece.fields):
            if regime.interval and regime.interval not in ("P1D",):
                last = (now - timedelta(days=_days(regime.interval, order))).date()
                apply_regime(
                    equipment=piece,
                    regime=regime,
                    anchor=last,
                    last_done_on=last,
                    by=manager,
                    at=begun,
                )


def _days(interval: str, order: int) -> int:
    """How long ago it was last done: somewhere within its interval."""
    length = {"P1W": 7, "P1M": 28, "P3M": 88, "P6M": 178, "P1Y": 360, "P2Y": 720}.get(interval, 900)
    return (order * 37 + 11) % length
