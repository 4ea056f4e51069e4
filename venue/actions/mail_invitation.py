"""Send an invitation to whom it was made for."""

from __future__ import annotations

from django.conf import settings
from django.urls import reverse

from venue.actions.invitations import GOOD_FOR
from venue.actions.send_letter import NotTaken, no_mail_server, send_letter
from venue.letter import Letter
from venue.models import Membership, Person


class NotSent(RuntimeError):
    """The link is good, but nobody was sent it."""


def address_of_invitation(token: str) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse("invitation", args=[token])


def mail_invitation(*, membership: Membership, token: str, by: Person) -> None:
    """Raises NotSent. Never to the terminal: whoever reads the server's log could open it."""
    if no_mail_server():
        raise NotSent("No mail server is set up here.")
    subject = f"{membership.venue.name}: your way into Loftbook"
    try:
        send_letter(Letter(membership.person.email, subject, _words(membership, token, by)))
    except NotTaken as refusal:
        raise NotSent(str(refusal)) from refusal


def _words(membership: Membership, token: str, by: Person) -> str:
    return (
        f"{by.name} has given you, {membership.person.name}, a role in the book of "
        f"{membership.venue.name}: {membership.get_role_display()}.\n\n"
        "Choose your own password here:\n\n"
        f"{address_of_invitation(token)}\n\n"
        f"The link is good for {GOOD_FOR.days} days and once. Keep it to yourself: whoever opens it "
        "first chooses the password, and what is then signed carries your name. If it came to you by "
        f"mistake, tell {by.name}.\n"
    )
