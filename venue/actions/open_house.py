"""The first person comes in and opens the first house. Afterwards people are added by people."""

from __future__ import annotations

from datetime import datetime

from django.conf import settings
from django.db import transaction
from django.utils.module_loading import import_string
from django.utils.text import slugify

from venue.actions.log import write_line
from venue.actions.people import add_person
from venue.models import Membership, Organisation, Role, SetUpCode, Venue
from venue.queries.people import nobody_is_here
from venue.set_up_codes import hash_of, is_code, new_code
from venue.zone_habits import habits_of


class NotTheFirst(PermissionError):
    """Somebody is here already; nothing was changed."""


class WrongCode(ValueError):
    """The set-up code is not the one in the terminal; nothing was changed."""


def make_set_up_code(*, at: datetime) -> str:
    """A fresh code; the one before is dead. Nothing, where somebody is here already."""
    with transaction.atomic():
        SetUpCode.objects.all().delete()
        if not nobody_is_here():
            return ""
        code = new_code()
        SetUpCode.objects.create(sha256=hash_of(code), made_at=at)
    return code


def open_house(
    *, code: str, name: str, email: str, password: str, house: str, time_zone: str, at: datetime
) -> Membership:
    """The house and its first manager. Of two at once, one waits for the code and finds it used."""
    with transaction.atomic():
        kept = SetUpCode.objects.select_for_update().first()
        if not nobody_is_here():
            raise NotTheFirst("Somebody is here already. Sign in, or ask them to invite you.")
        if kept is None or not is_code(code, kept.sha256):
            raise WrongCode(
                "This is not the set-up code. It stands in the terminal in which Loftbook was "
                "started last; each start makes another one."
            )
        kept.delete()
        venue = _new_house(house, time_zone, at)
        membership = add_person(
            venue=venue, email=email, name=name, role=Role.MANAGER, password=password, by=None,
            at=at,
        )  # fmt: skip
        by, after = membership.person, {"name": house, "time_zone": time_zone}
        write_line(venue=venue, by=by, at=at, did="open_house", subject=venue, after=after)
        transaction.on_commit(_tell_others)
    return membership


def _tell_others() -> None:
    """What the floors above have to do for a new house; none of it stops its being opened."""
    for name in settings.LOFTBOOK_HOUSE_OPENED:
        import_string(name)()


def _new_house(name: str, time_zone: str, at: datetime) -> Venue:
    slug, usual = slugify(name)[:50].strip("-") or "house", habits_of(time_zone)
    organisation = Organisation.objects.create(slug=slug, name=name)
    return Venue.objects.create(
        organisation=organisation, slug=slug, name=name, time_zone=time_zone,
        unit_habit=usual.unit_habit, dialect=usual.dialect, paper=usual.paper, set_up_since=at,
    )  # fmt: skip
