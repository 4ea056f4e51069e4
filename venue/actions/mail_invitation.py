"""Send an invitation to whom it was made for."""

from __future__ import annotations

from django.conf import settings
from django.core.mail import EmailMessage
from django.urls import reverse

from venue.actions.invitations import GOOD_FOR
from venue.models import Membership, Person

CONSOLE = "django.core.mail.backends.console.EmailBackend"


class NotSent(RuntimeError):
    """The link is good, but nobody was sent it."""


def address_of_invitation(token: str) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse("invitation", args=[token])


def mail_invitation(*, membership: Membership, token: str, by: Person) -> None:
    """Raises NotSent. Never to the terminal: whoever reads the server's log could open it."""
    if settings.EMAIL_BACKEND == CONSOLE:
        raise NotSent("No mail server is set up here.")
    subject = " ".join(f"{membership.venue.name}: your way into Loftbook".split())
    try:
        EmailMessage(subject, _words(membership, token, by), to=[membership.person.email]).send()
    except OSError as fault:
        raise NotSent(f"The mail could not be sent ({fault}).") from fault


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
