"""An order "out of service" pressed on a phone without signal arrives; it bites at once."""

from __future__ import annotations

from datetime import datetime
from uuid import UUID

from inspections.actions.open_finding import take_out_of_service
from inspections.actions.receive_message import OfAnotherPerson, receive
from inspections.models import Sent
from inspections.phone_message import StopMessage, Unreadable, read_stop
from venue.log_hash import sha256_of
from venue.models import Equipment, Person, Venue


def receive_stop(
    *, venue: Venue, pk: UUID, text: str, by: Person, at: datetime, sent_at: datetime | None = None
) -> Sent:
    """Raises Unreadable and OtherUnderThisId after it was kept aside, OfAnotherPerson."""

    def make() -> Sent:
        return _make(venue, pk, text, read_stop(text, sent_at or at), by, at)

    return receive(venue=venue, pk=pk, text=text, by=by, at=at, make=make)


def _make(
    venue: Venue, pk: UUID, text: str, message: StopMessage, by: Person, at: datetime
) -> Sent:
    if message.person != by.pk:
        raise OfAnotherPerson("This was pressed by another person, who has to sign in.")
    equipment = Equipment.objects.filter(venue=venue, pk=message.equipment).first()
    if equipment is None:
        raise Unreadable("The equipment of this order is not in this book.")
    pressed = min(message.pressed_at + (at - message.sent_at), at)
    finding = take_out_of_service(equipment=equipment, why=message.why, by=by, at=at)
    return Sent.objects.create(
        id=pk, venue=venue, what=Sent.What.STOP, by=by, body=text, sha256=sha256_of(text),
        device=message.device, received_at=at, earliest_at=pressed, latest_at=pressed,
        finding=finding,
    )  # fmt: skip
